"""The labels' page, their pictures and their PDFs, as somebody asks for them by address."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest

from siteapp.pieces.services import make_piece
from siteapp.workshop.services import Workshop, set_workshop
from tests import factories
from tests.documents import reading

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

OF_THE_CARD = {
    "take_down": "Two hold, one takes the nuts off.",
    "keep_away": "Lamps closer than 300 mm",
    "care_never": "Water",
    "who_to_ask": "Reed & Tern (invented)\n+44 1632 960 143",
}


# One device asks for all of them: making the application takes longer than making a label.
PRINTED: list[tuple[str, set[tuple[float, float]], int]] = [
    ("form=edge", {(90.0, 26.0)}, 1),
    ("form=card", {(148.0, 105.0)}, 1),
    ("form=set", {(100.0, 70.0), (90.0, 26.0), (148.0, 105.0)}, 3),
    ("form=set&sheet=A4&copies=2", {(210.0, 297.0)}, 6),
    ("sheet=A4", {(210.0, 297.0)}, 8),
    ("sheet=Letter", {(215.9, 279.4)}, 6),
    ("form=edge&sheet=A4&copies=3&start=5&gap=2&margin=10", {(210.0, 297.0)}, 3),
    ("width=62&height=110&copies=2", {(62.0, 110.0)}, 2),
    ("width=4+in&height=3+in", {(101.6, 76.2)}, 1),
]
REFUSED = [
    ("form=flag", "Which label: “flag” is not taken. Choose one of:"),
    ("sheet=A5", "Printed on: “A5” is not taken. Choose one of:"),
    ("width=wide", "Width: “wide” is not taken. Give a number from 54 to 300 mm."),
    ("width=301", "Width: “301” is not taken. Give a number from 54 to 300 mm."),
    ("width=62", "Label height: is 70 mm; allowed is 105 to 300 mm for one 62 mm wide"),
    ("form=edge&height=81", "Label height: is 81 mm; allowed is 24 to 80 mm."),
    ("form=card&height=80", "Label height: is 80 mm; allowed is 90 to 300 mm."),
    ("copies=0", "Copies: “0” is not taken. Give a whole number from 1 to 100."),
    ("copies=1.5", "Copies: “1.5” is not taken. Give a whole number from 1 to 100."),
    ("sheet=A4&start=9", "Start: is 9; allowed is 1 to 8."),
    ("margin=50", "Margin of the sheet: “50” is not taken. Give a number from 0 to 40 mm."),
    ("gap=-2", "Gap between labels: “-2” is not taken. Give a number from 0 to 30 mm."),
    ("form=set&width=100", "Width: “100” is not taken for all three"),
    ("form=set&start=2", "First place on the sheet: “2” is not taken for all three"),
    ("sheet=A4&width=290&height=290", "Label sheet: no label of 290 × 290 mm goes on &#39;A4&#39;"),
    ("form=edge&copies=nan", "Copies: “nan” is not taken."),
]


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of a workshop with a lasting address, beside another job's."""
    with store.write() as session:
        set_workshop(session, Workshop("Reed & Tern (invented)", "https://reed.example"))
        return factories.a_piece(session, title="Shoal under the stair", **OF_THE_CARD)


def test_the_labels_address_without_parameters_gives_the_back_label_alone(fitter: Browser, piece: PieceNow) -> None:
    answer = fitter.get(f"/p/{piece.number}/label.pdf")
    assert answer.status_code == 200
    assert answer.content_type == "application/pdf"
    assert reading.sizes_mm(answer.data) == {(100.0, 70.0)}
    codes = reading.codes(reading.picture(answer.data))
    assert f"HTTPS://REED.EXAMPLE/P/{piece.number}" in codes
    assert len(codes) == 2
    assert "no thermal printing near heat" in reading.text(answer.data)


def test_labels_are_printed_as_they_were_asked_for(fitter: Browser, piece: PieceNow) -> None:
    grouped = f"{piece.number[:4]}-{piece.number[4:]}"
    for asked, sizes, count in PRINTED:
        answer = fitter.get(f"/p/{piece.number}/label.pdf?{asked}")
        assert answer.status_code == 200, answer.get_data(as_text=True)
        assert reading.sizes_mm(answer.data) == sizes, asked
        assert reading.text(answer.data).count(grouped) == count, asked


def test_what_cannot_be_asked_for_is_named_with_its_range_and_stays_on_the_page(
    fitter: Browser, piece: PieceNow
) -> None:
    for asked, told in REFUSED:
        answer = fitter.get(f"/p/{piece.number}/label.pdf?{asked}")
        assert answer.status_code == 400, asked
        assert told in answer.get_data(as_text=True), asked
        page = fitter.get(f"/p/{piece.number}/label?{asked}")
        assert page.status_code == 422, asked
        words = page.get_data(as_text=True)
        assert told in words, asked
        typed = asked.rpartition("=")[2]
        assert f'value="{typed}"' in words or typed in {"flag", "A5"}, asked


