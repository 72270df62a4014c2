"""The climate before unwrapping: what was read, what it comes to, and the check that it answers."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.arrival import services
from siteapp.arrival.climate import UnwrapFacts, assumptions, wait_after
from siteapp.checks import services as checks
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.errors import TradeError
from tests import factories
from tests.dispatch.support import describe

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

WARM = {"piece_c": 18.0, "air_c": 20.0, "relative_humidity": 50.0, "instrument": "meter no. 3"}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that has arrived, beside one that was read to be wet."""
    with store.write() as session:
        arrive(session, noise.piece)
        read(session, noise.piece, piece_c=2.0)
        piece = factories.a_piece(session)
        arrive(session, piece)
        return piece


def arrive(session: Session, piece: PieceNow, *, hours_ago: float = 0, **facts: Any) -> str:
    writer = factories.a_writer(session, at=datetime.now(UTC) - timedelta(hours=hours_ago))
    return services.record_arrival(session, writer, piece=piece, found="not looked at yet", **facts)


def read(session: Session, piece: PieceNow, *, arrival_id: str | None = None, corrects: tuple[str, ...] = (), **facts):
    """Read the climate after the latest arrival: warm enough, but for `facts`."""
    return services.record_unwrap(
        session,
        factories.a_writer(session),
        piece=piece,
        arrival_id=arrival_id or services.arrivals(session, piece.piece_id)[0].entry.id,
        facts=UnwrapFacts(**{**WARM, **facts}),
        corrects=corrects,
    )


def line(session: Session, piece: PieceNow) -> LineState:
    """The check that is worked out from these readings."""
    lines = checks.state(session, piece, checks.ARRIVED).lines
    return next(one for one in lines if one.calculation == "safe-to-unwrap")


