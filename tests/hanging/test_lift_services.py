"""The plan of the lift: kept, revised, worked out from the weights as they are now."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.checks import calculations
from siteapp.checks.lists import LIFT
from siteapp.hanging.lifting import services
from siteapp.hanging.lifting.gathered import plan_record
from siteapp.hanging.lifting.models import LiftPlan, LiftStep
from siteapp.hanging.lifting.wording import AID_WORDS, STANDING_WORDS, STEP_WORDS, ZONE_WORDS
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.lifting.figures import ZONES
from siteapp.trade.lifting.steps import KINDS, STANDINGS
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.lifts import STEPS, a_lift, hands
from tests.hanging.ways import a_crate

if TYPE_CHECKING:
    from siteapp.hanging.lifting.services import LiftNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A weighed piece of 12 kg in a weighed crate of 16 kg, beside another piece whose lift is planned."""
    with store.write() as session:
        a_lift(session, noise.piece)
        found = factories.a_piece(session, mass_kg=12.0)
        a_crate(session, found, gross_kg=16.0)
        return found


def now(store: Store, piece: PieceNow) -> LiftNow:
    with store.read() as session:
        found = services.lift_now(session, piece)
    assert found is not None
    return found


def test_a_plan_is_kept_whole_in_its_order_and_a_later_one_takes_its_place(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        first = a_lift(session, piece, note="mind the lamp")
        second = a_lift(session, piece, [hands("carry", standing="stairs", lower=1, carry_m=4.5)], revises=first)
    found = now(database, piece)
    assert (found.version.entry.id, [entry.id for entry, _said in found.version.earlier]) == (second, [first])
    assert [(row.step, row.standing, row.lower, row.carry_m) for row in found.steps] == [("carry", "stairs", 1, 4.5)]
    assert found.version.earlier[0][1].note == "mind the lamp"


def test_without_a_plan_nobody_can_tell_and_nobody_else_s_counts(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        assert services.lift_now(session, piece) is None
        worked = calculations.known(LIFT).work_out(session, piece)  # type: ignore[union-attr,misc]
    assert worked.verdict == "cannot tell"


def test_a_plan_within_the_filters_with_all_named_is_met(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_lift(session, piece)
    found = now(store, piece)
    assert (found.worked.verdict, found.worked.outcome["why"]) == ("met", [])
    # Two lift, one guides, another calls.
    assert found.worked.outcome["people"] == 4
    # HSE: two at 13 kg, two thirds of the sum.
    assert found.found is not None
    assert found.found.steps[2].capacity_kg == pytest.approx(2 * 13 * 2 / 3)


WEAK_HOIST = {"step": "raise", "aid": "hoist", "rated_kg": 10.0, "standing": "floor"}
FROM_LOW = hands("raise", zone_from="below_lower_leg", zone_to="knuckle_to_elbow")
PLANS = [
    (STEPS, {"calls": None}, "cannot tell", "who calls the moves is not named"),
    (STEPS, {"stop_call": None}, "cannot tell", "the word on which everything stops"),
    (STEPS, {"lift_points": None}, "cannot tell", "where it is taken hold of"),
    (STEPS, {"guides": None}, "cannot tell", "who guides is not said"),
    (STEPS, {"lifters": None}, "cannot tell", "who lifts is not named"),
    (STEPS, {"lifters": "H. One (invented)"}, "not met", "2 lift in one step, 1 is named"),
    (STEPS[:-1], {}, "cannot tell", "no step says how it goes: seat"),
    ([*STEPS, hands("raise", standing="ladder")], {}, "not met", "nobody lifts from a ladder"),
    ([*STEPS, hands("raise", zone_to="above_shoulder")], {}, "not met", "may lift 9.3 kg"),
    ([*STEPS, FROM_LOW], {}, "not met", "may lift 9.3 kg"),
    ([*STEPS, hands("raise", zone_to=None)], {}, "cannot tell", "where the hands pass"),
    ([*STEPS, hands("carry", carry_m=30.0)], {}, "cannot tell", "30 m without a rest"),
    ([*STEPS, WEAK_HOIST], {}, "not met", "the plate of the hoist"),
]


def test_each_plan_comes_to_its_answer(store: Store, piece: PieceNow) -> None:
    before = None
    for steps, facts, verdict, words in PLANS:
        with store.write() as session:
            before = a_lift(session, piece, steps, revises=before, **facts)
        worked = now(store, piece).worked
        assert (words, worked.verdict) == (words, verdict)
        assert words in " ".join(worked.outcome["why"])


def test_whoever_calls_may_guide_too(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_lift(session, piece, guides="F. Caller (invented)")
    worked = now(store, piece).worked
    assert (worked.verdict, worked.outcome["people"]) == ("met", 3)


def test_an_estimated_piece_or_an_unweighed_crate_is_never_met(store: Store) -> None:
    with store.write() as session:
        guessed = factories.a_piece(session, mass_kg=12.0, mass_origin="estimated")
        bare = factories.a_piece(session, mass_kg=12.0)
        for one in (guessed, bare):
            a_lift(session, one)
    assert now(store, guessed).worked.verdict == "cannot tell"
    assert "the crate is not weighed" in " ".join(now(store, bare).worked.outcome["why"])


def test_two_machines_that_planned_it_apart_are_never_met_and_the_next_takes_the_place_of_both(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        ids = []
        for _machine in range(2):
            # As a merge leaves it: neither knows of the other.
            bodies = [LiftPlan(calls="x"), LiftStep(position=0, step="raise", aid="none")]
            writer = factories.a_writer(session)
            entry = entries.append(
                session, writer, kind="lift_plan", job_id=piece.job_id, piece_id=piece.piece_id, bodies=bodies
            )
            ids.append(entry.id)
    assert "planned the lift apart" in " ".join(now(store, piece).worked.outcome["why"])
    with store.write() as session:
        a_lift(session, piece, revises=ids[0])
    assert now(store, piece).worked.verdict == "met"


def test_who_was_slower_is_told_and_nothing_of_theirs_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = a_lift(session, piece)
    with store.write() as session:
        a_lift(session, piece, STEPS[:1], revises=first)
    for stale in (first, None):
        with pytest.raises(Superseded), store.write() as session:
            a_lift(session, piece, revises=stale)
    assert len(now(store, piece).steps) == 1


def test_another_piece_s_plan_is_not_revised(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    other = now(store, noise.piece).version.entry.id
    with pytest.raises(StoreError, match="no plan of this piece"), store.write() as session:
        a_lift(session, piece, revises=other)


@pytest.mark.parametrize(
    ("steps", "facts", "field", "words"),
    [
        ([hands("throw")], {}, "steps", "“throw” is not an answer"),
        ([hands("raise", reach="near")], {}, "steps", "“near” is not an answer"),
        ([hands("raise", aid="crane")], {}, "steps", "“crane” is not an answer"),
        ([hands("raise")] * 61, {}, "steps", "61 are too many"),
        ([hands("raise", aid="prop")], {}, "steps", "Step 1: aid to raise is 'prop'"),
        ([hands("raise", people=2, lower=3)], {}, "steps", "Step 1: people below on the stairs is 3"),
        (STEPS, {"lifters": "a\nG. Guide (INVENTED)"}, "lifters", "guides or calls, and so does not lift"),
        (STEPS, {"lifters": "F. Caller (invented)"}, "lifters", "guides or calls, and so does not lift"),
        (STEPS, {"lifters": "a\nb\nA"}, "lifters", "“A” is there twice"),
    ],
)
def test_what_cannot_be_is_refused(store: Store, piece: PieceNow, steps, facts, field: str, words: str) -> None:
    with pytest.raises(FieldProblem, match=words) as refused, store.write() as session:
        a_lift(session, piece, steps, **facts)
    assert refused.value.field == field


def test_every_word_of_the_arithmetic_has_words_for_people() -> None:
    assert set(STEP_WORDS) == set(KINDS)
    assert set(ZONE_WORDS) == set(ZONES)
    assert set(STANDING_WORDS) == set(STANDINGS)
    assert set(AID_WORDS) == {"none", "hoist", "trolley", "prop"}


def test_the_hanging_plan_s_record_says_what_stands_and_comes_back_from_json(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        a_lift(session, piece)
    with store.read() as session:
        made = plan_record(session, piece)
    assert made is not None
    assert (made.verdict, made.people, made.lifters) == ("met", 4, ("H. One (invented)", "I. Two (invented)"))
    assert [one.label for one in made.points] == ["A", "B"]
    assert (made.balance.z_mm, made.balance.z_how) == (95.5, "assumed")
    assert type(made).from_json(made.to_json()) == made