def test_the_page_shows_every_form_with_its_size_and_how_to_print_it(fitter: Browser, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/label").get_data(as_text=True)
    for words in ("Back label", "Small label for the lower edge", "Card for the house file", "148 × 105 mm"):
        assert words in page
    assert "At 100 %" in page
    assert "No thermal printing near heat" in page
    assert re.search(r'value="back" checked', page)
    pictures = re.findall(r'<img src="(/p/[^"]+)"', page)
    assert len(pictures) == 3
    for address in pictures:
        answer = fitter.get(address.replace("&amp;", "&"))
        assert answer.content_type.startswith("image/svg+xml")
        drawn = ET.fromstring(answer.data)
        words = " ".join(part.text or "" for part in drawn.iter("{http://www.w3.org/2000/svg}text"))
        assert "Shoal under the stair" in words
        # A page's own rules let a picture bring nothing along: no style, no picture in it.
        assert b" style=" not in answer.data
        assert b"data:" not in answer.data


def test_the_chosen_size_is_shown_and_what_has_no_room_is_named(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        long = factories.a_piece(session, title="A walk along the tide line " * 6, way_up="arrow up " * 30)
    page = fitter.get(f"/p/{long.number}/label?form=back&width=80&height=60").get_data(as_text=True)
    assert "80 × 60 mm" in page
    assert "Cut for want of room: Title, " in page
    assert "No lasting web address is set" in page


def test_letters_that_no_typeface_has_are_named_before_printing(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, title="שלום <b>")
    page = fitter.get(f"/p/{piece.number}/label").get_data(as_text=True)
    assert "Title has Hebrew letters, which no typeface of this program has." in page
    assert "[in Hebrew letters] &lt;b&gt;" in fitter.get(f"/p/{piece.number}/label.svg").get_data(as_text=True)


def test_a_link_that_the_small_label_cannot_hold_is_said_with_what_to_do(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        set_workshop(session, Workshop("Reed", "https://the-very-long-name-of-a-workshop.example"))
        piece = factories.a_piece(session)
    page = fitter.get(f"/p/{piece.number}/label?form=edge&height=24").get_data(as_text=True)
    assert "Not to be made in this size: QR code: 41 modules on 20 mm" in page
    for kind in ("pdf", "svg"):
        answer = fitter.get(f"/p/{piece.number}/label.{kind}?form=edge&height=24")
        assert answer.status_code == 400
        assert "allowed is 0.5 mm or more" in answer.get_data(as_text=True)


def test_every_piece_of_a_job_has_its_label_and_no_other_has(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        make_piece(
            session,
            factories.a_writer(session),
            job_id=piece.job_id,
            facts={
                "fields": {"title": "The second of them", "object_type": "wall relief"},
                "build_up": [],
                "hanging_points": [],
                "photos": (),
            },
        )
    answer = fitter.get(f"/jobs/{piece.job_id}/labels.pdf?form=edge&sheet=A4&copies=2")
    assert answer.status_code == 200
    said = reading.text(answer.data)
    assert [said.count(title) for title in ("Shoal under the stair", "The second of them")] == [2, 2]
    assert len(reading.codes(reading.picture(answer.data))) == 2
    assert fitter.get(f"/jobs/{piece.job_id}/labels.pdf?form=flag").status_code == 400
    answer = fitter.get(f"/jobs/{piece.job_id}/labels.pdf?copies=61")
    assert answer.status_code == 400
    assert "they come to 122 labels; allowed is 120" in answer.get_data(as_text=True)


def test_a_job_without_a_piece_or_no_job_at_all_has_no_labels(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session)
    answer = fitter.get(f"/jobs/{job_id}/labels.pdf")
    assert answer.status_code == 404
    assert "no piece yet" in answer.get_data(as_text=True)
    assert fitter.get("/jobs/00000000-0000-4000-8000-000000000000/labels.pdf").status_code == 404


def test_a_picture_of_all_three_at_once_is_refused(fitter: Browser, piece: PieceNow) -> None:
    answer = fitter.get(f"/p/{piece.number}/label.svg?form=set")
    assert answer.status_code == 400


def test_nothing_of_the_job_is_on_any_label(fitter: Browser, store: Store, piece: PieceNow) -> None:
    from siteapp.jobs.services import job_now

    with store.read() as session:
        found = job_now(session, piece.job_id)
    assert found is not None
    said = reading.text(fitter.get(f"/p/{piece.number}/label.pdf?form=set&sheet=A4").data)
    for secret in (found[1].client, found[1].address, found[1].access_notes):
        assert secret
        assert secret not in said
