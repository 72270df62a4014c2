"""What becomes of a form on a phone when something goes wrong: each case by itself, at a LAN address, plain http."""

from datetime import timedelta
from types import SimpleNamespace

from playwright.sync_api import expect
from sqlalchemy import delete, select

from siteapp.checks import services
from siteapp.checks.models import CheckAnswer, CheckLine
from siteapp.people.models import SignIn
from siteapp.pieces.services import find
from siteapp.store.models import Entry, EntryCorrects
from tests import factories
from tests.browser.scene import LINE, SOON_MS, Scene, alone
from tests.soak.onsite import WRONG_CLOCK
from tests.support import chromium as real
from tests.support.lan import ADDRESS, browser_in

OTHER_LINE = "offered-up"


def test_the_page_is_not_a_secure_one_so_nothing_leans_on_what_only_those_have(scene):
    assert scene.page.evaluate("window.isSecureContext") is False
    scene.answer("met")
    scene.page.wait_for_selector("#check-hands-and-aids .met")
    scene.saved(["met"])


def test_while_the_server_is_gone_a_form_waits_and_is_sent_once_when_it_is_back(scene):
    scene.laptop.kill()
    scene.answer("met")
    scene.says("1 thing waiting on this phone · the laptop does not answer")
    expect(scene.page.locator(".kept-note")).to_contain_text("Kept on this phone at")
    assert scene.answers() == []
    scene.laptop.start()
    scene.saved(["met"])


def test_while_the_laptop_sleeps_a_form_waits_and_is_sent_once_when_it_wakes(scene):
    scene.laptop.sleep()
    scene.answer("not met")
    scene.says("1 thing waiting on this phone")
    scene.laptop.wake()
    scene.saved(["not met"])


def test_a_tab_that_is_killed_right_after_the_press_loses_nothing(scene):
    scene.lan.phones[0].link("wlan0", up=False)
    scene.answer("met")
    expect(scene.page.locator(".kept-note")).to_be_visible()
    scene.phone.kill_browser()
    scene.lan.phones[0].link("wlan0", up=True)
    scene.phone.start()
    # Sign-in lives as long as the browser.
    scene.page.goto(ADDRESS + scene.piece.checks)
    scene.says("1 thing waiting on this phone · sign in")
    scene.sign_in(then=scene.piece.checks)
    scene.saved(["met"])


def test_a_lost_answer_is_asked_for_again_and_the_form_is_there_once(scene):
    scene.lan.air(phone="192.168.44.2", lose=1)
    scene.answer("met")
    scene.saved(["met"])
    assert scene.lan.air()["192.168.44.2"]["lost"] >= 1


def test_a_full_store_is_said_and_the_open_page_sends_it_all_the_same(scene):
    scene.laptop.kill()
    tools = scene.page.context.new_cdp_session(scene.page)
    tools.send("Storage.overrideQuotaForOrigin", {"origin": ADDRESS, "quotaSize": 1})
    scene.answer("met")
    scene.says("This phone's store takes nothing more. Keep this page open")
    assert scene.line.get_attribute("data-state") == "memory"
    scene.laptop.start()
    scene.saved(["met"])


def test_an_expired_sign_in_keeps_the_form_until_the_same_person_signs_in(scene):
    with scene.store.write() as session:
        session.execute(delete(SignIn))
    scene.answer("met")
    scene.says("1 thing waiting on this phone · sign in")
    assert scene.answers() == []
    scene.sign_in(then=scene.piece.checks)
    scene.saved(["met"])


def test_another_person_on_the_phone_neither_sends_nor_reads_what_waits(scene):
    scene.laptop.kill()
    scene.answer("met", note="for my eyes only")
    scene.says("1 thing waiting")
    scene.laptop.start()
    with scene.store.write() as session:
        session.execute(delete(SignIn))
    scene.sign_in(1, then=scene.piece.checks)
    name = scene.fitters[0].name
    scene.says(f"1 thing by {name}: it waits until {name} signs in on this phone")
    scene.page.goto(ADDRESS + "/waiting")
    expect(scene.page.locator("main")).to_contain_text(f"1 thing by {name}")
    assert "for my eyes only" not in scene.page.inner_text("main")
    assert scene.page.locator("article.waiting").count() == 0
    assert scene.answers() == []
    scene.page.click(".person button")
    scene.page.wait_for_url("**/sign-in*")
    scene.sign_in(0, then=scene.piece.checks)
    scene.saved(["met"])
    with scene.store.read() as session:
        by = session.scalar(
            select(Entry.by_id).join(CheckAnswer, CheckAnswer.entry_id == Entry.id).order_by(Entry.recorded_at.desc())
        )
    assert by == scene.fitters[0].person_id


def test_what_the_laptop_refuses_comes_back_with_what_is_wrong_and_leaves_once_put_right(scene):
    form = scene.form("level")
    form.locator("[name=reading]").fill("far out")
    scene.answer("met", "level")
    expect(scene.page.locator("[data-problems]")).to_be_visible()
    assert scene.form("level").locator("[name=reading]").input_value() == "far out"
    scene.says("1 needs a look")
    scene.form("level").locator("[name=reading]").fill("1")
    scene.form("level").locator("[name=instrument]").fill("level 3")
    scene.answer("met", "level")
    scene.saved(["met"], "level")


