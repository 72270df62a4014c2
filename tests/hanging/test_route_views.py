"""The page of the way in: asked, shown, refused, described again."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

from siteapp.hanging.route import services
from tests import factories
from tests.dispatch.support import a_photo
from tests.hanging.ways import DOOR, a_crate, a_way

if TYPE_CHECKING:
    from siteapp.hanging.route.services import RouteNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {
    "ways_up": "upright or on its side",
    "may_tilt": "yes",
    "room_mm": "2 in",
    "measured_by": "E. Measurer (invented)",
    "measured_on": "2026-11-20",
    "steps-0-kind": "opening",
    "steps-0-name": "front door",
    "steps-0-width_mm": "33 in",
    "steps-0-height_mm": "1,98 m",
    "steps-0-measured": "yes",
    "steps-3-kind": "corner",
    "steps-3-name": "hall <b>",
    "steps-3-width_mm": "1100",
    "steps-3-second_mm": "1200",
    "steps-3-height_mm": "2400",
    "note": "ring twice",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece in its crate, beside another whose way in is known."""
    with store.write() as session:
        a_crate(session, noise.piece)
        a_way(session, noise.piece, note="the other piece's way")
        found = factories.a_piece(session)
        a_crate(session, found)
        return found


def now(store: Store, piece: PieceNow) -> RouteNow | None:
    with store.read() as session:
        return services.route_now(session, piece)


def test_an_empty_page_says_what_to_do_first_and_the_cautions_stand_there(fitter: Browser, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/route").get_data(as_text=True)
    for words in ("Nobody has described the way in yet", "1\u202f400", "a competent person", "Keep the way in"):
        assert words in page
    assert "the other piece" not in page


def test_a_way_is_kept_and_shown_with_its_sizes_assumptions_and_source(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = fitter.post(f"/p/{piece.number}/route", {**TYPED, "photos": a_photo()})
    assert answer.status_code == 303, answer.get_data(as_text=True)
    found = now(store, piece)
    assert found is not None
    said = found.version.said
    assert (said.ways_up, said.may_tilt, said.room_mm, said.measured_on) == (
        "upright or on its side",
        True,
        50.8,
        "2026-11-20",
    )
    assert [(row.name, row.width_mm, row.height_mm, bool(row.measured)) for row in found.steps] == [
        ("front door", pytest.approx(838.2), pytest.approx(1980), True),
        ("hall <b>", 1100, 2400, False),
    ]
    page = fitter.get(f"/p/{piece.number}/route").get_data(as_text=True)
    for words in (
        "cannot tell",
        "hall &lt;b&gt;",
        "told, not measured",
        "to spare",
        "ring twice",
        "rectangle in rectangle",
        "room for hands",
    ):
        assert words in page, words


def test_the_first_obstacle_heads_the_page(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_way(session, piece, [{**DOOR, "width_mm": 330.0}])
    page = fitter.get(f"/p/{piece.number}/route").get_data(as_text=True)
    assert "First obstacle: front door – 20 mm short" in page


REFUSED = [
    ({"steps-0-width_mm": "wide"}, "steps-0-width_mm", "Clear width: “wide” is not taken. Give a number from 1 to"),
    ({"steps-0-width_mm": "12 kg"}, "steps-0-width_mm", "Clear width: “12 kg” is not taken"),
    ({"steps-0-width_mm": "-5"}, "steps-0-width_mm", "Clear width: “-5” is not taken"),
    ({"steps-0-width_mm": "nan"}, "steps-0-width_mm", "Clear width: “nan” is not taken"),
    ({"steps-0-width_mm": "1e999"}, "steps-0-width_mm", "Clear width: “1e999” is not taken"),
    ({"steps-0-kind": "window"}, "steps-0-kind", "“window” is not taken"),
    ({"steps-0-kind": ""}, "steps-0-kind", "What it is: choose one"),
    ({"steps-0-name": ""}, "steps-0-name", "Where"),
    ({"steps-0-load_kg": "300"}, "steps-0-load_kg", "nothing is asked for here by “Door or other opening”"),
    ({"steps-3-riders": "1.5"}, "steps-1-riders", "whole number"),
    ({"steps-3-slope_deg": "80"}, "steps-1-slope_deg", "from 0 to 45"),
    ({"room_mm": "900"}, "room_mm", "from 0 to 500"),
    ({"may_tilt": "perhaps"}, "may_tilt", "“perhaps” is not taken"),
    ({"measured_on": "2199-01-01"}, "measured_on", "to today"),
]


def test_what_cannot_be_is_named_and_everything_typed_is_still_there(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    for changes, field, words in REFUSED:
        answer = fitter.post(f"/p/{piece.number}/route", {**TYPED, **changes})
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, field
        assert f'id="{field}-error"' in page, field
        for kept in (words, "ring twice", "hall &lt;b&gt;"):
            assert kept in page, (field, kept)
    assert now(store, piece) is None


def test_what_is_no_photo_is_refused_and_the_rest_is_kept(fitter: Browser, store: Store, piece: PieceNow) -> None:
    form = {**TYPED, "photos": (io.BytesIO(b"no picture"), "x.jpg")}
    answer = fitter.post(f"/p/{piece.number}/route", form)
    assert answer.status_code == 422
    assert "ring twice" in answer.get_data(as_text=True)
    assert now(store, piece) is None


def test_no_step_and_far_too_many_are_refused(fitter: Browser, store: Store, piece: PieceNow) -> None:
    none = fitter.post(f"/p/{piece.number}/route", {"ways_up": "any"})
    assert none.status_code == 422
    assert "give at least 1 line" in none.get_data(as_text=True)
    rows = {
        f"steps-{row}-{name}": value for row in range(61) for name, value in (("kind", "opening"), ("name", "door"))
    }
    many = fitter.post(f"/p/{piece.number}/route", rows)
    assert many.status_code == 422
    assert "61 lines are too many" in many.get_data(as_text=True)
    assert now(store, piece) is None


def test_a_later_description_is_offered_what_was_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = a_way(session, piece)
    page = fitter.get(f"/p/{piece.number}/route").get_data(as_text=True)
    assert f'name="revises" value="{first}"' in page
    assert 'name="steps-2-load_kg" value="320"' in page
    assert fitter.post(f"/p/{piece.number}/route", {**TYPED, "revises": first}).status_code == 303
    page = fitter.get(f"/p/{piece.number}/route").get_data(as_text=True)
    assert "One earlier description" in page


def test_who_was_slower_keeps_what_was_typed(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = a_way(session, piece)
    with store.write() as session:
        a_way(session, piece, [DOOR], revises=first)
    answer = fitter.post(f"/p/{piece.number}/route", {**TYPED, "revises": first})
    assert answer.status_code == 409
    assert "ring twice" in answer.get_data(as_text=True)
    found = now(store, piece)
    assert found is not None
    assert len(found.steps) == 1


def test_a_stranger_is_sent_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/route").status_code == 303
