"""The pages before dispatch: the crate described and revised, the piece looked over, refused, corrected."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any

import pytest
from markupsafe import escape

from siteapp.checks import services as checks
from siteapp.dispatch import services
from tests import factories
from tests.dispatch.support import a_photo, describe

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of 31.4 kg that nothing is said of yet, beside one that is crated."""
    with store.write() as session:
        describe(session, noise.piece, note="crate of the other piece")
        return factories.a_piece(session)


def crate(store: Store, piece: PieceNow) -> Any:
    with store.read() as session:
        return services.crate_now(session, piece.piece_id)


def looks(store: Store, piece: PieceNow) -> list[services.Dispatched]:
    with store.read() as session:
        return services.dispatches(session, piece.piece_id)


def test_a_piece_that_nothing_is_said_of_is_told_what_to_do_first(fitter: Browser, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)
    assert "Nobody has described the crate yet" in page
    assert "No photos from before dispatch yet" in page
    assert f'href="/p/{piece.number}/dispatch/crate"' in page
    assert "crate of the other piece" not in page


def test_a_crate_in_inches_and_pounds_is_kept_in_mm_and_kg_and_shown_in_both(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    form = {"width_mm": "4 ft 7 in", "height_mm": "40 1/2 in", "depth_mm": "300", "gross_kg": "120 lb"}
    more = {"gross_origin": "weighed", "shock_indicator": "spring type, trips at 25 g", "acclimatise_hours": "1,5"}
    answer = fitter.post(f"/p/{piece.number}/dispatch/crate", {**form, **more, "way_up": "arrows up <both> sides"})
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/dispatch")
    _entry, said = crate(store, piece)
    # 55 in and 40.5 in of 25.4 mm; 120 lb of 0.45359237 kg (NIST SP 811, Appendix B).
    assert (said.width_mm, said.height_mm, said.depth_mm) == (pytest.approx(1397.0), pytest.approx(1028.7), 300.0)
    assert said.gross_kg == pytest.approx(54.4310844)
    assert (said.acclimatise_hours, said.tilt_indicator) == (1.5, None)
    page = fitter.get(answer.location).get_data(as_text=True)
    for words in ("55 in", "54.4", "120 lb", "weighed", "spring type, trips at 25 g", "arrows up &lt;both&gt; sides"):
        assert words in page
    assert "23" in page  # the crate alone: 54.4 − 31.4 kg


@pytest.mark.parametrize(
    ("form", "field", "words"),
    [
        ({"gross_kg": "31", "gross_origin": "weighed"}, "gross_kg", "less than the weight of the piece alone, 31.4 kg"),
        ({"gross_kg": "60"}, "gross_origin", "say whether it was weighed or estimated"),
        ({"gross_origin": "estimated"}, "gross_origin", "give the weight too"),
        ({"gross_kg": "heavy", "gross_origin": "weighed"}, "gross_kg", "“heavy” is not taken"),
        ({"gross_kg": "60", "gross_origin": "guessed"}, "gross_origin", "“guessed” is not taken"),
        ({"width_mm": "0"}, "width_mm", "Give a number from 1 to 20"),
        ({"height_mm": "1e3"}, "height_mm", "is not taken"),
        ({"depth_mm": "1,234"}, "depth_mm", "read in two ways"),
        ({"acclimatise_hours": "-1"}, "acclimatise_hours", "Give a number from 0 to 720 h"),
        ({"shock_indicator": "None"}, "shock_indicator", "Leave it blank when none is"),
        ({"tilt_indicator": "n/a."}, "tilt_indicator", "Leave it blank when none is"),
        ({"way_up": "x" * 301}, "way_up", "301 characters are too many"),
    ],
)
def test_a_crate_that_cannot_be_is_refused_by_field_and_what_was_typed_stays(
    fitter: Browser, store: Store, piece: PieceNow, form: dict[str, str], field: str, words: str
) -> None:
    answer = fitter.post(f"/p/{piece.number}/dispatch/crate", {"note": "two straps", **form})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert f'id="{field}-error"' in page
    assert words in page
    assert "two straps" in page
    typed = form.get(field, "")
    assert typed in page
    assert crate(store, piece) is None


def test_a_crate_of_which_nothing_is_said_is_refused(fitter: Browser, store: Store, piece: PieceNow) -> None:
    answer = fitter.post(f"/p/{piece.number}/dispatch/crate", {})
    assert answer.status_code == 422
    assert "Crate: nothing is filled in." in answer.get_data(as_text=True)
    assert crate(store, piece) is None


def test_a_piece_without_a_weight_is_said_to_be(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        light = factories.a_piece(session, mass_kg=None, mass_origin=None)
    page = fitter.get(f"/p/{light.number}/dispatch/crate").get_data(as_text=True)
    assert "so the gross weight cannot be held against it" in page
    form = {"gross_kg": "3", "gross_origin": "weighed"}
    assert fitter.post(f"/p/{light.number}/dispatch/crate", form).status_code == 303
    page = fitter.get(f"/p/{light.number}/dispatch").get_data(as_text=True)
    assert "the piece has no weight in its particulars" in page
    assert "cannot tell" in page


def test_a_revision_is_offered_what_was_said_and_shows_what_changed(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = describe(session, piece, gross_kg=60.5, gross_origin="estimated", way_up="arrows up")
    page = fitter.get(f"/p/{piece.number}/dispatch/crate").get_data(as_text=True)
    assert f'name="revises" value="{first}"' in page
    assert 'name="gross_kg" value="60.5"' in page
    form = {"gross_kg": "58", "gross_origin": "weighed", "way_up": "", "revises": first}
    assert fitter.post(f"/p/{piece.number}/dispatch/crate", form).status_code == 303
    page = fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)
    assert "<del>60.5 kg</del> → <ins>58 kg</ins>" in page
    assert re.search(r"<del><bdi>estimated</bdi></del> → <ins><bdi>weighed</bdi></ins>", page)
    assert re.search(r"Which way up: <del><bdi>arrows up</bdi></del> → taken out", page)


def test_who_comes_second_is_told_and_loses_nothing(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = describe(session, piece, note="one")
    fitter.post(f"/p/{piece.number}/dispatch/crate", {"note": "two", "revises": first})
    answer = maker.post(f"/p/{piece.number}/dispatch/crate", {"note": "mine", "revises": first})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "Somebody else changed this" in page
    assert re.search(r">\s*mine</textarea>", page)
    named = re.search(r'name="revises" value="([0-9a-f-]{36})"', page)
    assert named
    assert maker.post(f"/p/{piece.number}/dispatch/crate", {"note": "mine", "revises": named[1]}).status_code == 303
    assert crate(store, piece)[1].note == "mine"


def test_a_look_with_every_slot_is_kept_and_shown_with_a_way_to_mark_it(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    fields = ("front", "back", "edges", "hardware", "details", "target", "raking")
    photos = {name: a_photo(f"#2233{number}4") for number, name in enumerate(fields)}
    said = {"found": "nothing found", "packed_by": "P. Packer (invented)", "note": "lamp from the left"}
    answer = fitter.post(f"/p/{piece.number}/dispatch/look", {**said, **photos})
    assert answer.status_code == 303
    (look,) = looks(store, piece)
    assert [len(look.slot(slot)) for slot in services.SLOTS] == [1] * 7
    page = fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)
    for words in ("nothing found", "P. Packer (invented)", "lamp from the left", "Raking light", look.slot("front")[0]):
        assert words in page
    assert f"/p/{piece.number}/marks/{look.entry.id}" in page


def test_nothing_found_without_its_photos_names_each_and_keeps_what_was_chosen(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    form = {"found": "nothing found", "note": "dry", "back": a_photo()}
    answer = fitter.post(f"/p/{piece.number}/dispatch/look", form)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert 'id="front-error"' in page
    assert 'id="edges-error"' in page
    assert 'id="back-error"' not in page
    assert re.search(r'name="back_sha" value="[0-9a-f]{64}" checked', page)
    assert "dry" in page
    assert looks(store, piece) == []


def test_a_look_without_an_answer_or_with_a_file_that_is_no_photo_is_refused(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = fitter.post(f"/p/{piece.number}/dispatch/look", {"note": "dry"})
    assert answer.status_code == 422
    assert "What was found: choose one." in answer.get_data(as_text=True)
    bad = (io.BytesIO(b"%PDF-1.7 not a photo"), "raking.jpg")
    answer = fitter.post(f"/p/{piece.number}/dispatch/look", {"found": "something found", "raking": bad})
    assert answer.status_code == 422
    assert 'id="raking-error"' in answer.get_data(as_text=True)
    assert looks(store, piece) == []


def test_a_look_is_put_right_from_what_it_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    fitter.post(f"/p/{piece.number}/dispatch/look", {"found": "something found", "note": "one", "front": a_photo()})
    (first,) = looks(store, piece)
    page = fitter.get(f"/p/{piece.number}/dispatch/look?corrects={first.entry.id}").get_data(as_text=True)
    assert f'name="corrects" value="{first.entry.id}"' in page
    assert f'name="front_sha" value="{first.slot("front")[0]}" checked' in page
    form = {"found": "something found", "note": "two", "front_sha": first.slot("front")[0], "corrects": first.entry.id}
    assert fitter.post(f"/p/{piece.number}/dispatch/look", form).status_code == 303
    (now,) = looks(store, piece)
    assert (now.said.note, now.slot("front")) == ("two", first.slot("front"))
    assert "Corrected once" in fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)


def test_open_hold_points_of_made_ready_are_said_before_it_leaves(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    page = fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)
    assert "are not open yet" in page
    with store.write() as session:
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        holds = checks.state(session, piece, checks.READY).open_holds
    page = fitter.get(f"/p/{piece.number}/dispatch").get_data(as_text=True)
    assert holds
    assert "The piece stays here until they are met" in page
    for hold in holds:
        assert escape(hold.words) in page


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    for path in ("dispatch", "dispatch/crate", "dispatch/look"):
        answer = stranger.get(f"/p/{piece.number}/{path}")
        assert answer.status_code == 303
        assert answer.location.startswith("/sign-in")
