"""What becomes of a form on a phone when something goes wrong: each case by itself, at a LAN address, plain http."""

import contextlib
import time
from contextlib import contextmanager
from datetime import timedelta
from io import BytesIO
from types import SimpleNamespace

import pytest
from PIL import Image
from playwright.sync_api import Error, expect, sync_playwright
from sqlalchemy import delete, select

from siteapp.checks import services
from siteapp.checks.models import CheckAnswer
from siteapp.finishing.models import FinishingSession
from siteapp.handover.models import Handover
from siteapp.people.models import SignIn
from siteapp.people.services import add_person
from siteapp.pieces.services import find
from siteapp.store.models import Entry, EntryCorrects, Photo
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.handover.support import ready
from tests.soak import workshop
from tests.soak.hands import WAITING
from tests.soak.onsite import WRONG_CLOCK
from tests.support import chromium as real
from tests.support import databases as kinds
from tests.support.lan import ADDRESS, Laptop, NoNetwork, browser_in, network
from tests.support.phone import Phone

LINE = "hands-and-aids"
OTHER_LINE = "offered-up"
SOON_MS = 20_000
CASES = 12  # with two pieces each, and some that they share


class Scene:
    """A laptop, a phone in a fitter's hand, and the database to look at behind their backs."""

    def __init__(self, lan, laptop, phone, store, filled, piece):
        self.lan, self.laptop, self.phone, self.store = lan, laptop, phone, store
        self.fitters, self.piece = filled.fitters, piece

    @property
    def page(self):
        return self.phone.page

    def sign_in(self, number=0, then="/", name=None):
        page = self.page
        page.goto(f"{ADDRESS}/sign-in?next={then}")
        page.fill("#name", name or self.fitters[number].name)
        page.fill("#passphrase", workshop.PASSPHRASE)
        page.click(".next button")
        page.wait_for_url(lambda url: "/sign-in" not in url)
        page.wait_for_load_state("networkidle")

    def answer(self, verdict, line=LINE, note=""):
        form = self.form(line)
        if note:
            form.locator("details summary").last.click()
            form.locator("[name=note]").fill(note)
        form.locator(f'button[value="{verdict}"]').click(no_wait_after=True)

    def form(self, line=LINE):
        return self.page.locator(f'form[action="{self.piece.checks}/{line}"]')

    @property
    def line(self):
        return self.page.locator("[data-saving]")

    def says(self, words):
        expect(self.line).to_contain_text(words, timeout=SOON_MS, use_inner_text=True)

    def answers(self, line=LINE):
        """Verdicts recorded for a line, in the laptop's order."""
        with self.store.read() as session:
            query = select(CheckAnswer.verdict).join(Entry, Entry.id == CheckAnswer.entry_id)
            query = query.where(CheckAnswer.line_key == line, Entry.piece_id == self.piece_id(session))
            return list(session.scalars(query.order_by(Entry.seq)))

    def sessions(self):
        """Zones of the finishing sessions begun on the piece, but for the one that it came with."""
        with self.store.read() as session:
            query = select(FinishingSession.zone).join(Entry, Entry.id == FinishingSession.entry_id)
            query = query.where(Entry.piece_id == self.piece_id(session), Entry.id != self.piece.session_id)
            return list(session.scalars(query.order_by(Entry.seq)))

    def piece_id(self, session):
        return session.scalar(
            select(Entry.piece_id)
            .join(FinishingSession, FinishingSession.entry_id == Entry.id)
            .where(Entry.id == self.piece.session_id)
        )

    def waiting(self):
        """What is in the phone's store; asked once more where the page was just being left."""
        for _ in range(5):
            with contextlib.suppress(Error):
                return self.page.evaluate(WAITING)
            self.page.wait_for_load_state("networkidle")
        return self.page.evaluate(WAITING)

    def saved(self, verdicts, line=LINE):
        """Everything arrived: these verdicts and no other, and nothing waits."""
        self.says("All saved on the laptop")
        assert self.answers(line) == verdicts
        assert self.waiting() == []
        # The page leads on by itself, unless its reader is at something else there.
        left = self.page.locator("form.kept:not(:has(~ .kept-note a:not([hidden])))")
        expect(left).to_have_count(0, timeout=SOON_MS)
        self.page.wait_for_load_state("networkidle")


