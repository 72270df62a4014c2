"""The page of the wall as found: asked, shown, refused, looked at again."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.hanging.wall import services
from tests import factories
from tests.dispatch.support import a_photo
from tests.hanging.walls import a_template, find_wall

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from siteapp.store.revisions import Version
    from tests.web_support import Browser

TYPED = {
    "material": "solid masonry",
    "material_words": "stock brick",
    "proved_by": "trial hole",
    "sound": "yes",
    "thickness_mm": "8 1/2 in",
    "gap_mm": "12,5",
    "services_front": "none near",
    "services_back": "none near",
    "detector": "wall scanner",
    "consent": "in writing",
    "consent_by": "A. Owner (invented)",
    "asbestos": "built after the ban",
    "asbestos_words": "house of 2004, by its papers",
    "found_by": "B. Builder (invented)",
    "found_on": "2026-11-20",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece with a template that asks for solid masonry, beside one whose wall is known."""
    with store.write() as session:
        find_wall(session, noise.piece, note="the other piece's wall")
        found = factories.a_piece(session)
        a_template(session, found)
        return found


def now(store: Store, piece: PieceNow) -> Version[Any] | None:
    with store.read() as session:
        return services.wall_now(session, piece.piece_id)


def test_a_wall_that_nobody_looked_at_cannot_be_told_and_the_cautions_stand_there(
    fitter: Browser, piece: PieceNow
) -> None:
    page = fitter.get(f"/p/{piece.number}/wall").get_data(as_text=True)
    for words in (
        "cannot tell",
        "Nobody has written down the wall as found.",
        "solid masonry",
        "by the fixing template",
        "Never drill where a cable or pipe was found, or where nobody looked.",
        "licensed for it, by the law of the place",
        "judged by a competent person",
        "What nobody looked at stays blank",
    ):
        assert words in page
    assert "the other piece" not in page


def test_a_wall_is_typed_in_inches_and_commas_and_shown_with_its_answer(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    photos = {"photos": a_photo(), "trial_photos": a_photo("#112233")}
    answer = fitter.post(f"/p/{piece.number}/wall", {**TYPED, **photos, "from_form": "yes"})
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/wall")
    found = now(store, piece)
    assert found is not None
    # 8.5 in of 25.4 mm (NIST SP 811, Appendix B.8, from memory).
    assert found.said.thickness_mm == pytest.approx(215.9)
    assert (found.said.gap_mm, found.said.sound, found.said.from_form, found.said.bow_mm) == (12.5, True, True, None)
    assert (len(found.slot("wall")), len(found.slot("trial hole"))) == (1, 1)
    page = fitter.get(answer.location).get_data(as_text=True)
    for words in ("Found by B. Builder (invented), 20 Nov 2026", "215.9 mm", "8.5 in", "stock brick", "a trial hole"):
        assert words in page
    assert re.search(r'class="verdict met"', page)
    assert page.count("not looked at</span>") == 6  # five of the rarer facts, and what was found where


def test_what_was_not_looked_at_stays_cannot_tell(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert fitter.post(f"/p/{piece.number}/wall", {"found_by": "B", "found_on": "2026-11-20"}).status_code == 303
    found = now(store, piece)
    assert found is not None
    assert {found.said.material, found.said.sound, found.said.services_front, found.said.asbestos} == {None}
    page = fitter.get(f"/p/{piece.number}/wall").get_data(as_text=True)
    assert re.search(r'class="verdict cannot-tell"', page)
    assert "Cables and pipes were not looked for on this side of the wall." in page


@pytest.mark.parametrize(
    ("form", "field", "words"),
    [
        ({"found_by": ""}, "found_by", "Who found it"),
        ({"found_on": "2199-01-01"}, "found_on", "Give a date from"),
        ({"material": "straw"}, "material", "“straw” is not taken"),
        ({"material": "other", "material_words": ""}, "material_words", "say what the wall is made of"),
        ({"services_back": "near"}, "services_words", "say what it is and where it runs"),
        ({"consent_by": ""}, "consent_by", "name who gave it"),
        ({"asbestos": "surveyed clear", "asbestos_words": ""}, "asbestos_words", "number and day"),
        ({"asbestos": "found", "asbestos_words": " "}, "asbestos_words", "say where, and who found it"),
        ({"thickness_mm": "thick"}, "thickness_mm", "“thick” is not taken"),
        ({"thickness_mm": "0"}, "thickness_mm", "Give a number from 1 to 5"),
        ({"gap_mm": "-1"}, "gap_mm", "Give a number from 0 to 500 mm"),
        ({"gap_mm": "nan"}, "gap_mm", "is not taken"),
        ({"bow_mm": "3 kg"}, "bow_mm", "is not taken"),
        ({"plumb_mm_m": "1e9"}, "plumb_mm_m", "is not taken"),
        ({"sound": "perhaps"}, "sound", "“perhaps” is not taken"),
        ({"studs": "x" * 1001}, "studs", "characters are too many"),
    ],
)
def test_what_cannot_be_is_refused_by_field_and_what_was_typed_stays(
    fitter: Browser, store: Store, piece: PieceNow, form: dict[str, str], field: str, words: str
) -> None:
    answer = fitter.post(f"/p/{piece.number}/wall", {**TYPED, "note": "by torchlight", **form})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert f'id="{field}-error"' in page
    assert words in page
    assert "by torchlight" in page
    assert "A. Owner" in page or form.get("consent_by") == ""
    assert now(store, piece) is None


def test_a_photo_of_a_trial_hole_needs_one(fitter: Browser, store: Store, piece: PieceNow) -> None:
    form = {**TYPED, "proved_by": "told", "trial_photos": a_photo()}
    answer = fitter.post(f"/p/{piece.number}/wall", form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "there is a photo of a trial hole" in page
    assert 'name="trial_photos_sha"' in page  # kept, so that it is not chosen twice
    assert now(store, piece) is None


def test_a_later_look_offers_what_was_said_and_asks_anew_who_and_when(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = find_wall(session, piece, slots=["wall"], services_back="not looked", asbestos="not known")
    page = fitter.get(f"/p/{piece.number}/wall").get_data(as_text=True)
    assert f'name="revises" value="{first}"' in page
    assert 'value="stock brick in lime mortar"' in page
    assert "B. Builder (invented)" not in page.partition('id="found_by"')[2].partition(">")[0]
    answer = fitter.post(f"/p/{piece.number}/wall", {**TYPED, "sound": "no", "revises": first})
    assert answer.status_code == 303
    found = now(store, piece)
    assert found is not None
    assert (found.said.sound, [entry.id for entry, _said in found.earlier]) == (False, [first])
    page = fitter.get(f"/p/{piece.number}/wall").get_data(as_text=True)
    assert "One earlier look" in page
    assert "The wall is not sound." in page


def test_who_was_slower_keeps_what_was_typed(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = find_wall(session, piece)
    with store.write() as session:
        find_wall(session, piece, revises=first, found_by="D. Faster (invented)")
    answer = fitter.post(f"/p/{piece.number}/wall", {**TYPED, "note": "mine", "revises": first})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "mine" in page
    found = now(store, piece)
    assert found is not None
    assert found.said.found_by == "D. Faster (invented)"


def test_a_stranger_is_sent_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/wall").status_code == 303
