"""Snags and marks under a thumb, by keyboard, without scripts and away from the laptop, in a real browser."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect

from siteapp.marks import services as marks
from tests.snags.hands import DOT, PHONE, near, photo, red_dot, save, tap
from tests.support import chromium as real

if TYPE_CHECKING:
    from tests.snags.hands import Site

pytestmark = real.needed


@pytest.mark.parametrize("turned", [False, True])
def test_a_tap_on_a_photo_just_chosen_marks_what_is_seen_there(site: Site, *, turned: bool) -> None:
    """The dot is found on the screen, tapped there, and lies where the laptop's upright photo has it."""
    page = site.open()
    page.goto(f"{site.address}/p/{site.piece.number}")
    page.goto(f"{site.snags_page}?raise=1#form")
    page.fill("#what", "Red paint on the wing")
    page.set_input_files("#photos", [photo("wing.jpg", turned=turned)])
    page.wait_for_selector(".face")
    face = page.locator(".face img")
    page.wait_for_function("(image) => image.complete && image.naturalWidth", arg=face.element_handle())
    seen = red_dot(Image.open(io.BytesIO(face.screenshot())))
    tap(page, at=seen)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    save(page)
    (snag,) = site.snags()
    assert page.url == f"{site.snags_page}/{snag.entry.id}"
    (mark,) = snag.marks
    assert near((mark.x, mark.y), red_dot(site.upright(mark.sha256)))
    assert near((mark.x, mark.y), DOT)
    assert (snag.said.words, mark.number) == ("Red paint on the wing", 1)
    # The saved page draws its ring about the same spot, on the photo shown whole.
    ring, shown = page.locator(".ring").bounding_box(), page.locator(".marked img").bounding_box()
    assert ring
    assert shown
    middle = (ring["x"] + ring["width"] / 2 - shown["x"], ring["y"] + ring["height"] / 2 - shown["y"])
    assert near((middle[0] / shown["width"], middle[1] / shown["height"]), DOT)
    assert abs(shown["width"] / shown["height"] - 900 / 1200) < 0.01


def test_a_spot_is_dragged_with_the_finger_and_told_more_of(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("wing.jpg")])
    tap(page, at=(0.5, 0.2))
    spot = page.locator(".spot").bounding_box()
    shown = page.locator(".face img").bounding_box()
    assert spot
    assert shown
    assert spot["width"] >= 48
    assert spot["height"] >= 48
    # Held beside its middle: the spot moves by as much as the finger does.
    x, y = spot["x"] + 10, spot["y"] + 10
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 0.25 * shown["width"], y + 0.1 * shown["height"], steps=5)
    page.mouse.up()
    page.select_option("[name$='-kind']:visible", "chip")
    page.fill("[name$='-note']:visible", "4 mm")
    save(page)
    (mark,) = site.snags()[0].marks
    assert near((mark.x, mark.y), (0.75, 0.3))
    assert (mark.kind, mark.note) == ("chip", "4 mm")


def test_by_keyboard_marks_are_set_moved_and_taken_out(site: Site) -> None:
    page = site.open(viewport={"width": 1280, "height": 800}, has_touch=False, is_mobile=False)
    page.goto(f"{site.snags_page}?raise=1")
    page.set_input_files("#photos", [photo("wing.jpg")])
    page.focus(".face")
    page.keyboard.press("Enter")
    for key in ("ArrowRight", "ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    expect(page.locator("[data-marks] [role=status]")).to_contain_text("Mark 1: 52 % from the left, 49 % from the top.")
    page.focus(".face")
    page.keyboard.press("Enter")
    page.keyboard.press("Delete")
    assert page.locator(".spot").count() == 1
    assert page.evaluate("document.activeElement.className") == "face"
    page.keyboard.press("Space")
    for _step in range(60):
        page.keyboard.press("ArrowLeft")
    page.fill("#what", "Chip")
    save(page)
    assert [(mark.x, mark.y) for mark in site.snags()[0].marks] == [(0.52, 0.49), (0, 0.5)]


def test_marks_stay_with_their_photo_when_another_is_taken_out(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("one.jpg"), photo("two.jpg", "#225588"), photo("three.jpg", "#338844")])
    for number, x in enumerate((0.2, 0.4, 0.6)):
        tap(page, number, at=(x, 0.2))
    page.click("[aria-label='Take out: one.jpg']")
    assert page.locator(".spot").count() == 2
    save(page)
    (snag,) = site.snags()
    two, three = (found.sha256 for found in snag.photos)
    assert [mark.sha256 for mark in snag.marks] == [two, three]
    assert [round(mark.x, 1) for mark in snag.marks] == [0.4, 0.6]
    assert site.upright(two).getpixel((5, 5)) != site.upright(three).getpixel((5, 5))


