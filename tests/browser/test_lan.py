"""What a phone has at the laptop's address in its own network, and that what goes wrong there goes wrong for real."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.soak.onsite import on_site
from tests.support.lan import ADDRESS, NEEDED, NoNetwork

if TYPE_CHECKING:
    from tests.support.phone import Phone

ASK = "fetch('/health', {cache: 'no-store', signal: AbortSignal.timeout(20000)}).then((a) => a.status, (e) => e.name)"
ASK_BRIEFLY = ASK.replace("20000", "1500")
POST = "fetch('/sign-in', {method: 'POST', body: 'x'}).then((answer) => answer.status, (error) => error.name)"
ABSENT, CUT_OFF, NO_ANSWER = "undefined", "TypeError", "TimeoutError"


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    try:
        with on_site(tmp_path_factory.mktemp("site")) as made:
            yield made
    except NoNetwork as why:
        pytest.skip(f"no networks of our own here: {why}")


@pytest.fixture
def phone(site) -> Phone:
    """The first phone, signed in, with nothing in its way."""
    site.hands[0].go("/")
    return site.hands[0].phone


def test_a_page_over_plain_http_on_the_lan_is_not_a_secure_context(phone):
    """What is absent then: https://www.w3.org/TR/secure-contexts/ and the interfaces it is asked of."""
    assert phone.page.url.startswith(ADDRESS)
    assert phone.page.evaluate("isSecureContext") is False
    for name in ("crypto.randomUUID", "crypto.subtle", "navigator.serviceWorker", "navigator.locks", "window.caches"):
        assert phone.page.evaluate(f"typeof ({name})") == ABSENT, name
    assert phone.page.evaluate("typeof indexedDB") == "object"


def test_a_killed_laptop_refuses_and_serves_the_same_data_when_it_is_started_again(site, phone):
    site.laptop.kill()
    assert phone.page.evaluate(ASK) == CUT_OFF
    site.laptop.start()
    assert phone.page.evaluate(ASK) == 200
    site.hands[0].go(site.workshop.pieces[0][0].checks)


def test_a_laptop_asleep_does_not_answer_until_it_wakes(site, phone):
    site.laptop.sleep()
    assert phone.page.evaluate(ASK_BRIEFLY) == NO_ANSWER
    site.laptop.wake()
    assert phone.page.evaluate(ASK) == 200


def test_a_phone_without_network_knows_at_once_and_one_out_of_reach_does_not(phone):
    phone.wifi(on=False)
    assert phone.page.evaluate(ASK) == CUT_OFF
    phone.wifi(on=True)
    assert phone.page.evaluate(ASK) == 200
    phone.in_reach(yes=False)
    assert phone.page.evaluate("navigator.onLine") is True
    assert phone.page.evaluate(ASK_BRIEFLY) == NO_ANSWER
    phone.in_reach(yes=True)
    # TCP tries again after pauses of its own, so not at once.
    assert phone.page.evaluate(ASK) == 200


def test_only_the_other_phone_is_out_of_reach(site, phone):
    site.hands[1].go("/")
    site.hands[1].phone.in_reach(yes=False)
    assert phone.page.evaluate(ASK) == 200
    site.hands[1].phone.in_reach(yes=True)


def test_a_browser_sends_a_post_again_by_itself_when_its_answer_is_lost_on_a_kept_connection(phone):
    """RFC 9110, 9.2.2 forbids it for a method that is not idempotent unless it knows better; browsers do it."""
    before = phone.weather()
    phone.page.evaluate(ASK)
    phone.weather(lose=1)
    assert phone.page.evaluate(POST) == 403
    after = phone.weather()
    assert (after["lost"] - before["lost"], after["posts"] - before["posts"]) == (1, 2)


def test_an_answer_that_is_lost_each_time_is_no_answer(phone):
    # A browser keeps up to six connections open and tries each that it kept, then a new one.
    phone.weather(lose=7)
    assert phone.page.evaluate(POST) == CUT_OFF
    phone.weather(lose=0)
    assert phone.page.evaluate(POST) == 403


def test_a_sending_is_torn_off_where_it_is_asked_to(phone):
    phone.weather(tear=7, tear_after_bytes=50_000)
    assert phone.page.evaluate(POST.replace("'x'", "'x'.repeat(200000)")) == CUT_OFF
    assert phone.weather(tear=0)["torn"] >= 1


def test_what_a_killed_browser_had_in_its_store_is_there_when_it_is_started_again(site, phone):
    put = """() => new Promise((resolve, reject) => {
      const asked = indexedDB.open("trial");
      asked.onupgradeneeded = () => asked.result.createObjectStore("things");
      asked.onsuccess = () => {
        const change = asked.result.transaction("things", "readwrite", { durability: "strict" });
        change.objectStore("things").put(new ArrayBuffer(1000), "one");
        change.oncomplete = () => resolve(true);
      };
    })"""
    got = """() => new Promise((resolve) => {
      const asked = indexedDB.open("trial");
      asked.onsuccess = () => {
        const found = asked.result.transaction("things").objectStore("things").get("one");
        found.onsuccess = () => resolve(found.result.byteLength);
      };
    })"""
    assert phone.page.evaluate(put) is True
    site.hands[0].kill_browser()
    site.hands[0].go("/")
    assert phone.page.evaluate(got) == 1000


def test_nothing_is_left_when_the_test_process_is_killed(tmp_path):
    """Namespaces end with the last process in them, so no process may stay."""
    script = f"""
import sys, time
from pathlib import Path
from tests.soak.onsite import on_site
with on_site(Path({str(tmp_path)!r})) as site:
    site.hands[0].go("/")
    print("there", flush=True)
    time.sleep(60)
"""
    root = Path(__file__).resolve().parents[2]
    with subprocess.Popen([sys.executable, "-c", script], cwd=root, stdout=subprocess.PIPE) as process:
        if process.stdout.readline() != b"there\n":
            pytest.skip("no networks of our own here")
        assert running_for(tmp_path)
        process.kill()
    end = time.monotonic() + 20
    while running_for(tmp_path) and time.monotonic() < end:
        time.sleep(0.1)
    assert running_for(tmp_path) == []


def running_for(folder: Path) -> list[str]:
    """Command lines of processes that have to do with a folder: its phones' browsers, and the laptop that serves it."""
    found = []
    for process in Path("/proc").glob("[0-9]*"):
        try:
            about = (process / "cmdline").read_bytes() + (process / "environ").read_bytes()
        except OSError:
            continue
        if str(folder).encode() in about:
            found.append((process / "cmdline").read_bytes().decode(errors="replace"))
    return found


def test_what_is_needed_is_part_of_every_debian_or_asked_for_by_set_up():
    """`setpriv`, `nsenter` and `unshare` are of util-linux, which Debian calls essential; `ip` is of iproute2."""
    assert set(NEEDED) == {"ip", "unshare", "nsenter", "setpriv"}
