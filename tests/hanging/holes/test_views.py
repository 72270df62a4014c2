"""The holes as a fitter meets them on a page: called, typed, refused with everything still there, answered."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from siteapp.hanging.holes import services
from siteapp.pieces import services as pieces
from tests.hanging.holes import support
from tests.hanging.holes.support import POINTS, called

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests import factories
    from tests.web_support import Browser

OTHER = {"unit": "mm", "caller": "Kept words", "way": "same", "note": "Kept note"}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece on four points, beside another."""
    with store.write() as session:
        return support.a_piece(session)


def as_typed(read: list[services.ReadFacts]) -> dict[str, str]:
    """A round as the page sends it."""
    fields = dict(OTHER)
    for number, one in enumerate(read):
        fields |= {
            f"readings-{number}-a": one.a,
            f"readings-{number}-b": one.b or "",
            f"readings-{number}-read": one.typed,
        }
        if one.from_mm is not None:
            fields[f"readings-{number}-held"] = "yes"
    return fields


def test_readings_are_asked_for_in_ladder_order_typed_and_answered(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/holes"
    page = fitter.get(home).get_data(as_text=True)
    assert "Nothing was measured yet." in page
    rows = re.findall(r'data-reading="([^"]*)"', page)
    assert len(rows) == len(called())
    assert "Height of A over the laser line" in page
    assert "from 100" in page
    answer = fitter.post(home, as_typed(called()))
    assert (answer.status_code, answer.location) == (303, home)
    page = fitter.get(home).get_data(as_text=True)
    for words in ("Tightest hole", "At least, with 95 % certainty", "It drops ", "where it should be", "Kept words"):
        assert words in page
    assert 'class="verdict met"' in page
    with store.read() as session:
        now = services.holes_now(session, piece)
    assert now
    assert now.worked.verdict == "met"


def test_inches_fractions_and_other_units_are_read_as_they_are_called(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    fields = OTHER | {
        "unit": "in",
        "readings-0-a": "A",
        "readings-0-b": "B",
        "readings-0-read": "35 1/2",
        "readings-1-a": "A",
        "readings-1-b": "C",
        "readings-1-read": "1055 mm",
        "readings-2-a": "B",
        "readings-2-b": "C",
        "readings-2-read": "35",
        "readings-2-held": "yes",
        "readings-3-a": "D",
        "readings-3-b": "",
        "readings-3-read": "-2 1/4",
    }
    assert fitter.post(f"/p/{piece.number}/holes", fields).status_code == 303
    with store.read() as session:
        now = services.holes_now(session, piece)
    assert now
    assert [(row.mm, row.typed, row.from_mm) for row in now.readings] == [
        (pytest.approx(901.7), "35 1/2", None),
        (1055.0, "1055 mm", None),
        (pytest.approx(635.0), "35", 254.0),
        (pytest.approx(-57.15), "-2 1/4", None),
    ]
    page = fitter.get(f"/p/{piece.number}/holes").get_data(as_text=True)
    # As typed, to be put right; and what is missing is said before the answer.
    assert 'value="35 1/2"' in page
    assert page.index("not enough readings") < page.index('class="verdict cannot-tell"')


BAD = [
    ({"readings-0-read": "12oo"}, "“12oo” is not taken"),
    ({"readings-0-read": "1,234"}, "It can be read in two ways"),
    ({"readings-0-read": "nan"}, "“nan” is not taken"),
    ({"readings-0-read": "1e999"}, "“1e999” is not taken"),
    ({"readings-0-read": "-5"}, "Allowed is from 1 to 50"),
    ({"readings-0-read": "60 m"}, "Allowed is from 1 to 50"),
    ({"readings-0-read": "5 kg"}, "is not taken"),
    ({"readings-0-read": "50", "readings-0-held": "yes"}, "Allowed is from 1 to 50"),
    ({"readings-0-a": "Q"}, "From hole: “Q” is not taken. Allowed are A, B, C, D."),
    ({"readings-0-b": "A"}, "a tape runs to another hole"),
    ({"readings-0-a": ""}, "From hole: choose one."),
    ({"readings-0-b": "", "readings-0-read": "-20001"}, "Allowed is from −20"),
    ({"readings-0-read": ""}, "Nothing was read yet"),
    ({"unit": "ells"}, "The tape reads: “ells” is not taken"),
    ({"way": "sideways"}, "“sideways” is not taken"),
    ({"caller": "x" * 201 + "Kept words"}, "characters are too many"),
]


def test_bad_input_is_refused_in_words_and_everything_typed_is_still_there(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    good = OTHER | {"readings-0-a": "A", "readings-0-b": "B", "readings-0-read": "900.2"}
    for changed, words in BAD:
        answer = fitter.post(f"/p/{piece.number}/holes", good | changed)
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, changed
        assert words in page, (changed, page)
        assert "Kept note" in page
        assert "Kept words" in page
    with store.read() as session:
        assert services.holes_now(session, piece) is None


def test_a_slip_and_a_hole_that_is_off_are_told_as_one_faces_the_wall(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    wall = {**POINTS, "C": (POINTS["C"][0] - 14, POINTS["C"][1])}
    with store.write() as session:
        first = support.record(session, piece, called(wall))
    page = fitter.get(f"/p/{piece.number}/holes").get_data(as_text=True)
    assert 'class="verdict not-met"' in page
    assert re.search(r"<bdi>C</bdi>:</b> \d+ mm left", page)
    assert "The least that would let it go on" in page
    assert "of metal left to the plate" in page
    assert f'name="corrects" value="{first}"' in page
    read = called()
    number = next(n for n, one in enumerate(read) if one.b is not None)
    read[number] = services.ReadFacts(read[number].a, read[number].b, read[number].mm + 15, "15 more")
    with store.write() as session:
        support.record(session, piece, read, corrects=[first])
    page = fitter.get(f"/p/{piece.number}/holes").get_data(as_text=True)
    assert "A reading to take again" in page
    assert "read again" in page


def test_somebody_faster_is_said_and_theirs_stands(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = support.record(session, piece)
        support.record(session, piece, corrects=[first])
    answer = fitter.post(f"/p/{piece.number}/holes", as_typed(called()) | {"corrects": first})
    assert answer.status_code == 409
    assert "Kept words" in answer.get_data(as_text=True)
    # Drilled again: a round of its own, whatever it was begun from.
    anew = fitter.post(f"/p/{piece.number}/holes", as_typed(called()) | {"corrects": first, "anew": "yes"})
    assert anew.status_code == 303
    with store.read() as session:
        assert len(services.rounds(session, piece.piece_id)) == 2


def test_a_piece_without_points_says_what_to_do_first(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        bare = support.a_piece(session, {})
        one = support.a_piece(session, {"A": (0.0, 0.0)})
        many = support.a_piece(session, {f"P{n}": (50.0 * n, 20.0 * (n % 3)) for n in range(70)})
    page = fitter.get(f"/p/{bare.number}/holes").get_data(as_text=True)
    assert "no hanging points yet" in page
    assert "1 in number; allowed is from 2 to 60" in fitter.get(f"/p/{one.number}/holes").get_data(as_text=True)
    assert "70 in number; allowed is from 2 to 60" in fitter.get(f"/p/{many.number}/holes").get_data(as_text=True)


def test_what_cannot_be_worked_out_is_said_and_the_readings_stay(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        narrow = support.a_piece(session, bolt_mm=18.0)
        support.record(session, narrow)
        odd = support.a_piece(session, {'"><b>': (0.0, 0.0), "a|b": (900.0, 0.0), "c'": (400.0, 500.0)})
    page = fitter.get(f"/p/{narrow.number}/holes").get_data(as_text=True)
    assert "no narrower than its bolt" in page
    assert 'value="440.0"' in page
    page = fitter.get(f"/p/{odd.number}/holes")
    assert page.status_code == 200
    assert "<b> to" not in page.get_data(as_text=True)


def a_jpeg() -> io.BytesIO:
    made = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 90, 60)).save(made, "JPEG")
    made.seek(0)
    return made


def test_a_hole_is_eased_with_its_photo_and_the_particulars_say_so(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    wall = {**POINTS, "C": (POINTS["C"][0] + 14, POINTS["C"][1])}
    with store.write() as session:
        support.record(session, piece, called(wall))
        now = services.holes_now(session, piece)
    assert now
    assert now.offered
    assert now.offered.remedy
    label = now.offered.remedy[0].label
    home = f"/p/{piece.number}/holes/ease"
    form = maker.get(f"{home}?label={label}").get_data(as_text=True)
    offered = {
        name: re.search(rf'name="{name}" value="([^"]*)"', form) for name in ("slot_mm", "slot_deg", "dx_mm", "dy_mm")
    }
    typed = {name: found[1] for name, found in offered.items() if found}
    assert set(typed) == set(offered)
    typed |= {"label": label, "hole_mm": "16", "reason": "Kept words", "revises": piece.revision.id}
    for changed, words in (
        ({}, "a photo is needed"),
        ({"hole_mm": ""}, "Width now: this is needed."),
        ({"hole_mm": "x"}, "Width now: “x” is not taken."),
        ({"label": "Q"}, "Hole: “Q” is not taken."),
        ({"dx_mm": "900"}, "“900” is not taken"),
    ):
        answer = maker.post(home, typed | changed)
        assert answer.status_code == 422
        page = answer.get_data(as_text=True)
        assert words in page
        assert "Kept words" in page
    assert maker.post(home, typed | {"photos": (a_jpeg(), "hole.jpg")}).status_code == 303
    with store.read() as session:
        after = pieces.find(session, piece.number)
        assert after
        found = services.holes_now(session, after)
    assert next(one.slot_mm for one in after.hanging_points if one.label == label)
    assert found
    assert found.worked.verdict in {"met", "cannot tell"}
    late = maker.post(home, typed | {"photos": (a_jpeg(), "hole.jpg")})
    assert late.status_code == 409
    assert "Kept words" in late.get_data(as_text=True)
