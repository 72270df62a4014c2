"""`serve --lan`: addresses that come and go while it serves. In a network namespace, with real interfaces."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time

import pytest

from siteapp.bootstrap import CHECKOUT
from siteapp.cli.addresses import Address
from siteapp.cli.watching import Watcher
from tests.cli.test_edge import run
from tests.support.lan import NoNetwork, namespace

PORT = 8765
WLAN = Address("wlan9", "192.168.4.1")
HOTSPOT = Address("wlan9", "10.42.0.1")
ASK = """
import http.client, sys
connection = http.client.HTTPConnection(sys.argv[1], int(sys.argv[2]), timeout=10)
try:
    connection.request("GET", sys.argv[4], headers={"Host": sys.argv[3]})
    answer = connection.getresponse()
    print(answer.status, answer.read().decode("utf-8", "replace"))
except (OSError, http.client.HTTPException) as error:
    print("hung up", repr(error))
"""


class Machine:
    """A machine of its own that serves for phones; what it printed is in its log."""

    def __init__(self, network, folder):
        self.network = network
        self.folder = folder
        self.log = folder / "serve.log"
        self.process = None

    def start(self, *words, **environment):
        every = {**os.environ, "SITEAPP_DATA": str(self.folder / "data"), "PYTHONUTF8": "1", "TZ": "UTC", **environment}
        command = [sys.executable, "-m", "siteapp", "serve", "--port", str(PORT), *words]
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                self.network.command(command), cwd=CHECKOUT, env=every, stdout=log, stderr=log
            )
        self.wait_for("Ctrl-C stops.")

    def stop(self):
        self.process.send_signal(signal.SIGINT)
        assert self.process.wait(20) == 0, self.printed()

    def printed(self):
        return self.log.read_text(encoding="utf-8")

    def wait_for(self, words):
        end = time.monotonic() + 40
        while words not in self.printed():
            assert self.process.poll() is None, self.printed()
            assert time.monotonic() < end, self.printed()
            time.sleep(0.05)

    def address(self, what, one):
        self.network.run("ip", "address", what, f"{one}/24", "dev", "wlan9")

    def ask(self, to, host, path="/health"):
        """Status and page of a request from this machine to one of its addresses, under a host's name."""
        words = [sys.executable, "-c", ASK, to, str(PORT), host, path]
        return self.network.run(*words)


@pytest.fixture
def machine(tmp_path):
    try:
        with namespace() as network:
            network.run("ip", "link", "add", "wlan9", "type", "veth", "peer", "name", "far9")
            network.link("wlan9", up=True)
            network.link("far9", up=True)
            made = Machine(network, tmp_path)
            yield made
            if made.process is not None and made.process.poll() is None:
                made.process.kill()
                made.process.wait()
    except NoNetwork as refused:
        pytest.skip(f"no network namespaces here: {refused}")


def test_an_address_that_comes_later_is_printed_answered_and_the_only_new_one(machine):
    machine.start("--lan")
    assert "Phones open" not in machine.printed()
    assert "Switch its hotspot on" in machine.printed()
    assert machine.ask("127.0.0.1", f"127.0.0.1:{PORT}").startswith("200")
    machine.address("add", "192.168.4.1")
    machine.wait_for(f"Phones open http://192.168.4.1:{PORT}/  (perhaps a hotspot, wlan9)")
    assert machine.ask("192.168.4.1", f"192.168.4.1:{PORT}").startswith("200")
    # A page of somebody else's that leads its own name to this address (DNS rebinding) is still refused.
    assert machine.ask("192.168.4.1", f"rebound.example:{PORT}").startswith("400")
    assert machine.ask("192.168.4.1", f"10.42.0.1:{PORT}").startswith("400")
    machine.stop()


def test_a_changed_address_is_noticed_while_it_serves_and_after_a_start(machine):
    machine.address("add", "192.168.4.1")
    machine.start("--lan")
    assert f"Phones open http://192.168.4.1:{PORT}/" in machine.printed()
    machine.address("del", "192.168.4.1")
    machine.address("add", "10.42.0.1")
    machine.wait_for("Now 192.168.4.1 is gone. What phones kept under 192.168.4.1 is still on them")
    assert f"Phones open http://10.42.0.1:{PORT}/  (a hotspot, by its address, wlan9)" in machine.printed()
    assert machine.ask("10.42.0.1", f"10.42.0.1:{PORT}").startswith("200")
    assert machine.ask("10.42.0.1", f"192.168.4.1:{PORT}").startswith("400")
    machine.stop()
    machine.address("del", "10.42.0.1")
    machine.address("add", "192.168.9.30")
    machine.start("--lan")
    assert "Since the last start 10.42.0.1 is gone." in machine.printed()
    assert "192.168.4.1" not in machine.printed()
    machine.stop()


def test_the_start_page_on_the_laptop_shows_the_address_of_the_moment(machine):
    run(
        "person",
        "add",
        "Tove",
        "--role",
        "maker",
        typed="heron over still water\n",
        SITEAPP_DATA=f"{machine.folder}/data",
    )
    machine.address("add", "192.168.4.1")
    machine.start("--lan")
    page = machine.ask("127.0.0.1", f"127.0.0.1:{PORT}", "/")
    assert f"http://192.168.4.1:{PORT}/" in page
    machine.stop()


def test_a_public_address_is_answered_only_when_every_address_was_asked_for(machine):
    # RFC 5737: addresses for documentation, which stand for public ones here.
    machine.address("add", "203.0.113.9")
    machine.address("add", "192.168.4.1")
    machine.start("--lan")
    assert "203.0.113.9" not in machine.printed()
    assert machine.ask("203.0.113.9", f"192.168.4.1:{PORT}").startswith("hung up")
    assert machine.ask("192.168.4.1", f"192.168.4.1:{PORT}").startswith("200")
    machine.stop()
    machine.start("--host", "0.0.0.0")
    assert f"Phones open http://203.0.113.9:{PORT}/" in machine.printed()
    assert machine.ask("203.0.113.9", f"203.0.113.9:{PORT}").startswith("200")
    machine.stop()


def test_lan_and_host_exclude_each_other_in_a_sentence(tmp_path):
    done = run("serve", "--lan", "--host", "192.168.4.1", SITEAPP_DATA=str(tmp_path))
    assert done.returncode == 1
    assert re.match(r"--lan and --host exclude each other: .*Leave one of them out\.\n$", done.stderr)
    assert list(tmp_path.iterdir()) == []


def test_a_watcher_tells_a_change_once_and_nothing_when_nothing_changed():
    told = []
    found = [[WLAN], [WLAN], [HOTSPOT], [HOTSPOT], [], [WLAN, HOTSPOT]]
    watcher = Watcher(lambda: found.pop(0), told.append, known=[WLAN])
    assert [watcher.look() for _ in range(6)] == [False, False, True, False, True, True]
    assert told == [[HOTSPOT], [], [WLAN, HOTSPOT]]


def test_a_watcher_that_could_not_tell_tells_at_the_next_look(capsys):
    told = []

    def tell(found):
        told.append(found)
        if len(told) < 3:
            raise OSError(28, "No space left on device")

    watcher = Watcher(lambda: [HOTSPOT], tell, known=[WLAN], every_s=0.01)
    watcher.start()
    end = time.monotonic() + 10
    while len(told) < 3 and time.monotonic() < end:
        time.sleep(0.01)
    time.sleep(0.05)
    watcher.stop()
    assert told == [[HOTSPOT]] * 3
    assert capsys.readouterr().err.count("no space left") == 1
