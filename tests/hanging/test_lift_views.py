"""The page of the lift: asked of a maker, read by everybody, refused, planned again; the hanging plan on paper."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pypdf
import pytest

from siteapp.hanging.lifting import services
from tests import factories
from tests.hanging.lifts import STEPS, a_lift
from tests.hanging.ways import a_crate

if TYPE_CHECKING:
    from siteapp.hanging.lifting.services import LiftNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {
    "calls": "F. Caller (invented)",
    "guides": "G. Guide (invented)",
    "lifters": "H. One (invented)\nI. <b>Two</b> (invented)",
    "stop_call": "“Stop”: lower it to the trestles.",
    "lift_points": "by the lower rail",
    "nuts": "A, then B",
    "steps-0-step": "raise",
    "steps-0-people": "2",
    "steps-0-zone_from": "knuckle_to_elbow",
    "steps-0-zone_to": "elbow_to_shoulder",
    "steps-0-reach": "close",
    "steps-0-standing": "platform",
    "steps-2-step": "hold",
    "steps-2-aid": "prop",
    "steps-2-rated_kg": "132 lb",
    "steps-2-people": "0",
    "steps-2-standing": "floor",
    "note": "mind the lamp",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A weighed piece of 12 kg in its crate, beside another piece whose lift is planned."""
    with store.write() as session:
        a_lift(session, noise.piece, note="the other piece's plan")
        found = factories.a_piece(session, mass_kg=12.0)
        a_crate(session, found, gross_kg=16.0)
        return found


def now(store: Store, piece: PieceNow) -> LiftNow | None:
    with store.read() as session:
        return services.lift_now(session, piece)


def test_an_empty_page_offers_the_five_steps_to_a_maker_and_says_so_to_a_fitter(
    maker: Browser, fitter: Browser, piece: PieceNow
) -> None:
    page = maker.get(f"/p/{piece.number}/lift").get_data(as_text=True)
    for words in ("Nobody has planned the lift yet", "Keep the plan", "Nobody lifts from a ladder", "95.5"):
        assert words in page
    assert page.count('<option value="seat" selected>') == 1
    read = fitter.get(f"/p/{piece.number}/lift").get_data(as_text=True)
    assert "Nobody has planned the lift yet" in read
    assert "Keep the plan" not in read
    assert "the other piece" not in page + read


def test_a_fitter_does_not_plan(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert fitter.post(f"/p/{piece.number}/lift", TYPED).status_code == 403
    assert now(store, piece) is None


def test_a_plan_is_kept_and_shown_with_what_it_rests_on(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = maker.post(f"/p/{piece.number}/lift", TYPED)
    assert answer.status_code == 303, answer.get_data(as_text=True)
    found = now(store, piece)
    assert found is not None
    assert [(row.step, row.people, row.aid, row.standing) for row in found.steps] == [
        ("raise", 2, "none", "platform"),
        ("hold", 0, "prop", "floor"),
    ]
    assert found.steps[1].rated_kg == pytest.approx(132 * 0.45359237)
    page = fitter.get(f"/p/{piece.number}/lift").get_data(as_text=True)
    for words in (
        "“Stop”: lower it to the trestles.",
        "cannot tell",
        "no step says how it goes: unload",
        "I. &lt;b&gt;Two&lt;/b&gt; (invented)",
        "so may be lifted: 17.3 kg",
        "HSE INDG143 and L23",
        "twists or hurries",
        "mind the lamp",
    ):
        assert words in page, words


REFUSED = [
    ({"steps-0-people": "two"}, "steps-0-people", "People who lift: “two” is not taken. Give a whole number"),
    ({"steps-0-people": "21"}, "steps-0-people", "from 0 to 20"),
    ({"steps-0-people": "1.5"}, "steps-0-people", "whole number"),
    ({"steps-0-step": "throw"}, "steps-0-step", "“throw” is not taken"),
    ({"steps-0-step": ""}, "steps-0-step", "Step: choose one"),
    ({"steps-0-reach": "near"}, "steps-0-reach", "“near” is not taken"),
    ({"steps-0-carry_m": "5"}, "steps-0-carry_m", "nothing is asked for here at this step"),
    ({"steps-0-rated_kg": "100"}, "steps-0-rated_kg", "nothing is asked for here at this step"),
    ({"steps-2-rated_kg": "20 mm"}, "steps-1-rated_kg", "“20 mm” is not taken"),
    ({"steps-2-rated_kg": "nan"}, "steps-1-rated_kg", "“nan” is not taken"),
    ({"steps-0-aid": "prop"}, "steps-0-aid", "a prop carries nothing at this step"),
    ({"steps-0-standing": "stairs", "steps-0-lower": "3"}, "steps-0-lower", "3 are more than lift"),
    ({"guides": "H. One (invented)"}, "lifters", "guides or calls, and so does not lift"),
    ({"stop_call": "x" * 1001}, "stop_call", "1\u202f001 characters are too many"),
]


def test_what_cannot_be_is_named_and_everything_typed_is_still_there(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    for changes, field, words in REFUSED:
        answer = maker.post(f"/p/{piece.number}/lift", {**TYPED, **changes})
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, field
        assert f'id="{field}-error"' in page, field
        for kept in (words, "mind the lamp", "I. &lt;b&gt;Two&lt;/b&gt;"):
            assert kept in page, (field, kept)
    assert now(store, piece) is None


def test_a_later_plan_is_offered_what_was_said_and_who_was_slower_keeps_what_was_typed(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = a_lift(session, piece)
    page = maker.get(f"/p/{piece.number}/lift").get_data(as_text=True)
    assert f'name="revises" value="{first}"' in page
    assert 'name="steps-3-rated_kg" value="60"' in page
    assert maker.post(f"/p/{piece.number}/lift", {**TYPED, "revises": first}).status_code == 303
    slower = maker.post(f"/p/{piece.number}/lift", {**TYPED, "note": "mine", "revises": first})
    assert slower.status_code == 409
    assert "mine" in slower.get_data(as_text=True)
    assert "One earlier plan" in maker.get(f"/p/{piece.number}/lift").get_data(as_text=True)


def test_the_hanging_plan_is_a_pdf_on_both_papers_once_there_is_a_plan(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    address = f"/p/{piece.number}/hanging-plan.pdf"
    assert fitter.get(address).status_code == 404
    assert fitter.get(f"{address}?sheet=A3").status_code == 400
    with store.write() as session:
        a_lift(session, piece, [*STEPS, {"step": "raise", "aid": "none", "standing": "ladder"}])
    for sheet, height_pt in (("A4", 842), ("Letter", 792)):
        answer = fitter.get(f"{address}?sheet={sheet}")
        assert (answer.status_code, answer.content_type) == (200, "application/pdf")
        pages = pypdf.PdfReader(io.BytesIO(answer.data)).pages
        assert round(float(pages[0].mediabox.height)) == height_pt
        words = " ".join(" ".join(page.extract_text().split()) for page in pages)
        for told in ("lower it to the trestles", "not met", "nobody lifts from a ladder", "A, then B", "G. Guide"):
            assert told in words, told


def test_a_stranger_is_sent_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/lift").status_code == 303
    assert stranger.get(f"/p/{piece.number}/hanging-plan.pdf").status_code == 303