@pytest.fixture(scope="module")
def whole(databases, tmp_path_factory):
    """The network with its laptop serving and one phone, for all cases; each case has pieces and people of its own."""
    folder = tmp_path_factory.mktemp("outcomes")
    try:
        with (
            databases.fresh(kinds.PACKAGED, folder / "data") as settings,
            kinds.opened(settings) as store,
            network(1) as lan,
            sync_playwright() as playwright,
        ):
            laptop = Laptop(lan, settings)
            laptop.start()
            filled = workshop.fill(store, CASES)
            # Phones of this workshop share some pieces; no two cases do.
            pieces = iter({piece.number: piece for of_phone in filled.pieces for piece in of_phone}.values())
            yield lan, laptop, store, playwright, folder, filled, pieces
            laptop.stop()
    except NoNetwork as why:
        pytest.skip(f"no network of our own here: {why}")


@pytest.fixture
def scene(whole, request):
    with _scene(whole, request.node.name) as made:
        yield made


@contextmanager
def _scene(whole, name, scripts=()):
    lan, laptop, store, playwright, folder, filled, pieces = whole
    with store.write() as session:
        session.execute(delete(SignIn))
    phone = Phone(lan, 0, playwright, folder / name)
    phone.scripts.extend(scripts)
    phone.start()
    made = Scene(lan, laptop, phone, store, filled, next(pieces))
    try:
        made.sign_in(then=made.piece.checks)
        yield made
        assert phone.said == []
    finally:
        lan.phones[0].link("wlan0", up=True)
        lan.air(phone="192.168.44.2", lose=0, tear=0, delay_s=0.0, bytes_per_s=0.0)
        laptop.wake()
        if not laptop.serves:
            laptop.start()
        phone.stop()


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


def test_a_photo_too_large_for_the_laptop_is_named_and_the_rest_can_go_without_it(scene, tmp_path):
    large = tmp_path / "large.jpg"
    large.write_bytes(_photo(1) + b"\0" * 31 * 1024 * 1024)
    small = tmp_path / "small.jpg"
    small.write_bytes(_photo(2))
    form = scene.form()
    form.locator("details summary").last.click()
    form.locator("input[type=file]").set_input_files([large, small])
    scene.answer("met")
    scene.says("1 needs a look")
    scene.page.get_by_role("button", name="See what waits").click()
    entry = scene.page.locator("dialog article.waiting")
    expect(entry).to_contain_text("A photo in it is too large for the laptop.")
    entry.locator("summary").click()
    entry.get_by_role("button", name="Send without this photo").click()
    scene.saved(["met"])
    with scene.store.read() as session:
        assert session.scalar(select(Photo.bytes).order_by(Photo.recorded_at.desc())) == small.stat().st_size


def test_a_tick_is_not_held_up_by_a_photo_that_is_still_on_its_way(scene, tmp_path):
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(_photo(3) + b"\0" * 600_000)
    scene.lan.air(phone="192.168.44.2", bytes_per_s=60_000)
    form = scene.form()
    form.locator("details summary").last.click()
    form.locator("input[type=file]").set_input_files(photo)
    scene.answer("met")
    scene.says("Sending photo 1 of 1")
    scene.answer("cannot tell", OTHER_LINE)
    _until(lambda: scene.answers(OTHER_LINE) == ["cannot tell"])
    assert scene.answers() == []
    scene.lan.air(phone="192.168.44.2", bytes_per_s=0)
    scene.saved(["met"])


def test_a_phone_with_a_wrong_clock_is_told_so_and_the_laptops_order_holds(whole):
    ahead = 3 * 3600 * 1000
    with _scene(whole, "wrong-clock", [WRONG_CLOCK % (ahead, ahead)]) as scene:
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


def test_what_waits_can_be_read_taken_as_a_file_to_the_laptop_and_discarded_after_a_warning(scene, tmp_path):
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(_photo(4))
    scene.laptop.kill()
    form = scene.form()
    form.locator("details summary").last.click()
    form.locator("[name=note]").fill("by hand")
    form.locator("input[type=file]").set_input_files(photo)
    scene.answer("met")
    scene.says("1 thing waiting")
    scene.page.get_by_role("button", name="See what waits").click()
    entry = scene.page.locator("dialog article.waiting")
    entry.locator("summary").click()
    expect(entry).to_contain_text("by hand")
    expect(entry.locator("img")).to_have_js_property("complete", value=True)
    with scene.page.expect_download() as saved:
        entry.get_by_role("button", name="Save to a file").click()
    file = tmp_path / saved.value.suggested_filename
    saved.value.save_as(file)
    entry.get_by_role("button", name="Discard", exact=True).click()
    expect(entry).to_contain_text("Discard it for good?")
    entry.get_by_role("button", name="Keep it").click()
    entry.get_by_role("button", name="Discard", exact=True).click()
    entry.get_by_role("button", name="Discard it", exact=True).click()
    scene.says("All saved on the laptop")
    assert scene.waiting() == []
    scene.page.keyboard.press("Escape")
    scene.laptop.start()

    cut = tmp_path / "cut.waiting"
    cut.write_bytes(file.read_bytes()[:-1])
    scene.page.goto(ADDRESS + "/waiting")
    scene.page.set_input_files("#waiting-file", cut)
    expect(scene.page.locator("[data-waiting-file]")).to_contain_text("was not made here, or was cut off")
    for _ in range(2):
        # Taken in twice it is there once.
        scene.page.set_input_files("#waiting-file", file)
        expect(scene.page.locator("[data-waiting-file]")).to_contain_text("1 thing taken in")
        _until(lambda: scene.answers() == ["met"] and scene.waiting() == [])
    scene.saved(["met"])
    with scene.store.read() as session:
        assert session.scalar(select(Photo.bytes).order_by(Photo.recorded_at.desc())) == photo.stat().st_size