def test_what_the_laptop_refuses_comes_back_with_photo_and_spot(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.set_input_files("#photos", [photo("wing.jpg")])
    tap(page)
    save(page)
    expect(page.locator("[data-problems]")).to_contain_text("What is to be put right: this is needed.")
    expect(page.locator(".spot")).to_have_count(1)
    tap(page, at=(0.1, 0.5))
    page.fill("#what", "Chip")
    save(page)
    (snag,) = site.snags()
    assert [near((mark.x, mark.y), at) for mark, at in zip(snag.marks, (DOT, (0.1, 0.5)), strict=True)] == [True, True]


def test_a_lost_page_comes_back_with_photo_and_spot(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("one.jpg"), photo("two.jpg", "#225588")])
    tap(page, 1)
    page.wait_for_timeout(1500)  # longer than the pause after which a draft is kept
    page.reload()
    expect(page.locator(".spot")).to_have_count(1)
    assert page.locator(".face").count() == 2
    save(page)
    (snag,) = site.snags()
    (mark,) = snag.marks
    assert mark.sha256 == snag.photos[1].sha256
    assert near((mark.x, mark.y), DOT)


def test_away_from_the_laptop_photo_and_spot_wait_and_arrive_right_later(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.wait_for_load_state("networkidle")
    page.context.set_offline(offline=True)
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("one.jpg"), photo("two.jpg", "#225588", turned=True)])
    tap(page, 1)
    page.click(".next button", no_wait_after=True)
    expect(page.locator(".kept-note")).to_contain_text("Kept on this phone")
    assert site.snags() == []
    page.context.set_offline(offline=False)
    page.wait_for_url(f"{site.snags_page}/*", timeout=30_000)
    (snag,) = site.snags()
    (mark,) = snag.marks
    assert mark.sha256 == snag.photos[1].sha256
    assert near((mark.x, mark.y), red_dot(site.upright(mark.sha256)))


