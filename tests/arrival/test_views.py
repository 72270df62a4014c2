"""The arrival page: recorded, refused, corrected."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

import pytest

from siteapp.arrival import services, showing
from siteapp.arrival.models import Arrival
from siteapp.checks import services as checks
from siteapp.dispatch.services import dispatches
from siteapp.marks.services import Mark, set_marks
from siteapp.store import entries
from tests import factories
from tests.arrival.support import send
from tests.dispatch.support import a_photo, describe

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that has not arrived, beside one that has."""
    with store.write() as session:
        services.record_arrival(
            session,
            factories.a_writer(session),
            piece=noise.piece,
            found="something found",
            note="of the other piece",
        )
        return factories.a_piece(session)


def of(store: Store, piece: PieceNow) -> list[services.Arrived]:
    with store.read() as session:
        return services.arrivals(session, piece.piece_id)


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    answer = stranger.get(f"/p/{piece.number}/arrival")
    assert answer.status_code == 303
    assert answer.location.startswith("/sign-in")


def test_an_arrival_with_its_photos_is_kept_shown_and_opens_the_checks(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    fields = {"found": "nothing found", "shock": "tripped", "tilt": "not fitted", "note": "Crate <wet> مرحبا"}
    photos = {slot: a_photo(f"#2244{number}6") for number, slot in enumerate(("crate", "front", "back", "edges"))}
    answer = send(fitter, piece, **photos, **fields)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/arrival")
    (arrived,) = of(store, piece)
    assert [len(arrived.slot(slot)) for slot in services.SLOTS] == [1, 1, 1, 1, 0, 0]
    page = fitter.get(answer.location).get_data(as_text=True)
    assert "Crate &lt;wet&gt; مرحبا" in page
    assert "Fitter" in page
    assert f"/photos/{arrived.slot('back')[0]}/320" in page
    assert "A tripped indicator" in page
    assert f'href="/p/{piece.number}/checks"' in page
    assert "of the other piece" not in page
    with store.read() as session:
        assert checks.state(session, piece).opened


def test_nothing_found_without_its_photos_names_each_and_what_was_chosen_need_not_be_chosen_again(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = send(fitter, piece, found="nothing found", front=a_photo(), note="dry", shock="not tripped")
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    for field, words in (
        ("back", "Back: nothing found"),
        ("edges", "Edges: nothing found"),
        ("crate", "Crate and ind"),
    ):
        assert f'id="{field}-error"' in page
        assert words in page
    assert 'id="front-error"' not in page
    assert re.search(r'name="front_sha" value="[0-9a-f]{64}" checked', page)
    assert re.search(r'value="nothing found" checked', page)
    assert re.search(r'value="not tripped" selected', page)
    assert "dry" in page
    assert of(store, piece) == []


def test_an_arrival_without_an_answer_to_what_was_found_is_refused(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = send(fitter, piece, found="", note="dry")
    assert answer.status_code == 422
    assert "What was found: choose one." in answer.get_data(as_text=True)
    assert of(store, piece) == []


def test_a_file_that_is_no_photo_is_refused_beside_its_slot(fitter: Browser, store: Store, piece: PieceNow) -> None:
    answer = send(fitter, piece, edges=(io.BytesIO(b"%PDF-1.7 not a photo"), "edges.jpg"), note="dry")
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert 'id="edges-error"' in page
    assert "dry" in page
    assert of(store, piece) == []


def test_an_arrival_is_put_right_from_what_it_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece, front=a_photo(), note="one", shock="tripped")
    (first,) = of(store, piece)
    page = fitter.get(f"/p/{piece.number}/arrival?corrects={first.entry.id}").get_data(as_text=True)
    assert f'name="corrects" value="{first.entry.id}"' in page
    assert f'name="front_sha" value="{first.slot("front")[0]}" checked' in page
    assert re.search(r'value="tripped" selected', page)
    assert re.search(r">\s*one</textarea>", page)
    answer = send(fitter, piece, front_sha=first.slot("front")[0], note="two", corrects=first.entry.id)
    assert answer.status_code == 303
    (now,) = of(store, piece)
    assert (now.said.note, now.slot("front"), [said.note for _e, said in now.earlier]) == (
        "two",
        first.slot("front"),
        ["one"],
    )
    assert "Corrected once" in fitter.get(answer.location).get_data(as_text=True)


def test_a_correction_that_comes_second_is_told_and_goes_after_the_first(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    send(fitter, piece, note="one")
    (first,) = of(store, piece)
    send(fitter, piece, note="two", corrects=first.entry.id)
    answer = send(maker, piece, note="mine", corrects=first.entry.id)
    assert answer.status_code == 409
    page = answer.get_data(as_text=True)
    assert "Somebody else changed this" in page
    assert re.search(r">\s*mine</textarea>", page)
    named = re.search(r'name="corrects" value="([0-9a-f-]{36})"', page)
    assert named
    assert send(maker, piece, note="mine", corrects=named[1]).status_code == 303
    assert [one.said.note for one in of(store, piece)] == ["mine"]


def test_a_piece_that_travels_again_arrives_again(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece, note="first time")
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    assert "record another arrival" in page
    send(fitter, piece, note="second time")
    assert [one.said.note for one in of(store, piece)] == ["second time", "first time"]


def test_an_unknown_arrival_to_put_right_is_no_mistake_of_the_program(fitter: Browser, piece: PieceNow) -> None:
    for named in ("nonsense", "00000000-0000-4000-8000-000000000000"):
        page = fitter.get(f"/p/{piece.number}/arrival?corrects={named}")
        assert page.status_code == 200
        assert 'name="corrects" value=""' in page.get_data(as_text=True)


def test_the_crates_record_is_shown_and_what_it_names_is_questioned_when_it_is_not_there(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        describe(session, piece, shock_indicator="spring, trips at 25 g", way_up="arrows up", acclimatise_hours=12.0)
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    for words in ("spring, trips at 25 g", "arrows up", "none on record", "12 h"):
        assert words in page
    fields = {"found": "nothing found", "shock": "not fitted", "tilt": "not fitted"}
    answer = send(fitter, piece, front=a_photo(), back=a_photo("#224466"), edges=a_photo("#446622"), **fields)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert 'id="shock-error"' in page
    assert "the crate&#39;s record says that “spring, trips at 25 g” is fitted" in page
    assert 'id="crate-error"' in page
    assert 'id="tilt-error"' not in page
    assert len(re.findall(r'_sha" value="[0-9a-f]{64}" checked', page)) == 3
    assert send(fitter, piece, shock="not fitted", note="lost on the way").status_code == 303


def test_a_form_that_waited_since_both_indicators_were_read_together_is_asked_for_each(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = send(fitter, piece, indicators="tripped", note="wet")
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "where “tripped” stood for shock and tilt together" in page
    assert "wet" in page
    assert of(store, piece) == []
    assert send(fitter, piece, shock="tripped", tilt="not tripped", note="wet").status_code == 303


def test_an_old_arrival_is_shown_as_it_was_read_and_asked_apart_when_it_is_put_right(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        body = Arrival(found="something found", indicators="tripped")
        of_piece = {"job_id": piece.job_id, "piece_id": piece.piece_id}
        old = entries.append(session, factories.a_writer(session), kind="arrival", bodies=[body], **of_piece)
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    assert "Shock and tilt, read together" in page
    assert "A tripped indicator" in page
    answer = send(fitter, piece, shock="tripped", corrects=old.id)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert 'id="tilt-error"' in page
    assert "of shock and tilt together" in page
    assert send(fitter, piece, shock="tripped", tilt="not tripped", corrects=old.id).status_code == 303
    assert "shock and tilt together: tripped" in fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)


def test_photos_from_before_dispatch_stand_beside_those_of_the_arrival_slot_by_slot(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    before = {"found": "something found", "front": a_photo("#111111"), "raking": a_photo("#222222")}
    assert fitter.post(f"/p/{piece.number}/dispatch/look", before).status_code == 303
    send(fitter, piece, front=a_photo("#333333"), hardware=a_photo("#444444"))
    later = {"found": "something found", "front": a_photo("#555555")}
    assert fitter.post(f"/p/{piece.number}/dispatch/look", later).status_code == 303
    with store.read() as session:
        (arrived,) = showing.shown(session, piece)
        after, first = dispatches(session, piece.piece_id)
    assert arrived.dispatched is not None
    assert arrived.dispatched.entry.id == first.entry.id
    told = [(str(pair.words), len(pair.before), len(pair.after)) for pair in arrived.pairs]
    assert told == [("Front", 1, 1), ("Hanging points and metalwork", 0, 1), ("Raking light", 1, 0)]
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    for sha in (*first.slot("front"), *first.slot("raking light"), *arrived.arrived.slot("hardware")):
        assert sha in page
    assert after.slot("front")[0] not in page
    assert "Hanging points and metalwork before dispatch" not in page


def test_marks_on_the_photos_of_an_arrival_are_shown_and_listed(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece, front=a_photo())
    (arrived,) = of(store, piece)
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    assert f"/p/{piece.number}/marks/{arrived.entry.id}" in page
    with store.write() as session:
        spot = Mark(arrived.slot("front")[0], 0.25, 0.75, None, "a scratch like a hair")
        writer = factories.a_writer(session)
        set_marks(session, writer, piece=piece, of_id=arrived.entry.id, marks=[spot])
    assert "a scratch like a hair" in fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)


def test_hold_points_that_were_open_when_it_left_are_said_and_it_arrives_all_the_same(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        holds = checks.state(session, piece, checks.READY).open_holds
    assert holds
    assert "It left with hold points" not in fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    assert send(fitter, piece).status_code == 303
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    assert "It left with hold points of “made ready” open" in page
    assert holds[0].words in page
