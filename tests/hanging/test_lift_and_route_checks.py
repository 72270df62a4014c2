"""The checks that the lift and the way in answer: when their list opens, and after each thing they rest on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.checks import reading
from siteapp.checks import services as checks
from siteapp.checks.lists import LIFT, ROUTE
from siteapp.dispatch.services import crate_now
from siteapp.hanging.lifting import services as lifting
from siteapp.hanging.route import services as route
from tests import factories
from tests.hanging.lifts import STEPS, a_lift, hands
from tests.hanging.ways import DOOR, a_crate, a_way

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece on points in its crate, with its lift planned and its way in measured, and the lists of *made ready*."""
    with store.write() as session:
        found = factories.a_piece(session, mass_kg=12.0, stands="on points")
        a_crate(session, found, gross_kg=16.0)
        a_lift(session, found)
        a_way(session, found)
        checks.open_lists(session, factories.a_writer(session), piece=found, stage=checks.READY)
        return found


def verdicts(store: Store, piece: PieceNow) -> dict[str, str]:
    """What the lines say that ask for the lift and for the way in."""
    with store.read() as session:
        stages = reading.states(session, [piece.piece_id])[piece.piece_id]
    lines = [line for one in stages for line in one.lines if line.calculation in {LIFT, ROUTE}]
    return {line.calculation or "": line.standing[-1].said for line in lines if line.standing}


def test_lines_that_are_met_are_answered_when_their_list_opens(store: Store, piece: PieceNow) -> None:
    assert verdicts(store, piece) == {LIFT: "met", ROUTE: "met"}


def test_a_plan_or_a_way_that_no_longer_holds_is_answered_at_once(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        plan = lifting.lift_now(session, piece)
        way = route.route_now(session, piece)
        assert plan is not None
        assert way is not None
        ladder = [*STEPS, hands("raise", standing="ladder")]
        a_lift(session, piece, ladder, revises=plan.version.entry.id)
        a_way(session, piece, [{**DOOR, "measured": None}], revises=way.version.entry.id)
    assert verdicts(store, piece) == {LIFT: "not met", ROUTE: "cannot tell"}


def test_a_heavier_crate_answers_both(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        described = crate_now(session, piece.piece_id)
        assert described is not None
        a_crate(session, piece, revises=described[0].id, gross_kg=190.0)
    # Two may lift 17.3 kg; the lift's plate says 320 kg, and two ride with it.
    assert verdicts(store, piece) == {LIFT: "not met", ROUTE: "not met"}
