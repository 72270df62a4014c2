"""Sessions, climate and coats as they are kept."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import services
from siteapp.finishing.models import ClimateReading, Coat, FinishingClose
from siteapp.finishing.state import for_coat, next_coat
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.errors import TradeError
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.finishing.support import climate, coat

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.finishing.state import SessionState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


class Bench:
    """A piece with one session on it, and short ways to write into it."""

    def __init__(self, session: Session, piece: PieceNow | None = None) -> None:
        self.session = session
        self.piece = piece or factories.a_piece(session)
        self.session_id = services.start_session(
            session, self.writer(), piece=self.piece, zone="left wing", purpose="two coats"
        )

    def writer(self, **overrides: Any) -> Any:
        return factories.a_writer(self.session, **overrides)

    def climate(self, at: datetime | None = None, corrects: list[str] | None = None, **facts: Any) -> str:
        return services.record_climate(
            self.session,
            self.writer(at=at),
            piece=self.piece,
            session_id=self.session_id,
            facts=climate(**facts),
            corrects=corrects or [],
        )

    def coat(self, at: datetime | None = None, corrects: list[str] | None = None, **facts: Any) -> str:
        return services.apply_coat(
            self.session,
            self.writer(at=at),
            piece=self.piece,
            session_id=self.session_id,
            facts=coat(**facts),
            corrects=corrects or [],
        )

    def close(self, corrects: list[str] | None = None, **facts: Any) -> str:
        said = {"note": None, "client_words": "Yes, that is it."} | facts
        return services.close_session(
            self.session,
            self.writer(),
            piece=self.piece,
            session_id=self.session_id,
            corrects=corrects or [],
            **said,
        )

    def on(self, session: Session, write: str, **facts: Any) -> None:
        self.session = session
        getattr(self, write)(**facts)

    def state(self) -> SessionState:
        found = services.session_state(self.session, self.piece.piece_id, self.session_id)
        assert found is not None
        return found


def test_a_session_from_climate_to_the_clients_yes(database: Store) -> None:
    with database.write() as session:
        bench = Bench(session)
        sha = factories.a_photo(session, database)
        climate_id = bench.climate()
        coat_id = bench.coat()
        services.close_session(
            session,
            bench.writer(),
            piece=bench.piece,
            session_id=bench.session_id,
            note=None,
            client_words="Yes.",
            photos=[PhotoUse(sha, slot="after")],
        )
    with database.read() as session:
        (state,) = services.sessions(session, bench.piece.piece_id)
        assert [told.entry.id for told in state.climates] == [climate_id]
        (told,) = state.coats
        assert told.entry.id == coat_id
        assert (told.said.climate_id, told.said.climate_verdict) == (climate_id, "met")
        assert state.close
        assert state.close.said.client_words == "Yes."
        assert [photo.sha256 for photo in state.close.photos] == [sha]
        assert state.corrected == ()


def test_a_reading_keeps_inputs_outputs_source_and_what_worked_it_out(database: Store) -> None:
    with database.write() as session:
        bench = Bench(session)
        entry_id = bench.climate()
    with database.read() as session:
        said = session.get_one(ClimateReading, entry_id)
        assert (said.air_c, said.relative_humidity, said.surface_c) == (20.0, 50.0, 20.5)
        # Computed with psychrolib 2.5.0, GetTDewPointFromRelHum(20, 0.5): 9.272 °C.
        assert said.dew_point_c == pytest.approx(9.272, abs=0.05)
        assert said.margin_c == pytest.approx(20.5 - 9.272, abs=0.05)
        assert said.margin_low_c is not None
        assert said.margin_c is not None
        assert said.margin_low_c < said.margin_c
        assert (said.verdict, said.reasons) == ("met", "")
        assert "Alduchov" in said.source
        assert said.calculation == "coating_climate 2"


@pytest.mark.parametrize(
    ("facts", "wrong"),
    [
        ({"relative_humidity": 96.0}, "not met"),
        ({"surface_c": None}, "cannot tell"),
        ({"instrument": None}, "cannot tell"),
    ],
)
def test_a_coat_in_a_climate_that_is_not_met_needs_a_reason(store: Store, facts: dict[str, Any], wrong: str) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate(**facts)
        with pytest.raises(FieldProblem, match=wrong) as refused:
            bench.coat()
        assert refused.value.field == "reason"
        entry_id = bench.coat(reason="The maker of the glaze agreed by telephone.")
        said = session.get_one(Coat, entry_id)
        assert (said.climate_verdict, said.reason) == (wrong, "The maker of the glaze agreed by telephone.")


def test_a_coat_without_any_reading_needs_a_reason(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        other = Bench(session, bench.piece)
        other.climate()
        with pytest.raises(FieldProblem, match="no climate was read in this session"):
            bench.coat()
        said = session.get_one(Coat, bench.coat(reason="Meter fell off the scaffold."))
        assert (said.climate_id, said.climate_verdict) == (None, "cannot tell")


def test_a_reading_older_than_four_hours_no_longer_counts(store: Store) -> None:
    now = datetime.now(UTC)
    with store.write() as session:
        bench = Bench(session)
        bench.climate(at=now - timedelta(hours=4, minutes=5))
        with pytest.raises(FieldProblem, match="older than 4 hours"):
            bench.coat()
        bench.climate(at=now - timedelta(hours=3, minutes=55))
        bench.coat()


def test_a_coat_sent_late_is_held_against_the_reading_of_its_own_time(store: Store) -> None:
    now = datetime.now(UTC)
    with store.write() as session:
        bench = Bench(session)
        bench.climate(at=now - timedelta(hours=9))
        bench.coat(at=now - timedelta(hours=8))
        with pytest.raises(FieldProblem, match="read after this coat"):
            bench.coat(at=now - timedelta(hours=10), number=2)


def test_a_device_clock_that_is_years_off_makes_no_reading_younger(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate(at=datetime(2062, 1, 1, tzinfo=UTC))
        state = bench.state()
        assert state.climate
        assert state.climate.at == state.climate.entry.recorded_at
        held = for_coat(state, None, state.climate.at + timedelta(hours=5))
        assert held.verdict == "cannot tell"


def test_a_corrected_reading_is_as_old_as_the_one_it_corrects(store: Store) -> None:
    now = datetime.now(UTC)
    with store.write() as session:
        bench = Bench(session)
        old = bench.climate(at=now - timedelta(hours=6))
        bench.climate(corrects=[old], surface_c=21.0)
        with pytest.raises(FieldProblem, match="older than 4 hours"):
            bench.coat()


def test_correcting_an_early_reading_does_not_make_it_the_latest(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        early = bench.climate()
        bench.climate(relative_humidity=96.0)
        bench.climate(corrects=[early], surface_c=21.0)
        latest = bench.state().climate
        assert latest
        assert latest.said.verdict == "not met"


def test_limits_of_another_product_tell_nothing_of_this_one(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate()
        with pytest.raises(FieldProblem, match="Matt glaze"):
            bench.coat(product="Gloss glaze (invented)")
        bench.coat(product="  matt GLAZE (invented) ")


def test_a_coat_number_is_taken_once_a_zone(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate()
        bench.coat()
        with pytest.raises(FieldProblem) as refused:
            bench.coat(zone="Left  Wing")
        assert refused.value.field == "number"


def test_the_next_coat_counts_over_all_sessions_of_the_zone(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate()
        bench.coat()
        bench.coat(number=2)
        bench.coat(zone="right wing")
        later = Bench(session, bench.piece)
        states = services.sessions(session, later.piece.piece_id)
        assert (next_coat(states, "LEFT wing"), next_coat(states, "right wing"), next_coat(states, "edge")) == (3, 2, 1)


def test_a_closed_session_takes_nothing_more(database: Store) -> None:
    with database.write() as session:
        bench = Bench(session)
        bench.climate()
        bench.close()
    for write in ("climate", "coat", "close"):
        with pytest.raises(StoreError, match="has ended"), database.write() as session:
            bench.on(session, write)
    with database.read() as session:
        bench.session = session
        state = bench.state()
        assert (len(state.climates), len(state.coats), len(state.closes)) == (1, 0, 1)


def test_what_stands_in_a_closed_session_can_be_corrected(database: Store) -> None:
    with database.write() as session:
        bench = Bench(session)
        bench.climate()
        coat_id = bench.coat()
        close_id = bench.close()
    with database.write() as session:
        bench.session = session
        newer = bench.coat(corrects=[coat_id], batch="B-18")
        bench.close(corrects=[close_id], client_words="Yes, gladly.")
    with database.read() as session:
        bench.session = session
        state = bench.state()
        assert [(told.entry.id, told.said.batch) for told in state.coats] == [(newer, "B-18")]
        assert state.close
        assert state.close.said.client_words == "Yes, gladly."
        assert {told.entry.id for told in state.corrected} == {coat_id, close_id}


def test_a_corrected_coat_keeps_the_climate_it_went_on_in(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        first = bench.climate()
        coat_id = bench.coat()
        bench.climate(relative_humidity=96.0)
        newer = bench.coat(corrects=[coat_id], batch="B-18")
        said = session.get_one(Coat, newer)
        assert (said.climate_id, said.climate_verdict) == (first, "met")


def test_a_coat_corrected_by_two_at_once_is_a_clash(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate()
        coat_id = bench.coat()
        bench.coat(corrects=[coat_id], batch="B-18")
        with pytest.raises(Superseded):
            bench.coat(corrects=[coat_id], batch="B-19")


def test_what_belongs_to_another_session_cannot_be_corrected_here(store: Store) -> None:
    with store.write() as session:
        bench, other = Bench(session), Bench(session)
        foreign = other.climate()
        with pytest.raises(StoreError, match="not part of this session"):
            bench.climate(corrects=[foreign])
        with pytest.raises(StoreError, match="not part of this session"):
            bench.coat(corrects=[foreign])


def test_the_session_of_another_piece_is_not_found(store: Store) -> None:
    with store.write() as session:
        bench, other = Bench(session), Bench(session)
        assert services.session_state(session, bench.piece.piece_id, other.session_id) is None
        bench.session_id = other.session_id
        with pytest.raises(StoreError, match="no such finishing session"):
            bench.climate()


def test_figures_that_cannot_be_are_refused_and_leave_nothing(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
    for facts in ({"air_c": float("nan")}, {"relative_humidity": 0.0}, {"air_min_c": 31.0, "air_max_c": 30.0}):
        with pytest.raises(TradeError), store.write() as session:
            bench.on(session, "climate", **facts)
    with store.read() as session:
        assert session.query(ClimateReading).count() == 0
        assert session.query(FinishingClose).count() == 0
