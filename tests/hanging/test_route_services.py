"""The crate's way in: kept, revised, worked out from the crate as it is described now."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.checks import calculations
from siteapp.checks.lists import ROUTE
from siteapp.hanging.route import reading, services
from siteapp.hanging.route.models import KINDS, Route, RouteStep
from siteapp.hanging.route.wording import ASKS
from siteapp.pieces.services import facts_now, find, revise_particulars
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.ways import CORNER, DOOR, LIFT, a_crate, a_way, step, way_facts

if TYPE_CHECKING:
    from siteapp.hanging.route.services import RouteNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece in its crate, beside another piece whose way in is known."""
    with store.write() as session:
        a_crate(session, noise.piece)
        a_way(session, noise.piece)
        found = factories.a_piece(session)
        a_crate(session, found)
        return found


def now(store: Store, piece: PieceNow) -> RouteNow:
    with store.read() as session:
        found = services.route_now(session, piece)
    assert found is not None
    return found


def test_a_way_is_kept_whole_in_its_order_and_a_later_one_takes_its_place(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        a_crate(session, piece)
        first = a_way(session, piece, photo=True, may_tilt=None, room_mm=20.0, note="by the yard")
        second = a_way(session, piece, [LIFT, DOOR], revises=first)
    found = now(database, piece)
    assert (found.version.entry.id, [entry.id for entry, _said in found.version.earlier]) == (second, [first])
    assert [(row.name, row.riders, row.second_mm) for row in found.steps] == [
        ("goods lift", 2, 1800.0),
        ("front door", None, None),
    ]
    before = found.version.earlier[0][1]
    assert (before.may_tilt, before.room_mm, before.note) == (None, 20.0, "by the yard")


def test_without_a_way_nobody_can_tell_and_nobody_else_s_counts(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        assert services.route_now(session, piece) is None
        worked = calculations.known(ROUTE).work_out(session, piece)  # type: ignore[union-attr,misc]
    assert worked.verdict == "cannot tell"


def test_a_measured_way_that_the_crate_passes_is_met(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_way(session, piece)
    found = now(store, piece)
    assert (found.worked.verdict, found.worked.outcome["why"]) == ("met", [])
    assert found.worked.inputs["gross_kg"] == 58.0


DRIVE = {"kind": "slope", "name": "drive", "width_mm": 2000.0, "slope_deg": 9.0, "measured": True}
YARD = {"kind": "stand up", "name": "yard", "height_mm": 3000.0, "measured": True}
ALLEY = {"kind": "passage", "name": "alley", "width_mm": 340.0, "height_mm": 3000.0, "measured": True}
FLIGHT = {"kind": "stairs", "name": "stairs", "width_mm": 900.0, "height_mm": 2300.0, "measured": True}
WAYS = [
    ([{**DOOR, "width_mm": 330.0}], {}, "not met", "front door"),
    ([{**DOOR, "measured": None}], {}, "cannot tell", "told, not measured"),
    ([{**DOOR, "width_mm": None}], {}, "cannot tell", "a size is missing"),
    ([DOOR], {"ways_up": None}, "cannot tell", "is not known"),
    ([DOOR], {"measured_by": None}, "cannot tell", "who measured the way is not named"),
    ([{**LIFT, "load_kg": 200.0}], {}, "not met", "heavier than the lift's plate allows"),
    ([{**LIFT, "riders": None}], {}, "cannot tell", "who rides with it is missing"),
    ([YARD, DOOR], {}, "met", ""),
    ([DRIVE], {}, "cannot tell", "steeper"),
    ([{**FLIGHT, "turn": "half", "second_mm": 950.0}], {}, "met", ""),
    ([{**FLIGHT, "turn": "quarter", "second_mm": 950.0}], {}, "met", ""),
    ([{**FLIGHT, "turn": None}], {}, "cannot tell", "how the landing turns"),
    ([ALLEY], {}, "not met", "alley"),
]


def test_each_way_comes_to_its_answer(store: Store, piece: PieceNow) -> None:
    before = None
    for steps, facts, verdict, words in WAYS:
        with store.write() as session:
            before = a_way(session, piece, steps, revises=before, **facts)
        found = now(store, piece)
        assert (steps, found.worked.verdict) == (steps, verdict)
        assert words in " ".join(found.worked.outcome["why"])


def test_the_shortfall_of_the_first_obstacle_is_told(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_way(session, piece, [DOOR, {**DOOR, "name": "cellar door", "width_mm": 330.0}])
    outcome = now(store, piece).worked.outcome
    # By hand: 250 + 2 × 50 against 330.
    assert (outcome["first_obstacle"], outcome["shortfall_mm"]) == ("cellar door", 20.0)


def test_without_a_crate_or_with_one_that_was_only_estimated_it_is_never_met(
    store: Store, noise: factories.Noise
) -> None:
    with store.write() as session:
        bare = factories.a_piece(session)
        a_way(session, bare)
        guessed = factories.a_piece(session)
        a_crate(session, guessed, gross_origin="estimated")
        a_way(session, guessed)
    assert "nobody has described the crate" in now(store, bare).worked.outcome["why"]
    assert now(store, bare).worked.verdict == "cannot tell"
    assert now(store, guessed).worked.verdict == "cannot tell"


def test_a_crate_that_was_described_anew_counts_at_once(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_way(session, piece)
        crate_id = reading.crate_now(session, piece.piece_id)[0].id  # type: ignore[index]
        a_crate(session, piece, revises=crate_id, depth_mm=900.0)
    assert now(store, piece).worked.verdict == "not met"


def test_a_gross_weight_below_the_piece_s_own_counts_as_an_estimate(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_way(session, piece)
        facts = facts_now(piece)
        facts["fields"] |= {"mass_kg": 70.0}
        revise_particulars(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts)
        heavier = find(session, piece.number)
    assert heavier is not None
    assert now(store, heavier).worked.verdict == "cannot tell"


def test_two_machines_that_described_it_apart_are_never_met_and_the_next_takes_the_place_of_both(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        ids = []
        for _machine in range(2):
            # As a merge leaves it: neither knows of the other.
            bodies = [Route(**way_facts()), RouteStep(position=0, **step(**DOOR))]
            writer = factories.a_writer(session)
            entry = entries.append(
                session, writer, kind="route", job_id=piece.job_id, piece_id=piece.piece_id, bodies=bodies
            )
            ids.append(entry.id)
    assert now(store, piece).worked.verdict == "cannot tell"
    with store.write() as session:
        a_way(session, piece, revises=ids[0])
    assert now(store, piece).worked.verdict == "met"


def test_who_was_slower_is_told_and_nothing_of_theirs_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = a_way(session, piece)
    with store.write() as session:
        a_way(session, piece, [DOOR], revises=first)
    for stale in (first, None):
        with pytest.raises(Superseded), store.write() as session:
            a_way(session, piece, [CORNER], revises=stale)
    assert [row.name for row in now(store, piece).steps] == ["front door"]


def test_another_piece_s_way_is_not_revised(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    other = now(store, noise.piece).version.entry.id
    with pytest.raises(StoreError, match="no way in of this piece"), store.write() as session:
        a_way(session, piece, revises=other)


@pytest.mark.parametrize(
    ("steps", "facts", "field", "words"),
    [
        ([{**DOOR, "kind": "window"}], {}, "steps", "“window” is not an answer"),
        ([{**DOOR, "turn": "spiral"}], {}, "steps", "“spiral” is not an answer"),
        ([DOOR], {"ways_up": "head over heels"}, "ways_up", "is not an answer"),
        ([DOOR] * 61, {}, "steps", "61 are too many"),
        ([{**DOOR, "width_mm": 1e9}], {}, "steps", "Step 1: front door: width is"),
    ],
)
def test_what_cannot_be_is_refused(store: Store, piece: PieceNow, steps, facts, field: str, words: str) -> None:
    with pytest.raises(FieldProblem, match=words) as refused, store.write() as session:
        a_way(session, piece, steps, **facts)
    assert refused.value.field == field


def test_every_kind_says_what_it_asks_for() -> None:
    assert set(ASKS) == set(KINDS)