def test_two_snags_from_one_page_wait_apart_each_with_its_own_spots(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.wait_for_load_state("networkidle")
    page.context.set_offline(offline=True)
    page.fill("#what", "first")
    page.set_input_files("#photos", [photo("one.jpg")])
    tap(page)
    page.click(".next button", no_wait_after=True)
    page.get_by_role("button", name="Fill it in once more").click()
    expect(page.locator(".face")).to_have_count(0)
    expect(page.locator("[data-row]:visible")).to_have_count(0)
    page.fill("#what", "second")
    page.set_input_files("#photos", [photo("two.jpg", "#225588")])
    tap(page, at=(0.2, 0.2))
    tap(page, at=(0.4, 0.4))
    page.click(".next button", no_wait_after=True)
    expect(page.locator("[data-saving]")).to_contain_text("2 things waiting")
    page.context.set_offline(offline=False)
    page.wait_for_url(f"{site.snags_page}/*", timeout=30_000)
    first, second = site.snags()
    assert (first.said.words, second.said.words) == ("first", "second")
    assert [near((mark.x, mark.y), DOT) for mark in first.marks] == [True]
    assert [round(mark.x, 1) for mark in second.marks] == [0.2, 0.4]
    for snag in (first, second):
        assert {mark.sha256 for mark in snag.marks} == {photo.sha256 for photo in snag.photos}


def test_a_photo_left_behind_on_the_phone_moves_no_mark_to_another(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    broken = {"name": "broken.jpg", "mimeType": "image/jpeg", "buffer": b"no photo at all"}
    page.set_input_files("#photos", [broken, photo("two.jpg")])
    tap(page, 1)
    page.click(".next button", no_wait_after=True)
    expect(page.locator("[data-saving]")).to_contain_text("1 needs a look", timeout=20_000)
    page.goto(f"{site.address}/waiting")
    page.get_by_text("Read it", exact=True).click()
    page.get_by_role("button", name="Send without this photo").click()
    expect(page.locator("article.waiting")).to_contain_text("was set on photo 2 of 2, and now there is one photo")
    assert site.snags() == []
    page.get_by_role("button", name="Open it").click()
    page.wait_for_selector("[data-problems]")
    expect(page.locator(".spot")).to_have_count(0)
    page.fill("[name$='-photo']:visible", "1")
    save(page)
    (snag,) = site.snags()
    assert [near((mark.x, mark.y), DOT) for mark in snag.marks] == [True]


def test_without_scripts_a_mark_is_typed_and_shown(site: Site) -> None:
    page = site.open(java_script_enabled=False)
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("wing.jpg")])
    page.get_by_label("Photo", exact=True).fill("1")
    page.get_by_label("From the left").fill("62")
    page.get_by_label("From the top").fill("30,0")
    page.click(".next button")
    (snag,) = site.snags()
    assert [(mark.x, mark.y) for mark in snag.marks] == [DOT]
    page.get_by_role("link", name="Set marks on these photos").click()
    assert page.get_by_label("From the left").first.input_value() == "62"
    page.get_by_role("button", name="Add lines").click()
    page.get_by_label("Photo", exact=True).nth(1).fill("1")
    page.get_by_label("From the left").nth(1).fill("0")
    page.get_by_label("From the top").nth(1).fill("100")
    page.get_by_role("button", name="Save the marks").click()
    page.wait_for_url(f"{site.snags_page}/{snag.entry.id}")
    assert [(mark.x, mark.y) for mark in site.snags()[0].marks] == [DOT, (0, 1)]
    assert page.locator("tbody tr").count() == 2


def test_later_at_a_table_marks_are_added_and_taken_out_by_pressing(site: Site) -> None:
    page = site.open()
    page.goto(f"{site.snags_page}?raise=1")
    page.fill("#what", "Chip")
    page.set_input_files("#photos", [photo("one.jpg"), photo("two.jpg", "#225588")])
    tap(page, 0)
    save(page)
    page.get_by_role("link", name="Set marks on these photos").click()
    expect(page.locator(".spot")).to_have_count(1)
    tap(page, 1, at=(0.3, 0.3))
    page.get_by_role("button", name="Take out").first.click()
    save(page)
    (snag,) = site.snags()
    (mark,) = snag.marks
    assert (mark.sha256, mark.number) == (snag.photos[1].sha256, 1)
    assert near((mark.x, mark.y), (0.3, 0.3))
    with site.store.read() as session:
        assert len(marks.standing_sets(session, [snag.entry.id])[snag.entry.id]) == 1


def test_the_pages_are_accessible_and_keep_to_their_width(site: Site) -> None:
    page = site.open()
    wrong: dict[str, Any] = {}
    page.on("console", lambda message: wrong.update({page.url: message.text}) if message.type == "error" else None)

    def look(name: str) -> None:
        found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]})
        said = [f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in found.response["violations"]]
        if page.evaluate("document.documentElement.scrollWidth") > PHONE["width"]:
            said.append("scrolls sideways")
        if said:
            wrong[name] = said

    page.goto(site.snags_page)
    look("empty")
    page.set_input_files("#photos", [photo("one.jpg"), photo("two.jpg", "#225588")])
    tap(page, 0, at=(1, 0.5))
    tap(page, 1, at=(0, 0.9))
    look("raising")
    page.fill("#what", "Chip")
    save(page)
    look("one")
    page.get_by_role("link", name="Set marks on these photos").click()
    expect(page.locator(".spot")).to_have_count(2)
    look("marks")
    page.goto(site.snags_page)
    look("listing")
    assert wrong == {}
