"""Readings of holes recorded, and what they come to by what is recorded now."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import HOLES
from siteapp.checks.working import lines_of
from siteapp.hanging.holes import services
from siteapp.hanging.holes.models import HoleEasing
from siteapp.pieces import services as pieces
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.revisions import standing_bodies
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.holes import support
from tests.hanging.holes.support import POINTS, called

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def verdict(session: Session, piece: PieceNow) -> str:
    """What the calculation comes to, as the checks ask it."""
    calculation = calculations.known(HOLES)
    assert calculation
    assert calculation.work_out
    return calculation.work_out(session, piece).verdict


def why(session: Session, piece: PieceNow) -> str:
    now = services.holes_now(session, piece)
    assert now
    return " ".join(now.worked.outcome["why"])


def test_holes_measured_as_asked_for_and_where_they_should_be_are_met(database: Store) -> None:
    with database.write() as session:
        factories.a_piece(session)
        piece = support.a_piece(session)
        assert verdict(session, piece) == "cannot tell"
        survey = support.record(session, piece)
        assert verdict(session, piece) == "met"
        now = services.holes_now(session, piece)
        assert now
        assert now.version.entry.id == survey
        assert now.offered
        assert now.offered.least_slack_mm == pytest.approx(3.0, abs=1e-3)
        assert now.problem is None
        assert now.missing == ()


def test_too_few_readings_are_cannot_tell_whatever_they_say(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        tapes = [one for one in called() if one.b is not None and one.from_mm is None][:6]
        support.record(session, piece, tapes)
        assert verdict(session, piece) == "cannot tell"
        assert "not enough readings" in why(session, piece)
        now = services.holes_now(session, piece)
        assert now
        assert now.missing


def test_nobody_having_looked_which_way_round_is_cannot_tell_and_the_other_way_is_not_met(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        first = support.record(session, piece, mirrored=None)
        assert verdict(session, piece) == "cannot tell"
        support.record(session, piece, mirrored=True, corrects=[first])
        assert verdict(session, piece) == "not met"
        assert "back to front" in why(session, piece)


def test_a_slip_is_named_and_reading_it_again_puts_it_right(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        read = called()
        number = next(n for n, one in enumerate(read) if one.b is not None)
        wrong = [*read]
        wrong[number] = replace(read[number], mm=read[number].mm + 15)
        first = support.record(session, piece, wrong)
        now = services.holes_now(session, piece)
        assert now
        assert now.adjustment
        assert [reading.observed_mm for reading in now.adjustment.suspects] == [wrong[number].mm]
        assert verdict(session, piece) != "not met"
        support.record(session, piece, read, corrects=[first])
        assert verdict(session, piece) == "met"
        assert len(services.rounds(session, piece.piece_id)) == 1


def test_a_hole_that_is_off_is_not_met_with_the_least_easing(store: Store) -> None:
    wall = {**POINTS, "C": (POINTS["C"][0] + 12, POINTS["C"][1])}
    with store.write() as session:
        piece = support.a_piece(session)
        support.record(session, piece, called(wall))
        now = services.holes_now(session, piece)
        assert now
        assert now.offered
        assert verdict(session, piece) == "not met"
        assert now.offered.remedy
        assert now.offered.remedy[0].edge_left_mm is not None


def test_a_point_without_its_bolt_is_cannot_tell(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session, bolt_mm=None)
        support.record(session, piece)
        assert verdict(session, piece) == "cannot tell"
        assert "hole or bolt is not given" in why(session, piece)


def test_a_hole_wider_than_its_bolt_only_on_paper_is_words_not_an_error(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session, bolt_mm=18.0)
        support.record(session, piece)
        now = services.holes_now(session, piece)
        assert now
        assert now.worked.verdict == "cannot tell"
        assert "no narrower than its bolt" in (now.problem or "")


def test_points_moved_in_the_particulars_are_held_against_the_readings_again(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        support.record(session, piece)
        facts = pieces.facts_now(piece)
        facts["hanging_points"][2]["x_mm"] += 14
        pieces.revise_particulars(
            session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts
        )
        now = pieces.find(session, piece.number)
        assert now
        assert verdict(session, now) == "not met"


def test_an_eased_hole_revises_the_particulars_and_says_why(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        photo = factories.a_photo_row(session)
        facts: services.EasingFacts = {
            "label": "C",
            "dx_mm": 6.0,
            "dy_mm": 0.0,
            "hole_mm": 16.0,
            "slot_mm": 12.0,
            "slot_deg": 0.0,
            "reason": "C was drilled 12 mm to the right",
        }
        writer = factories.a_writer(session)
        photos = [PhotoUse(photo, slot="details", caption=None)]
        wall = {**POINTS, "C": (POINTS["C"][0] + 12, POINTS["C"][1])}
        support.record(session, piece, called(wall))
        services.ease(session, writer, piece=piece, revises=piece.revision.id, facts=facts, photos=photos)
        now = pieces.find(session, piece.number)
        assert now
        point = next(one for one in now.hanging_points if one.label == "C")
        assert (point.x_mm, point.slot_mm, point.bolt_mm) == (POINTS["C"][0] + 6, 12.0, 10.0)
        assert verdict(session, now) == "met"
        [(_entry, said)] = standing_bodies(session, HoleEasing, piece_id=piece.piece_id)
        assert said.particulars_id == now.revision.id
        # Who typed over the particulars as they were before is told so.
        with pytest.raises(Superseded):
            services.ease(session, writer, piece=now, revises=piece.revision.id, facts=facts, photos=photos)


def test_an_eased_hole_needs_its_photo_and_a_point(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        writer = factories.a_writer(session)
        facts: services.EasingFacts = {
            "label": "C",
            "dx_mm": 0.0,
            "dy_mm": 0.0,
            "hole_mm": 18.0,
            "slot_mm": None,
            "slot_deg": None,
            "reason": "tight",
        }
        with pytest.raises(FieldProblem, match="photo"):
            services.ease(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
        with pytest.raises(FieldProblem, match="no hanging point Z"):
            services.ease(session, writer, piece=piece, revises=piece.revision.id, facts=facts | {"label": "Z"})


def test_nothing_read_a_foreign_hole_and_a_foreign_round_are_refused(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        with pytest.raises(FieldProblem, match="at least one"):
            support.record(session, piece, [])
        with pytest.raises(FieldProblem, match="no hanging point Z"):
            support.record(session, piece, [services.ReadFacts("A", "Z", 100.0, "100")])
        other = support.a_piece(session)
        foreign = support.record(session, other)
        with pytest.raises(StoreError, match="no round"):
            support.record(session, piece, corrects=[foreign])
        assert services.holes_now(session, noise.piece) is None


def test_a_round_that_somebody_else_put_right_meanwhile_is_not_put_right_twice(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        first = support.record(session, piece)
        support.record(session, piece, corrects=[first])
        with pytest.raises(Superseded):
            support.record(session, piece, corrects=[first])


def test_holes_measured_anew_stand_for_the_wall_from_then_on(store: Store) -> None:
    wall = {**POINTS, "C": (POINTS["C"][0] + 12, POINTS["C"][1])}
    with store.write() as session:
        piece = support.a_piece(session)
        support.record(session, piece, called(wall))
        assert verdict(session, piece) == "not met"
        support.record(session, piece)
        assert verdict(session, piece) == "met"
        assert len(services.rounds(session, piece.piece_id)) == 2


def test_one_point_and_points_at_one_place_are_words(store: Store) -> None:
    with store.write() as session:
        one = support.a_piece(session, {"A": (0.0, 0.0)})
        support.record(session, one, [services.ReadFacts("A", None, 10.0, "10")])
        now = services.holes_now(session, one)
        assert now
        assert "1 in number" in (now.problem or "")
        twice = support.a_piece(session, {"A": (0.0, 0.0), "B": (0.0, 0.0), "C": (500.0, 0.0)})
        support.record(session, twice, [services.ReadFacts("A", "C", 500.0, "500")])
        now = services.holes_now(session, twice)
        assert now
        assert "at one place" in (now.problem or "")


def test_the_open_check_is_answered_when_holes_are_measured_and_again_when_they_are_put_right(store: Store) -> None:
    wall = {**POINTS, "C": (POINTS["C"][0] + 12, POINTS["C"][1])}
    with store.write() as session:
        piece = support.a_piece(session)
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)

        def answered() -> list[str]:
            lines = [line for line in lines_of(session, piece) if line.calculation == HOLES]
            assert lines
            return [answer.verdict for line in lines for answer in line.standing]

        first = support.record(session, piece, called(wall))
        assert set(answered()) == {"not met"}
        support.record(session, piece, corrects=[first])
        assert set(answered()) == {"met"}
