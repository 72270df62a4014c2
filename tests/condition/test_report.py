"""The record of a condition report, built from looks, and its PDF with real photos."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pypdfium2
import pytest

from siteapp.condition import services
from siteapp.condition.pdf import report_file
from siteapp.condition.report import photos_of, record_of
from siteapp.marks.services import Mark, set_marks
from siteapp.store.entries import PhotoUse
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.condition.support import a_picture, arrived, dispatched, looked, uses
from tests.documents import reading
from tests.documents.reading_marks import DPI, MM, images, red_near, rings_on

if TYPE_CHECKING:
    from siteapp.documents.condition.records import ConditionRecord
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

JOB = {"client": "Z. Quillfeather", "address": "77 Nowhere Row", "access_notes": "Key under the blue pot."}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece for a client who must not be named, beside one that was looked at."""
    with store.write() as session:
        looked(session, noise.piece)
        return factories.a_piece(session, job_id=factories.a_job(session, place="a library", **JOB))


def record(store: Store, piece: PieceNow, **wanted: Any) -> ConditionRecord:
    with store.read() as session:
        made = record_of(session, piece=piece, **wanted)
    assert made is not None
    return made


def test_a_report_is_about_the_latest_look_unless_another_is_named_and_brings_the_look_before(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = dispatched(session, piece, note="packed")
        second = arrived(session, piece, note="lid scuffed")
        third = looked(session, piece, note="dust")
    latest = record(store, piece)
    assert (latest.entry_id, latest.look.reason, latest.look.note) == (third, "Handover", "dust")
    assert latest.before is not None
    assert (latest.before.reason, latest.before.note) == ("Arrival", "lid scuffed")
    assert [(one.reason, one.sides) for one in latest.earlier] == [("Before dispatch", ()), ("Arrival", ())]
    assert record(store, piece, look_id=second).before == record(store, piece, look_id=first).look
    assert record(store, piece, look_id=first).before is None


def test_there_is_no_report_without_a_look_nor_on_a_look_at_another_piece(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.read() as session:
        foreign = services.looks(session, noise.piece)[0].entry.id
        assert record_of(session, piece=piece) is None
        assert record_of(session, piece=piece, look_id=foreign) is None


def test_the_client_and_the_address_are_never_on_it_whatever_was_typed(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        words = "Seen with z.  quillfeather at 77 Nowhere Row; key under the blue pot."
        arrived(session, piece, note=words)
        look = looked(session, piece, note=words, light=words, surroundings=words, advice=words)
        front = services.looks(session, piece)[-1].photos[0].sha256
        marks = [Mark(front, 0.5, 0.5, "chip", words)]
        set_marks(session, factories.a_writer(session), piece=piece, of_id=look, marks=marks)
    made = record(store, piece)
    said = str(made.to_json()).lower()
    for secret in ("quillfeather", "nowhere row", "blue pot"):
        assert secret not in said
    assert made.place == "a library"
    assert made.look.note == "Seen with […] at […]; […]"


def test_slots_without_a_photo_are_there_to_be_named_and_marks_go_where_their_kind_belongs(
    store: Store, piece: PieceNow
) -> None:
    kinds = ("crack", "scratch", "tarnish or corrosion", "other", None)
    with store.write() as session:
        photos = uses(session, ["front", "hardware"])
        look = looked(session, piece, photos=photos)
        marks = [Mark(photos[0].sha256, 0.5, 0.5, kind) for kind in kinds]
        marks.append(Mark(photos[1].sha256, 0.5, 0.5, "scratch"))
        set_marks(session, factories.a_writer(session), piece=piece, of_id=look, marks=marks)
    made = record(store, piece)
    assert [side.key for side in made.look.sides if side.wanted and not side.shots] == [
        "back",
        "edges",
        "raking light",
        "scale and colour target",
    ]
    assert [spot.about for spot in made.look.spots] == ["structure", "surface", "metalwork", None, None, "metalwork"]
    assert [spot.number for spot in made.look.spots] == [1, 2, 3, 4, 5, 6]


def test_one_photo_in_two_slots_has_its_marks_once(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        sha = factories.a_photo_row(session)
        look = looked(session, piece, photos=[PhotoUse(sha, "front"), PhotoUse(sha, "details")])
        marks = [Mark(sha, 0.5, 0.5, "chip")]
        set_marks(session, factories.a_writer(session), piece=piece, of_id=look, marks=marks)
    made = record(store, piece)
    assert len(made.look.spots) == 1
    assert photos_of(made) == [sha]


@pytest.mark.parametrize(
    ("orientation", "upright"), [(None, (0.2, 0.3)), (6, (0.7, 0.2)), (3, (0.8, 0.7)), (8, (0.3, 0.8))]
)
def test_a_mark_stands_on_the_upright_photo_however_the_camera_was_held(
    store: Store, piece: PieceNow, orientation: int | None, upright: tuple[float, float]
) -> None:
    with store.write() as session:
        sha = factories.a_photo(session, store, a_picture(900, 600, dot=(0.2, 0.3), orientation=orientation))
        look = looked(session, piece, photos=[PhotoUse(sha, "details")])
        marks = [Mark(sha, *upright, "stain", "red")]
        set_marks(session, factories.a_writer(session), piece=piece, of_id=look, marks=marks)
    made = report_file(record(store, piece), PhotoFolder(store.settings.photos, store.settings.cache), "A4")
    document = pypdfium2.PdfDocument(made)
    page = next(document[place] for place in range(1, len(document)) if images(document[place]))
    ((left, low, right, top),) = images(page)
    (ring,) = rings_on(page)
    expected = left + upright[0] * (right - left), top - upright[1] * (top - low)
    assert math.dist(ring, expected) * MM < 0.1
    drawn = page.render(scale=DPI / 72).to_pil().convert("RGB")
    assert math.dist(red_near(drawn, ring, page.get_height()), ring) * MM < 0.4


def test_a_photo_that_is_damaged_or_gone_is_named_and_the_report_is_made(store: Store, piece: PieceNow) -> None:
    folder = PhotoFolder(store.settings.photos, store.settings.cache)
    with store.write() as session:
        gone, damaged = factories.a_photo_row(session), factories.a_photo(session, store)
        looked(session, piece, photos=[PhotoUse(gone, "front"), PhotoUse(damaged, "back")])
    said = reading.text(report_file(record(store, piece), folder, "Letter"))
    assert f"This photo is not on this machine: {gone[:12]}" in said
    assert f"This photo is not on this machine: {damaged[:12]}" in said