def test_a_reading_is_kept_with_what_it_comes_to_and_answers_its_check(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        read(session, piece)
    with database.read() as session:
        (kept,) = services.unwraps(session, piece.piece_id)
        check = line(session, piece)
    said = kept.said
    assert (said.piece_c, said.air_c, said.relative_humidity, said.instrument) == (18.0, 20.0, 50.0, "meter no. 3")
    # 20 °C and 50 %: 9.3 °C in the table of ISO 8502-4 (from memory); tests/published holds the formula to a library.
    assert said.dew_point_c == pytest.approx(9.3, abs=0.05)
    assert said.margin_c == pytest.approx(8.7, abs=0.05)
    assert (said.verdict, said.reasons, said.calculation) == ("met", "", "safe_to_unwrap 1")
    assert "Alduchov & Eskridge" in said.source
    assert check.verdict == "met"
    assert any("coldest part" in words for words in assumptions())


@pytest.mark.parametrize(
    ("facts", "answer", "why"),
    [
        ({"piece_c": 12.0}, "not met", "2.7 °C above the dew point; at least 3 °C"),
        ({"piece_c": 5.0}, "not met", "below the dew point"),
        ({"piece_c": 14.0}, "cannot tell", "with the instruments' errors"),
        ({"piece_c": None}, "cannot tell", "there is no margin"),
        ({"air_c": None}, "cannot tell", "there is no margin"),
        ({"relative_humidity": None}, "cannot tell", "there is no margin"),
        ({"instrument": None}, "cannot tell", "count as an estimate"),
        ({"instrument": None, "piece_c": 5.0}, "not met", "count as an estimate"),
    ],
)
def test_what_is_cold_is_not_met_and_what_is_missing_cannot_be_told(
    store: Store, piece: PieceNow, facts: dict[str, Any], answer: str, why: str
) -> None:
    with store.write() as session:
        read(session, piece, **facts)
    with store.read() as session:
        (kept,) = services.unwraps(session, piece.piece_id)
        check = line(session, piece)
    assert (kept.said.verdict, check.verdict) == (answer, answer)
    assert why in kept.said.reasons


@pytest.mark.parametrize(
    ("hours_ago", "asked", "answer"),
    [(20, 24.0, "not met"), (20, 20.5, "not met"), (20, 19.5, "met"), (20, 0.0, "met"), (20, None, "met")],
)
def test_before_the_crates_time_to_acclimatise_is_over_it_is_not_met_however_warm_the_surface(
    store: Store, hours_ago: float, asked: float | None, answer: str
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        describe(session, piece, acclimatise_hours=asked, note="so that something is said")
        arrive(session, piece, hours_ago=hours_ago)
        read(session, piece)
    with store.read() as session:
        (kept,) = services.unwraps(session, piece.piece_id)
        assert line(session, piece).verdict == answer
    assert kept.said.verdict == answer
    assert ("to acclimatise" in kept.said.reasons) == (answer == "not met")


def test_the_wait_counts_from_the_first_word_of_an_arrival_not_from_its_correction(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        describe(session, piece, acclimatise_hours=12.0)
        first = arrive(session, piece, hours_ago=6)
        arrive(session, piece, corrects=[first])
        (arrived,) = services.arrivals(session, piece.piece_id)
        wait = wait_after(arrived, services.crate_record(session, piece))
    assert wait is not None
    left = wait.until - datetime.now(UTC)
    assert timedelta(hours=5, minutes=59) < left < timedelta(hours=6)


@pytest.mark.parametrize(
    ("phone", "hours_apart", "answer"),
    [
        ("the same", 11, "not met"),
        ("the same", 13, "met"),
        ("another", 11, "not met"),
        ("another", 13, "not met"),
    ],
)
def test_what_waited_on_one_phone_for_days_is_held_to_that_phones_own_clock(
    store: Store, phone: str, hours_apart: float, answer: str
) -> None:
    came = datetime.now(UTC) - timedelta(days=5)
    with store.write() as session:
        piece = factories.a_piece(session)
        describe(session, piece, acclimatise_hours=12.0)
        arriving = factories.a_writer(session, device="the same", at=came)
        arrival_id = services.record_arrival(session, arriving, piece=piece, found="not looked at yet")
        reading = factories.a_writer(session, device=phone, at=came + timedelta(hours=hours_apart))
        facts = UnwrapFacts(**WARM)
        services.record_unwrap(session, reading, piece=piece, arrival_id=arrival_id, facts=facts)
        (kept,) = services.unwraps(session, piece.piece_id)
    assert kept.said.verdict == answer


def test_a_corrected_reading_answers_the_check_anew_but_an_older_one_does_not(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = read(session, piece, piece_c=5.0)
        assert line(session, piece).verdict == "not met"
        second = read(session, piece, piece_c=5.5)
        read(session, piece, corrects=(first,))
        assert line(session, piece).verdict == "not met"
        read(session, piece, corrects=(second,))
        assert line(session, piece).verdict == "met"
        latest, oldest = services.unwraps(session, piece.piece_id)
    assert (latest.first.id, oldest.first.id) == (second, first)
    assert [said.piece_c for _entry, said in latest.earlier] == [5.5]


def test_a_correction_is_held_against_the_time_when_it_was_read(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        describe(session, piece, acclimatise_hours=4.0)
        arrival_id = arrive(session, piece, hours_ago=8)
        early = factories.a_writer(session, at=datetime.now(UTC) - timedelta(hours=6))
        said = {"piece": piece, "arrival_id": arrival_id, "facts": UnwrapFacts(**WARM)}
        first = services.record_unwrap(session, early, **said)
        read(session, piece, instrument="meter no. 4", corrects=(first,))
        (kept,) = services.unwraps(session, piece.piece_id)
    assert kept.said.verdict == "not met"


def test_a_reading_of_an_arrival_that_was_put_right_meanwhile_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        (arrived,) = services.arrivals(session, piece.piece_id)
        arrive(session, piece, corrects=[arrived.entry.id])
        read(session, piece, arrival_id=arrived.entry.id)
        (now,) = services.arrivals(session, piece.piece_id)
        (kept,) = services.unwraps(session, piece.piece_id)
        assert line(session, piece).verdict == "met"
    assert services.of_arrival(now, kept.said.arrival_id)


def test_a_reading_of_an_earlier_arrival_does_not_answer_for_the_latest(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        (earlier,) = services.arrivals(session, piece.piece_id)
        arrive(session, piece)
        read(session, piece, arrival_id=earlier.entry.id)
        assert line(session, piece).answer is None


def test_arrivals_and_readings_of_other_pieces_are_refused(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.read() as session:
        foreign = services.arrivals(session, noise.piece.piece_id)[0].entry.id
        reading = services.unwraps(session, noise.piece.piece_id)[0].entry.id
    for arrival_id in (foreign, piece.revision.id, "nonsense"):
        with pytest.raises(StoreError, match="no such arrival"), store.write() as session:
            read(session, piece, arrival_id=arrival_id)
    with pytest.raises(StoreError, match="not a reading of this piece"), store.write() as session:
        read(session, piece, corrects=(reading,))


def test_a_reading_that_somebody_corrected_meanwhile_is_not_corrected_over_theirs(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = read(session, piece)
        theirs = read(session, piece, corrects=(first,))
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        read(session, piece, corrects=(first,))
    assert overtaken.value.newer == (theirs,)


@pytest.mark.parametrize("facts", [{"relative_humidity": 0.0}, {"air_c": 51.0}, {"piece_c": float("nan")}])
def test_figures_that_cannot_be_are_refused_and_nothing_is_kept(
    store: Store, piece: PieceNow, facts: dict[str, float]
) -> None:
    with pytest.raises(TradeError), store.write() as session:
        read(session, piece, **facts)
    with store.read() as session:
        assert services.unwraps(session, piece.piece_id) == []
