"""The piece's own strength, recorded and read: who says what, what stands, what is never met without a proof."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import services as checks
from siteapp.hanging.strength import services
from siteapp.hanging.strength.forms import labels_of, lines_of
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.hung import tell, weigh
from tests.hanging.packs import a_piece_on_four_points
from tests.hanging.proved import away_from_heat, proof, prove
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

COUPON = {"proof": "coupon pull", "proof_n": 1570.0, "coupon_area_mm2": 314.0, "bond_area_mm2": 12_000.0}
FACTOR = {"factor": 8.0, "factor_why": f"C. Engineer {factories.MARK}, letter of May"}


def loaded(session: Session) -> PieceNow:
    """A piece on four points away from heat, whose loads are worked out; nothing told of its own strength."""
    piece = away_from_heat(session, weigh(session, a_piece_on_four_points(session, edge_mm=20.0)))
    find_wall(session, piece, gap_mm=0.0)
    tell(session, piece)
    return piece


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """Such a piece, beside another."""
    with store.write() as session:
        return loaded(session)


def now(store: Store, piece: PieceNow) -> services.StrengthNow:
    with store.read() as session:
        return services.strength_now(session, piece)


def told(store: Store, piece: PieceNow, **facts: Any) -> services.StrengthNow:
    with store.write() as session:
        prove(session, piece, **facts)
    return now(store, piece)


def test_points_that_held_a_load_above_theirs_are_met_and_fill_their_check(database: Store) -> None:
    with database.write() as session:
        piece = loaded(session)
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        prove(session, piece, photo=True)
    found = now(database, piece)
    assert (found.worked.verdict, found.worked.outcome["why"]) == (MET, [])
    assert found.version is not None
    assert len(found.version.slot(services.SLOT)) == 1
    for one in found.points:
        assert one.demand is not None
        assert one.found.allowed_n == 9000
    with database.read() as session:
        line = next(one for one in checks.state(session, piece, checks.READY).lines if one.key == "strength")
    assert (line.hold, line.verdict) == (True, MET)


def test_without_proof_nobody_can_tell_and_every_point_says_so(store: Store, piece: PieceNow) -> None:
    found = now(store, piece)
    assert found.version is None
    assert found.worked.verdict == CANNOT_TELL
    (reason,) = [one for one in found.worked.outcome["why"] if "not proved" in one]
    assert reason.startswith("every point: it was not proved")
    assert told(store, piece, proof="not proved", proof_n=None).worked.verdict == CANNOT_TELL


def test_a_point_that_was_left_out_cannot_be_told_while_the_others_are(store: Store, piece: PieceNow) -> None:
    found = told(store, piece, labels=["A", "B", "C"])
    assert found.worked.verdict == CANNOT_TELL
    assert {one.label for one in found.points if one.found.verdict != MET} == {"D"}
    assert all(one.startswith("D: ") for one in found.worked.outcome["why"])


@pytest.mark.parametrize(
    ("facts", "verdict", "words"),
    [
        (COUPON | FACTOR, MET, None),
        (COUPON, CANNOT_TELL, "the factor is not given"),
        (COUPON | FACTOR | {"proof_n": 2.0}, NOT_MET, "was proved for"),
        ({"proof_n": 10.0}, NOT_MET, "was proved for 10 N"),
        ({"proved_by": None}, CANNOT_TELL, "who proved it and when is not written down"),
        ({"proved_on": None}, CANNOT_TELL, "who proved it and when is not written down"),
        ({"plate_mm": None}, CANNOT_TELL, "the thickness of its plate"),
    ],
)
def test_each_proof_is_judged_by_what_it_says(
    store: Store, piece: PieceNow, facts: dict[str, Any], verdict: str, words: str | None
) -> None:
    found = told(store, piece, **facts)
    assert found.worked.verdict == verdict
    assert words is None or words in " ".join(found.worked.outcome["why"])


def test_loads_that_are_stale_or_not_worked_out_leave_it_cannot_tell(store: Store, piece: PieceNow) -> None:
    assert told(store, piece).worked.verdict == MET
    with store.write() as session:
        later = weigh(session, piece)
    found = now(store, later)
    assert found.worked.verdict == CANNOT_TELL
    assert "the load on it is not worked out" in found.worked.outcome["why"][0]


def test_near_heat_the_bond_must_stand_what_the_surface_may_get(store: Store) -> None:
    from siteapp.pieces.services import facts_now, find, revise_particulars

    with store.write() as session:
        cool = loaded(session)
        facts = facts_now(cool)
        facts["fields"] |= {"near_heat": True, "heat_limit_c": 70.0}
        writer = factories.a_writer(session)
        revise_particulars(session, writer, piece=cool, revises=cool.revision.id, facts=facts)
        piece = find(session, cool.number)
        assert piece is not None
        tell(session, piece, revises=services.loads_now(session, piece).version.entry.id)
    first = told(store, piece, bond_service_c=60.0)
    assert first.worked.verdict == NOT_MET
    assert "may get 70 °C hot and its bond stands 60 °C" in first.worked.outcome["why"][0]
    assert first.version is not None
    assert told(store, piece, bond_service_c=80.0, revises=first.version.entry.id).worked.verdict == MET


def test_what_is_told_anew_takes_the_place_of_what_was_and_both_stay(store: Store, piece: PieceNow) -> None:
    first = told(store, piece, proof_n=10.0).version
    assert first is not None
    second = told(store, piece, revises=first.entry.id)
    assert second.version is not None
    assert (second.worked.verdict, [entry.id for entry in second.version.replaced]) == (MET, [first.entry.id])
    with pytest.raises(Superseded):
        told(store, piece, revises=first.entry.id)
    with pytest.raises(Superseded):
        told(store, piece)
    with store.read() as session:
        assert len(services.told(session, piece.piece_id)) == 1


def test_what_two_machines_told_apart_both_stands_until_somebody_chooses(store: Store, piece: PieceNow) -> None:
    from siteapp.hanging.strength.models import Strength
    from siteapp.pieces.writing import append

    first = told(store, piece).version
    assert first is not None
    with store.write() as session:
        other = append(session, factories.a_writer(session), piece, "strength", Strength(note="the other van"))
        assert len(services.told(session, piece.piece_id)) == 2
    assert told(store, piece, revises=other).worked.verdict == MET
    with store.read() as session:
        assert len(services.told(session, piece.piece_id)) == 1


@pytest.mark.parametrize(
    ("labels", "words"), [(["E"], "no “E” on this piece"), (["A", "A"], "stands in two lines"), ([], "none is told")]
)
def test_a_point_that_is_not_there_or_told_twice_or_none_is_refused(
    store: Store, piece: PieceNow, labels: list[str], words: str
) -> None:
    with pytest.raises(FieldProblem) as refused, store.write() as session:
        prove(session, piece, labels)
    assert refused.value.field == "points"
    assert words in refused.value.message
    assert now(store, piece).version is None


def test_what_another_piece_told_is_not_revised(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    with store.write() as session:
        other = prove(session, noise.piece)
    with pytest.raises(StoreError):
        told(store, piece, revises=other)
    assert now(store, piece).version is None


@pytest.mark.parametrize(
    ("typed", "labels"),
    [("A, b;c", ["A", "B", "C"]), (" all ", ["A", "B", "C"]), ("ALL", ["A", "B", "C"]), ("A,,", ["A"]), ("X", ["X"])],
)
def test_a_line_names_its_points_as_the_piece_has_them(typed: str, labels: list[str]) -> None:
    assert labels_of(typed, ["A", "B", "C"]) == labels


def test_a_label_with_a_comma_or_called_all_is_meant_as_it_stands() -> None:
    assert labels_of("left, upper", ["left, upper", "B"]) == ["left, upper"]
    assert labels_of("all", ["all", "B"]) == ["all"]


def test_points_that_are_alike_stand_in_one_line_and_untold_ones_in_a_last(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        points = [proof("A"), proof("C"), proof("B", proof_n=5.0)]
        services.record(session, factories.a_writer(session), piece=piece, points=points)
    with store.read() as session:
        stand = services.told(session, piece.piece_id)[0]
        lines = lines_of(services.points_of(session, stand.entry.id), ["A", "B", "C", "D"])
    assert [one["labels"] for one in lines] == ["A, C", "B", "D"]
    assert str(lines[0]["proved_on"]) == "2026-11-18"
    assert set(lines[2]) == {"labels", "proved_on"}


def test_what_cannot_be_proved_stops_the_work_until_a_maker_releases_it(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        line = next(one for one in checks.state(session, piece, checks.READY).lines if one.key == "strength")
        spot = {"piece": piece, "list_id": line.list_id, "line_key": line.key}
        with pytest.raises(FieldProblem, match="cannot be met by hand"):
            checks.answer(session, factories.a_writer(session), verdict="met", **spot)
        before = [hold.line_key for hold in checks.open_holds(session, piece)]
        checks.release(session, factories.a_writer(session), reason="Bolted through, drawing 4.", **spot)
        after = [hold.line_key for hold in checks.open_holds(session, piece)]
    assert [key for key in before if key not in after] == ["strength"]
