"""Photos, files, drafts and signatures on a phone when something goes wrong: cases at a LAN address, plain http."""

import time
from io import BytesIO

from PIL import Image
from playwright.sync_api import expect
from sqlalchemy import select

from siteapp.handover.models import Handover
from siteapp.people.services import add_person
from siteapp.store.models import Entry, Photo
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.browser.scene import until
from tests.handover.support import ready
from tests.soak import workshop
from tests.support.lan import ADDRESS

OTHER_LINE = "offered-up"


def _photo(number):
    """A small JPEG, another one for each number."""
    image = Image.effect_noise((320, 240), 40 + number)
    kept = BytesIO()
    image.convert("RGB").save(kept, "JPEG")
    return kept.getvalue()


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
    until(lambda: scene.answers(OTHER_LINE) == ["cannot tell"])
    assert scene.answers() == []
    scene.lan.air(phone="192.168.44.2", bytes_per_s=0)
    scene.saved(["met"])


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
        until(lambda: scene.answers() == ["met"] and scene.waiting() == [])
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
    pad = form.locator("canvas").first
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
