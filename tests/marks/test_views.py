"""The page that sets marks on photos: seen, set, refused with everything typed still there."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.marks import services
from siteapp.marks.services import Mark
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from siteapp.store.models import Entry
    from tests.web_support import Browser

NONE = "00000000-0000-4000-8000-000000000000"


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session)


@pytest.fixture
def look(store: Store, piece: PieceNow) -> Entry:
    """Something recorded of the piece with three photos, one of them twice."""
    with store.write() as session:
        front, back, other = (factories.a_photo(session, store) for _ in range(3))
        slots = ((front, "front"), (back, "back"), (front, "details"), (other, "snag"))
        photos = [PhotoUse(sha, slot=slot) for sha, slot in slots]
        about = {"job_id": piece.job_id, "piece_id": piece.piece_id, "photos": photos}
        return entries.append(session, factories.a_writer(session), kind="look", **about)


def shas(store: Store, look: Entry) -> list[str]:
    with store.read() as session:
        found = services.photos_of(session, [look.id])[look.id]
    return list(dict.fromkeys(photo.sha256 for photo in found))


def row(number: int, photo: Any = 1, x: Any = 50, y: Any = 50, **more: Any) -> dict[str, Any]:
    fields = {"photo": photo, "x_percent": x, "y_percent": y, **more}
    return {f"marks-{number}-{name}": str(value) for name, value in fields.items()}


def address(piece: PieceNow, look: Entry) -> str:
    return f"/p/{piece.number}/marks/{look.id}"


def of(store: Store, look: Entry) -> list[tuple[Any, ...]]:
    with store.read() as session:
        marks = services.marks_of(session, [look.id])[look.id]
    return [(one.sha256, one.x, one.y, one.kind, one.note) for one in marks]


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow, look: Entry) -> None:
    answer = stranger.get(address(piece, look))
    assert answer.status_code == 303
    assert answer.location.startswith("/sign-in")


def test_marks_typed_in_percent_are_kept_and_shown_on_the_photo_and_in_the_table(
    fitter: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    front, back, _other = shas(store, look)
    rows = row(0, 2, "12,5", "99.9", kind="chip", note="Chip <4 mm> مرحبا") | row(7, 1, 0, 100)
    answer = fitter.post(address(piece, look), rows)
    assert (answer.status_code, answer.location) == (303, address(piece, look))
    assert of(store, look) == [(back, 0.125, 0.999, "chip", "Chip <4 mm> مرحبا"), (front, 0.0, 1.0, None, None)]
    page = fitter.get(answer.location).get_data(as_text=True)
    assert 'alt="Photo 2: Back. Marks: 1 chip, lower left"' in page
    assert re.search(r'<svg x="12.50%" y="99.90%">.*<text>1</text>', page)
    assert "Chip &lt;4 mm&gt; مرحبا" in page
    assert "2 marks stand" in page
    assert re.search(r'name="marks-0-x_percent" value="12.5"', page)
    assert len(re.findall(r'<data class="shown_sha"', page)) == 3


def test_a_photo_without_marks_says_only_what_it_shows(fitter: Browser, piece: PieceNow, look: Entry) -> None:
    page = fitter.get(address(piece, look)).get_data(as_text=True)
    assert 'alt="Photo 1: Front"' in page
    assert "mark stands" not in page
    assert "Marks: " not in page


def test_after_saving_one_is_led_back_to_where_one_came_from_but_never_elsewhere(
    fitter: Browser, piece: PieceNow, look: Entry, store: Store
) -> None:
    page = fitter.get(f"{address(piece, look)}?back=/p/{piece.number}/snags").get_data(as_text=True)
    assert f'name="back" value="/p/{piece.number}/snags"' in page
    answer = fitter.post(address(piece, look), row(0) | {"back": f"/p/{piece.number}/snags"})
    assert answer.location == f"/p/{piece.number}/snags"
    with store.read() as session:
        (stands,) = services.standing_sets(session, [look.id])[look.id]
    for elsewhere in ("https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"):
        page = fitter.get(f"{address(piece, look)}?back={elsewhere}").get_data(as_text=True)
        assert "elsewhere.example" not in page
        assert "javascript:" not in page
        bad = fitter.post(address(piece, look), row(0, x=300) | {"back": elsewhere, "stands": stands})
        assert f'href="{elsewhere}"' not in bad.get_data(as_text=True)
    answer = fitter.post(address(piece, look), row(0) | {"back": "//elsewhere.example", "stands": stands})
    assert answer.location == address(piece, look)


WRONG = (
    (row(0, x=100.1), "From the left: “100.1” is not taken. Give a number from 0 to 100 %."),
    (row(0, y=-1), "From the top: “-1” is not taken. Give a number from 0 to 100 %."),
    (row(0, x="left"), "From the left: “left” is not taken."),
    (row(0, x=""), "From the left: this is needed."),
    (row(0, photo=""), "Photo: this is needed."),
    (row(0, photo=0), "Photo: “0” is not taken. Give a whole number from 1 to 99."),
    (row(0, photo=4), "the photo of mark 1 is not among these photos"),
    (row(0, photo=2, of=4), "mark 1 was set on photo 2 of 4, and now there are 3 photos"),
    (row(0, kind="scorch"), "Kind: “scorch” is not taken. Choose one of: scratch"),
    (row(0, note="x" * 501), "What it is: 501 characters are too many. Give at most 500."),
    (row(0, note="bell \x07"), "the character at place 6 (U+0007) cannot be kept"),
)


def test_what_cannot_be_a_mark_is_refused_and_stays_in_its_field(
    fitter: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    for wrong, words in WRONG:
        answer = fitter.post(address(piece, look), wrong | row(1, 3, 1.5, 2.5, note="the other row"))
        assert answer.status_code == 422, words
        page = answer.get_data(as_text=True)
        assert words in page
        assert 'value="the other row"' in page
        assert 'name="marks-1-x_percent" value="1.5"' in page
        assert f'name="marks-0-x_percent" value="{wrong["marks-0-x_percent"]}"' in page
    assert of(store, look) == []


def test_more_rows_than_sixty_are_refused(fitter: Browser, store: Store, piece: PieceNow, look: Entry) -> None:
    rows: dict[str, str] = {}
    for number in range(61):
        rows |= row(number)
    answer = fitter.post(address(piece, look), rows)
    assert answer.status_code == 422
    assert "Marks: 61 lines are too many. Give at most 60." in answer.get_data(as_text=True)
    assert of(store, look) == []


def test_without_a_script_another_row_is_asked_for_and_nothing_is_saved(
    fitter: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    answer = fitter.post(address(piece, look), row(0, note="kept") | {"more": "marks"})
    page = answer.get_data(as_text=True)
    assert page.count('class="mark"') == 3  # the one that was filled in, a spare one, and the one for a script to copy
    assert 'value="kept"' in page
    assert "problems-title" not in page
    assert of(store, look) == []


def test_marks_that_somebody_set_meanwhile_are_not_written_over_unseen(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    front, _back, _other = shas(store, look)
    assert maker.post(address(piece, look), row(0, x=10, note="theirs")).status_code == 303
    answer = fitter.post(address(piece, look), row(0, x=20, note="mine"))
    assert answer.status_code == 409
    page = answer.get_data(as_text=True)
    assert "Somebody else changed this while you were typing." in page
    assert 'value="mine"' in page
    assert "theirs" in page
    assert of(store, look) == [(front, 0.1, 0.5, None, "theirs")]
    (stands,) = re.findall(r'name="stands" value="([^"]*)"', page)
    again = fitter.post(address(piece, look), row(0, x=20, note="mine") | {"stands": stands})
    assert again.status_code == 303
    assert of(store, look) == [(front, 0.2, 0.5, None, "mine")]


def test_the_same_form_sent_twice_sets_the_marks_once(
    fitter: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    form = row(0, x=10) | {"form_id": NONE.replace("0000-0", "0001-0")}
    one, two = (fitter.post(address(piece, look), form) for _ in range(2))
    assert (one.status_code, one.location) == (two.status_code, two.location)
    other = fitter.post(address(piece, look), form | row(0, x=11))
    assert other.status_code == 409
    assert "Save as a correction of it" in other.get_data(as_text=True)


def test_only_photos_of_the_piece_have_such_a_page(
    fitter: Browser, piece: PieceNow, look: Entry, noise: factories.Noise
) -> None:
    paths = [
        f"/p/{noise.piece.number}/marks/{look.id}",
        f"/p/{piece.number}/marks/{NONE}",
        f"/p/{piece.number}/marks/{piece.revision.id}",
    ]
    for path in paths:
        assert fitter.get(path).status_code == 404, path
        assert fitter.post(path, row(0)).status_code == 404, path


def test_marks_of_two_machines_are_shown_together_and_saving_makes_one_set(
    fitter: Browser, store: Store, piece: PieceNow, look: Entry
) -> None:
    front, _back, _other = shas(store, look)
    about = {"job_id": piece.job_id, "piece_id": piece.piece_id, "kind": "marks"}
    with store.write() as session:
        for x in (0.1, 0.2):
            body = [services.MarkSet(of_id=look.id), *services.rows([Mark(front, x, 0.5)])]
            entries.append(session, factories.a_writer(session), bodies=body, **about)
    page = fitter.get(address(piece, look)).get_data(as_text=True)
    assert "marked on two machines apart" in page
    (stands,) = re.findall(r'name="stands" value="([^"]*)"', page)
    assert fitter.post(address(piece, look), row(0, x=30) | {"stands": stands}).status_code == 303
    assert of(store, look) == [(front, 0.3, 0.5, None, None)]