def test_a_line_that_somebody_else_answered_meanwhile_is_shown_and_not_overwritten(scene):
    scene.lan.phones[0].link("wlan0", up=False)
    scene.answer("met", note="mine")
    scene.says("1 thing waiting")
    with scene.store.write() as session:
        _answer_of_another(session, scene, "not met")
    scene.lan.phones[0].link("wlan0", up=True)
    expect(scene.page.locator("[data-problems]")).to_contain_text("Somebody else changed this", timeout=SOON_MS)
    scene.says("1 needs a look")
    assert scene.answers() == ["not met"]
    assert scene.form().locator("[name=note]").input_value() == "mine"
    scene.form().locator('button[value="met"]').click(no_wait_after=True)
    scene.saved(["not met", "met"])


def test_a_second_answer_from_the_same_page_comes_after_the_first_one(scene):
    scene.lan.phones[0].link("wlan0", up=False)
    scene.answer("not met")
    scene.page.locator(".kept-note button").click()
    scene.answer("met")
    scene.says("2 things waiting on this phone")
    scene.lan.phones[0].link("wlan0", up=True)
    scene.saved(["not met", "met"])
    with scene.store.read() as session:
        corrected = select(EntryCorrects.corrects_id).join(CheckAnswer, CheckAnswer.entry_id == EntryCorrects.entry_id)
        verdict = session.scalars(
            select(CheckAnswer.verdict)
            .join(Entry, Entry.id == CheckAnswer.entry_id)
            .where(CheckAnswer.entry_id.in_(corrected), Entry.piece_id == scene.piece_id(session))
        ).all()
    assert verdict == ["not met"]


def test_a_phone_with_a_wrong_clock_is_told_so_and_the_laptops_order_holds(whole):
    ahead = 3 * 3600 * 1000
    with alone(whole, "wrong-clock", [WRONG_CLOCK % (ahead, ahead)]) as scene:
        scene.answer("not met")
        scene.page.wait_for_selector("#check-hands-and-aids .not-met")
        scene.answer("met", OTHER_LINE)
        scene.page.wait_for_selector("#check-offered-up .met")
        scene.page.goto(ADDRESS + "/waiting")
        expect(scene.page.locator("main")).to_contain_text("This phone's clock is 180 minutes away from the laptop's.")
        with scene.store.read() as session:
            query = select(Entry.at, Entry.recorded_at).join(CheckAnswer, CheckAnswer.entry_id == Entry.id)
            at, recorded_at = session.execute(query.order_by(Entry.recorded_at.desc())).first()
        assert timedelta(hours=2, minutes=59) < at - recorded_at < timedelta(hours=3, minutes=1)


def test_going_back_and_sending_again_is_seen_as_a_repeat_or_as_other_words(scene):
    path = f"/p/{scene.piece.number}/finishing"
    page = scene.page

    def send(zone):
        page.wait_for_load_state("networkidle")
        page.fill("#zone", zone)
        page.locator('button[form="form"]:visible').click(no_wait_after=True)

    page.goto(ADDRESS + path)
    for _ in range(2):
        send("Left edge")
        page.wait_for_selector("h1:has-text('Left edge')")
        assert scene.sessions() == ["Left edge"]
        page.go_back()
    send("Right edge")
    expect(page.locator("[data-problems]")).to_contain_text("This form was saved before, with other words.")
    assert page.input_value("#zone") == "Right edge"
    page.get_by_role("button", name="Save as something new").click(no_wait_after=True)
    page.wait_for_selector("h1:has-text('Right edge')")
    assert scene.sessions() == ["Left edge", "Right edge"]
    scene.says("All saved on the laptop")
    assert scene.waiting() == []


def test_without_scripts_a_form_is_still_sent_at_once(whole):
    lan, laptop, store, playwright, folder, filled, pieces = whole
    (folder / "plain").mkdir()
    browser = playwright.chromium.launch(
        executable_path=browser_in(lan.phones[0], folder / "plain"), args=list(real.FLAGS)
    )
    phone = SimpleNamespace(page=browser.new_context(java_script_enabled=False).new_page())
    scene = Scene(lan, laptop, phone, store, filled, next(pieces))
    scene.sign_in(then=scene.piece.checks)
    scene.form().locator('button[value="met"]').click()
    scene.page.wait_for_selector("#check-hands-and-aids .met")
    assert scene.answers() == ["met"]
    browser.close()


def _answer_of_another(session, scene, verdict):
    piece = find(session, scene.piece.number)
    lines = select(CheckLine.entry_id).join(Entry, Entry.id == CheckLine.entry_id)
    list_id = session.scalar(lines.where(Entry.piece_id == piece.piece_id, CheckLine.line_key == LINE))
    services.answer(session, factories.a_writer(session), piece=piece, list_id=list_id, line_key=LINE, verdict=verdict)
