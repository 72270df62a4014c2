"""Several zones in one session: their coats, waits and photos; what was done for air; the client's answer."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import services
from siteapp.finishing.models import FinishingClose
from siteapp.finishing.zones import zone_names, zones
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.finishing.support import coat
from tests.finishing.test_services import Bench
from tests.finishing.test_views import a_jpeg, begin, typed

if TYPE_CHECKING:
    from siteapp.finishing.state import SessionState
    from siteapp.store.db import Store
    from tests.web_support import Browser

REASON = {"reason": "No meter."}


def piece_and_home(device: Browser, store: Store) -> tuple[Any, str]:
    with store.write() as session:
        piece = factories.a_piece(session)
    return piece, begin(device, piece)


def only_state(store: Store, piece: Any) -> SessionState:
    with store.read() as session:
        (state,) = services.sessions(session, piece.piece_id)
        return state


def apply(bench: Bench, store: Store, zone: str, slots: tuple[str, ...] = (), number: int = 1) -> list[str]:
    shas = [factories.a_photo(bench.session, store) for _slot in slots]
    services.apply_coat(
        bench.session,
        bench.writer(),
        piece=bench.piece,
        session_id=bench.session_id,
        facts=coat(zone=zone, number=number, recoat_hours=2.0, **REASON),
        photos=[PhotoUse(sha, slot) for sha, slot in zip(shas, slots, strict=True)],
    )
    return shas


def test_each_zone_has_its_own_coats_wait_and_photos(database: Store) -> None:
    with database.write() as session:
        bench = Bench(session)
        edge = apply(bench, database, "lower edge", ("before", "coat"))
        apply(bench, database, "left wing", number=2)
        apply(bench, database, "LEFT  wing")
        after = [factories.a_photo(session, database) for _photo in range(2)]
        services.close_session(
            session,
            bench.writer(),
            piece=bench.piece,
            session_id=bench.session_id,
            note=None,
            client_words=None,
            photos=[PhotoUse(after[0], "after"), PhotoUse(after[1], "after", "lower edge")],
        )
    with database.read() as session:
        bench.session = session
        wing, lower = zones(bench.state())
        assert (wing.name, lower.name) == ("left wing", "lower edge")
        assert [told.said.number for told in wing.coats] == [1, 2]
        assert [told.said.number for told in lower.coats] == [1]
        assert ([photo.sha256 for photo in lower.before], [photo.sha256 for photo in lower.after]) == (
            edge[:1],
            after[1:],
        )
        assert ([photo.sha256 for photo in wing.before], [photo.sha256 for photo in wing.after]) == ([], after[:1])
        assert wing.wait
        assert wing.wait.hours == 2.0


def test_zones_used_before_on_this_piece_are_suggested_and_those_of_others_are_not(
    fitter: Browser, store: Store
) -> None:
    piece, home = piece_and_home(fitter, store)
    fitter.post(f"{home}/coat", typed(coat(zone="lower <edge>", **REASON)))
    with store.write() as session:
        Bench(session)
        states = services.sessions(session, piece.piece_id)
        assert zone_names(states) == ["left wing", "lower <edge>"]
    for path in (f"/p/{piece.number}/finishing", f"{home}/coat"):
        page = fitter.get(path).get_data(as_text=True)
        assert 'list="zone-list"' in page
        found = re.findall(r'<option value="([^"]*)"></option>', page)
        assert found == ["left wing", "lower &lt;edge&gt;"]


def test_the_end_asks_for_photos_of_every_zone_and_a_correction_brings_them_back(fitter: Browser, store: Store) -> None:
    piece, home = piece_and_home(fitter, store)
    for zone in ("lower edge", "right wing"):
        fitter.post(f"{home}/coat", typed(coat(zone=zone, **REASON)))
    page = fitter.get(f"{home}/close").get_data(as_text=True)
    for zone in ("left wing", "lower edge", "right wing"):
        assert f"Photos after: {zone}" in page
    assert 'name="zone_1" value="right wing"' in page
    sent = {"zone_0": "lower edge", "zone_1": "right wing"}
    sent |= {"photos": (a_jpeg(), "one.jpg"), "photos_1": (a_jpeg((1, 2, 3)), "two.jpg")}
    assert fitter.post(f"{home}/close", sent).status_code == 303
    close = only_state(store, piece).close
    assert close
    assert [photo.caption for photo in close.photos] == [None, "right wing"]
    page = fitter.get(f"{home}/close?correct={close.entry.id}").get_data(as_text=True)
    for name, photo in zip(("photos", "photos_1"), close.photos, strict=True):
        assert f'name="{name}_sha" value="{photo.sha256}"' in page
    page = fitter.get(home).get_data(as_text=True)
    assert page.count('class="beside"') == 2
    assert page.count("no photo<") == 2


def test_a_zone_that_is_too_long_or_no_text_is_refused_at_the_end(fitter: Browser, store: Store) -> None:
    _piece, home = piece_and_home(fitter, store)
    answer = fitter.post(f"{home}/close", {"zone_0": "x" * 201, "note": "as agreed"})
    assert answer.status_code == 422
    assert "as agreed" in answer.get_data(as_text=True)
    # A file where a name should be is no name, and its photos belong to the first zone.
    assert fitter.post(f"{home}/close", {"zone_0": (a_jpeg(), "zone.jpg")}).status_code == 303
    assert fitter.get(home).status_code == 200


def test_what_was_done_for_air_is_kept_and_may_be_said_later(fitter: Browser, store: Store) -> None:
    piece, home = piece_and_home(fitter, store)
    assert "not recorded" in fitter.get(home).get_data(as_text=True)
    fitter.post(f"{home}/coat", typed(coat(**REASON)))
    fitter.post(f"{home}/close", {})
    begun = only_state(store, piece).begun
    page = fitter.get(f"{home}/beginning?correct={begun.entry.id}").get_data(as_text=True)
    assert 'value="two coats"' in page
    sent = {"zone": "left wing", "purpose": "two coats", "ventilation": "Windows open.", "corrects": begun.entry.id}
    answer = fitter.post(f"{home}/beginning", sent)
    assert (answer.status_code, answer.location) == (303, home)
    state = only_state(store, piece)
    assert (state.begun.said.ventilation, state.session_id) == ("Windows open.", begun.entry.id)
    assert [told.entry.id for told in state.corrected] == [begun.entry.id]
    assert len(state.coats) == 1
    assert state.close
    page = fitter.get(home).get_data(as_text=True)
    assert "Windows open." in page
    assert "1 entry was corrected" in page
    assert fitter.post(f"{home}/beginning", sent).status_code == 409
    answer = fitter.post(f"{home}/beginning", sent | {"corrects": "", "purpose": "kept words"})
    assert answer.status_code == 422
    assert "kept words" in answer.get_data(as_text=True)


def test_a_beginning_is_corrected_under_its_own_session_only(store: Store) -> None:
    with store.write() as session:
        bench, other = Bench(session), Bench(session)
        words = {"zone": "left wing", "purpose": None, "ventilation": None}
        told = {"piece": bench.piece, "session_id": bench.session_id}
        for corrects in ([], [other.session_id], [bench.climate()]):
            with pytest.raises(StoreError, match="not part of this session"):
                services.correct_session(session, bench.writer(), corrects=corrects, **told, **words)
        with pytest.raises(StoreError, match="no such finishing session"):
            services.correct_session(
                session, bench.writer(), corrects=[other.session_id], **told | {"piece": other.piece}, **words
            )
        first = services.correct_session(session, bench.writer(), corrects=[bench.session_id], **told, **words)
        services.correct_session(session, bench.writer(), corrects=[first], **told, **words)
        with pytest.raises(Superseded):
            services.correct_session(session, bench.writer(), corrects=[first], **told, **words)


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ({"client_yes": "yes", "client_words": "Lovely."}, "The client said yes to the surface."),
        ({"client_yes": "no", "client_words": "Too shiny."}, "The client said no to the surface."),
        ({"client_yes": "not asked"}, "No yes or no of the client is recorded."),
        ({}, "No yes or no of the client is recorded."),
    ],
)
def test_a_no_never_reads_like_a_yes(fitter: Browser, store: Store, sent: dict[str, str], shown: str) -> None:
    _piece, home = piece_and_home(fitter, store)
    assert fitter.post(f"{home}/close", sent).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    assert shown in page
    assert ("said yes" in page) == (sent.get("client_yes") == "yes")
    assert ('class="stop"' in page) == (sent.get("client_yes") == "no")
    assert sent.get("client_words", "") in page


def test_words_from_before_there_was_a_question_are_no_yes(store: Store, fitter: Browser) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.close()
    page = fitter.get(f"/p/{bench.piece.number}/finishing/{bench.session_id}").get_data(as_text=True)
    assert "No yes or no of the client is recorded." in page
    assert "Yes, that is it." in page


NO_ANSWER: list[tuple[dict[str, str], str]] = [
    ({"client_yes": "no"}, "What the client said: this is needed with a no."),
    ({"client_yes": "no", "client_words": "  "}, "this is needed with a no"),
    ({"client_words": "Lovely."}, "Choose yes or no."),
    ({"client_yes": "not asked", "client_name": "A. Client"}, "Choose yes or no."),
    ({"client_yes": "maybe", "client_words": "Well."}, "“maybe” is not taken."),
    ({"client_yes": "yes", "client_name": "x" * 201}, "Give at most 200."),
    ({"client_yes": "yes", "client_words": "\x00"}, "cannot be kept"),
]


def test_an_answer_that_cannot_be_is_named_and_everything_typed_stays(fitter: Browser, store: Store) -> None:
    _piece, home = piece_and_home(fitter, store)
    for sent, message in NO_ANSWER:
        answer = fitter.post(f"{home}/close", sent | {"note": "ladder left there"})
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422, sent
        assert message in page
        assert "ladder left there" in page
    with store.read() as session:
        assert session.query(FinishingClose).count() == 0


def test_a_no_without_words_is_kept_by_nobody(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        with pytest.raises(FieldProblem, match="needed with a no"):
            bench.close(client_yes=False, client_words=None)
        assert session.query(FinishingClose).count() == 0


def test_the_list_of_sessions_says_a_no(fitter: Browser, store: Store) -> None:
    piece, home = piece_and_home(fitter, store)
    fitter.post(f"{home}/close", {"client_yes": "no", "client_words": "Too shiny."})
    assert "ended: the client said no" in fitter.get(f"/p/{piece.number}/finishing").get_data(as_text=True)