def test_what_was_typed_and_not_sent_comes_back_with_its_photo_after_the_page_was_lost(scene, tmp_path):
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(_photo(5))
    form = scene.form()
    form.locator("details summary").last.click()
    form.locator("[name=note]").fill("half a sentence")
    form.locator("input[type=file]").set_input_files(photo)
    scene.says("Not saved yet")
    time.sleep(1.2)
    scene.phone.close_tab()
    scene.phone.open_tab()
    scene.page.goto(ADDRESS + scene.piece.checks)
    expect(scene.page.locator(".kept-note")).to_contain_text("is back. It is not saved yet.")
    assert scene.form().locator("[name=note]").input_value() == "half a sentence"
    expect(scene.form().locator(".previews img")).to_have_count(1)
    scene.says("Not saved yet")
    scene.form().locator('button[value="met"]').click(no_wait_after=True)
    scene.saved(["met"])
    scene.page.reload()
    assert scene.page.locator(".kept-note").count() == 0

    # Typed and taken back is nothing to bring back.
    scene.form(OTHER_LINE).locator("details summary").last.click()
    scene.form(OTHER_LINE).locator("[name=note]").fill("a")
    time.sleep(1)
    scene.form(OTHER_LINE).locator("[name=note]").fill("")
    time.sleep(1)
    scene.page.reload()
    scene.page.wait_for_load_state("networkidle")
    assert scene.page.locator(".kept-note").count() == 0


def test_a_signature_drawn_while_the_laptop_is_away_is_part_of_the_handover(scene):
    with scene.store.write() as session:
        piece = ready(session)
        maker = "Di Saltmarsh (invented)"
        add_person(session, factories.a_writer(session), name=maker, role="maker", passphrase=workshop.PASSPHRASE)
    path = f"/p/{piece.number}/handover"
    page = scene.page
    page.click(".person button")
    page.wait_for_url("**/sign-in*")
    scene.sign_in(then=path, name=maker)
    scene.laptop.kill()
    form = page.locator(f'form[action="{path}"]')
    form.locator("[name=signed_name]").fill("A. Client (invented)")
    pad = form.locator("canvas")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 30)
    page.mouse.down()
    page.mouse.move(box["x"] + 120, box["y"] + 60, steps=8)
    page.mouse.up()
    page.locator('button[form="form"]:visible').first.click(no_wait_after=True)
    scene.says("1 thing waiting on this phone")
    scene.laptop.start()
    scene.says("All saved on the laptop")
    with scene.store.read() as session:
        said, drawn = session.execute(
            select(Handover.signed_name, Handover.signature_sha256)
            .join(Entry, Entry.id == Handover.entry_id)
            .where(Entry.piece_id == piece.piece_id)
        ).one()
    assert said == "A. Client (invented)"
    kept = PhotoFolder(scene.store.settings.photos, scene.store.settings.cache).path(drawn)
    with Image.open(kept) as image:
        assert image.size == (1200, 400)


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
    list_id = session.scalar(select(Entry.id).where(Entry.piece_id == piece.piece_id, Entry.kind == "check_list"))
    services.answer(session, factories.a_writer(session), piece=piece, list_id=list_id, line_key=LINE, verdict=verdict)


def _photo(number):
    """A small JPEG, another one for each number."""
    image = Image.effect_noise((320, 240), 40 + number)
    kept = BytesIO()
    image.convert("RGB").save(kept, "JPEG")
    return kept.getvalue()


def _until(holds, seconds=20):
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.1)
