"""A piece on scales, and how heavy it counts as."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.pieces import services as pieces
from siteapp.pieces.build_up.services import revise_build_up
from siteapp.pieces.models import Particulars
from siteapp.pieces.weighing.reading import ANOTHER_WEIGHT, FULL_DEPTH
from siteapp.pieces.weighing.scales import read_off
from siteapp.pieces.weighing.services import Known, WeightNow, record_weighing, weighings, weight_now
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.pieces.build_up.support import a_row

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

SCALES = "three bench scales (invented)"
UNWEIGHED = {"mass_kg": None, "mass_origin": None, "mass_note": None}


def lying(*readings: tuple[float | None, float | None, float]) -> list[dict[str, float | None]]:
    return [{"x_mm": x, "y_mm": y, "mass_kg": kg} for x, y, kg in readings]


def on_edge(*readings: tuple[float, float]) -> list[dict[str, float | None]]:
    return [{"z_mm": z, "mass_kg": kg} for z, kg in readings]


# By hand: 30 kg at x = (10·100 + 10·1100 + 10·600)/30 = 600, y = (10·50 + 10·50 + 10·750)/30 = 283.3; on edge
# z = (20·30 + 10·90)/30 = 50.
THREE = lying((100, 50, 10), (1100, 50, 10), (600, 750, 10))
TWO = on_edge((30, 20), (90, 10))


def weigh(session: Session, piece: PieceNow, *, revises: str | None = None, **facts: Any) -> str:
    given_facts = {"scales": SCALES, "lying": THREE, "on_edge": TWO, **facts}
    writer = factories.a_writer(session)
    return record_weighing(session, writer, piece=piece, revises=revises or piece.revision.id, **given_facts)


def found(session: Session, piece: PieceNow) -> PieceNow:
    now = pieces.find(session, piece.number)
    assert now is not None
    return now


def of(session: Session, piece: PieceNow) -> WeightNow:
    return weight_now(session, found(session, piece))


def test_a_weighing_is_kept_whole_and_the_particulars_say_what_it_weighs(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session, **UNWEIGHED)
        entry_id = weigh(session, piece)
    with database.read() as session:
        (one,) = weighings(session, piece)
        now = of(session, piece)
        said = found(session, piece).particulars
        points = found(session, piece).hanging_points
    assert (one.said.mass_kg, one.said.x_mm, one.said.z_mm) == (30, 600, 50)
    assert [(row.way, row.x_mm, row.z_mm, row.mass_kg) for row in one.readings] == [
        ("lying", 100, None, 10),
        ("lying", 1100, None, 10),
        ("lying", 600, None, 10),
        ("on edge", None, 30, 20),
        ("on edge", None, 90, 10),
    ]
    assert (said.mass_kg, said.mass_origin, said.mass_note, len(points)) == (30, "weighed", SCALES, 2)
    assert (now.mass_kg, now.origin, now.weighing_id) == (30, "weighed", entry_id)
    assert (now.x, now.z) == (Known(600, "weighed"), Known(50, "weighed"))
    assert now.y == Known(pytest.approx(283.3333333), "weighed")


@pytest.mark.parametrize(
    ("flat", "edge", "places"),
    [
        (lying((None, None, 31.0)), [], (None, None, None)),
        (lying((100, 400, 20), (1100, 400, 10)), [], (433.3333333, None, None)),
        (lying((600, 0, 20), (600, 600, 10)), [], (None, 200, None)),
        ([], on_edge((30, 20), (90, 10)), (None, None, 50)),
        # Two scales under one bar count together.
        ([], on_edge((30, 12), (30, 8), (90, 10)), (None, None, 50)),
        ([], on_edge((30, 31)), (None, None, None)),
        (THREE, on_edge((40, 30)), (600, 283.3333333, None)),
    ],
)
def test_scales_tell_no_more_than_where_they_stood(store: Store, flat, edge, places: Sequence[float | None]) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        told = read_off(flat, edge, piece.particulars)
        weigh(session, piece, lying=flat, on_edge=edge)
        now = of(session, piece)
    assert [told.x_mm, told.y_mm, told.z_mm] == [None if one is None else pytest.approx(one) for one in places]
    # What was not weighed stays unknown, but for z, which is then the full depth.
    assert [now.x.how, now.y.how, now.z.how] == [
        "weighed" if one is not None else how for one, how in zip(places, (None, None, "assumed"), strict=True)
    ]
    assert now.z.mm == pytest.approx(95.5 if places[2] is None else places[2])


def test_until_it_is_weighed_on_edge_the_weight_sits_at_the_full_depth_or_further(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, depth_mm=96.0, **UNWEIGHED)
        for z_mm, expected in ((40.0, Known(96.0, "assumed")), (120.0, Known(120.0, "worked out"))):
            row = a_row(material="shell", mass_kg=20.0, x_mm=500.0, y_mm=300.0, z_mm=z_mm)
            now = found(session, piece)
            revise_build_up(session, factories.a_writer(session), piece=now, revises=now.revision.id, rows=[row])
            weight = of(session, piece)
            assert weight.z == expected
            assert (weight.x, weight.y) == (Known(500.0, "worked out"), Known(300.0, "worked out"))
            assert FULL_DEPTH in weight.assumptions
            assert (weight.mass_kg, weight.origin) == (20.0, "estimated")
        flat = factories.a_piece(session, depth_mm=None)
        assert of(session, flat).z == Known(None, None)


def test_a_balance_point_of_another_weight_counts_no_longer(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        first = weigh(session, piece)
        for mass_kg, counts in ((30.5, True), (31.0, False), (None, False)):
            now = found(session, piece)
            facts = pieces.facts_now(now)
            origin = {"mass_origin": "weighed" if mass_kg else None, "mass_note": None}
            facts["fields"] |= {"mass_kg": mass_kg, **origin}
            writer = factories.a_writer(session)
            pieces.revise_particulars(session, writer, piece=now, revises=now.revision.id, facts=facts)
            weight = of(session, piece)
            assert (weight.x.how, weight.z.how) == (("weighed", "weighed") if counts else (None, "assumed"))
            assert (ANOTHER_WEIGHT in weight.assumptions) != counts
            assert weight.weighing_id == first


def test_the_latest_weighing_counts_and_what_it_does_not_tell_comes_from_the_one_before(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        weigh(session, piece)
        second = weigh(session, found(session, piece), lying=lying((100, 50, 10.1), (1100, 50, 20.2)), on_edge=[])
        now = of(session, piece)
    assert now.weighing_id == second
    assert now.mass_kg == 30.3
    assert now.x == Known(pytest.approx(766.6666667), "weighed")
    assert now.y.how == now.z.how == "weighed"


def test_a_weighing_is_put_right_and_the_particulars_follow(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        first = weigh(session, piece)
        second = weigh(session, found(session, piece), lying=lying((None, None, 30.4)), on_edge=[])
        # The older one is put right: the weight that counts is not touched.
        record_weighing(
            session,
            factories.a_writer(session),
            piece=piece,
            revises=None,
            scales=SCALES,
            lying=THREE,
            on_edge=on_edge((60, 30)),
            corrects=[first],
        )
        assert found(session, piece).particulars.mass_kg == 30.4
        writer = factories.a_writer(session)
        right = lying((None, None, 31.2))
        record_weighing(session, writer, piece=piece, revises=None, scales="new", lying=right, corrects=[second])
        now = found(session, piece).particulars
        assert (now.mass_kg, now.mass_note) == (31.2, "new")
        assert [one.said.mass_kg for one in weighings(session, piece)] == [31.2, 30]
    with pytest.raises(Superseded), store.write() as session:
        weigh(session, piece, lying=right, on_edge=[], corrects=[second])


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"lying": [], "on_edge": []}, "lying", "give what at least one scale showed"),
        ({"lying": lying((0, 0, 10), (None, 5, 10))}, "lying", "with two scales or more, give x and y of each"),
        ({"lying": lying((0, 0, 10), (0, 4, 20))}, "lying", "scales 1 and 2 are 4 mm apart; allowed is 10 mm or more"),
        ({"lying": lying((0, 0, 30), (900, 0, 0))}, "lying", "scale 2: reading is 0.0 kg; allowed is a number above 0"),
        ({"lying": lying((0, 0, float("nan")))}, "lying", "scale 1: reading is nan kg"),
        ({"on_edge": on_edge((30, 20), (35, 10))}, "on_edge", "scales 1 and 2 are 5 mm apart"),
        ({"on_edge": on_edge((30, 20), (90, 9.3))}, "on_edge", "30 kg lying and 29.3 kg on edge: one piece weighs"),
        (
            {"on_edge": on_edge((30, 10), (190, 20))},
            "on_edge",
            "z = 137 mm, outside of the piece, which goes from 0 to",
        ),
        ({"lying": lying((0, 0, 10), (3000, 0, 20))}, "lying", "x = 2\u202f000 mm, outside of the piece"),
    ],
)
def test_readings_that_cannot_be_are_refused_and_nothing_is_written(
    store: Store, facts: dict[str, Any], field: str, words: str
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    with pytest.raises(FieldProblem) as refused, store.write() as session:
        weigh(session, piece, **facts)
    assert refused.value.field == field
    assert words in refused.value.message
    with store.read() as session:
        assert weighings(session, piece) == []
        assert found(session, piece).revision.id == piece.revision.id


def test_a_weighing_of_particulars_that_were_revised_meanwhile_writes_nothing(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        first = weigh(session, piece)
        theirs = found(session, piece).revision.id
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        weigh(session, piece)
    assert overtaken.value.newer == (theirs,)
    with store.read() as session:
        assert [one.entry.id for one in weighings(session, piece)] == [first]


def test_another_pieces_weighing_cannot_be_put_right_from_here(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        foreign = weigh(session, noise.piece)
        piece = factories.a_piece(session)
    with pytest.raises(StoreError, match="no weighing of this piece"), store.write() as session:
        weigh(session, piece, corrects=[foreign])


def test_the_build_up_is_held_against_what_was_weighed(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, **UNWEIGHED)
        row = a_row(material="shell", mass_kg=26.0)
        revise_build_up(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, rows=[row])
        compared = of(session, piece).compared
        assert compared is not None
        assert (compared.verdict, "not weighed" in compared.reason) == ("cannot tell", True)
        weigh(session, found(session, piece))
        compared = of(session, piece).compared
    assert compared is not None
    assert (compared.verdict, compared.asks_why) == ("not met", True)
    assert compared.reason == "it weighs 15.4 % heavier than its build-up says, more than 10 %: why?"


def test_a_build_up_from_a_file_that_no_piece_can_weigh_stops_no_page(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        facts = pieces.facts_now(piece)
        facts["build_up"] = [a_row(material="lead", mass_kg=4000.0)] * 2
        writer = factories.a_writer(session)
        pieces.revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
        compared = of(session, piece).compared
    assert compared is not None
    assert (compared.estimated_kg, compared.verdict) == (None, "cannot tell")


SAID = Particulars(title="x", object_type="y", width_mm=1200.0, height_mm=800.0, depth_mm=96.0)


@settings(max_examples=40)
@given(st.lists(st.booleans(), min_size=3, max_size=3).filter(any), st.floats(0.2, 5))
def test_leaving_a_reading_out_never_makes_more_known(kept: list[bool], kg: float) -> None:
    readings = lying((100, 50, kg), (1100, 50, 2 * kg), (600, 750, 3 * kg))
    fewer = [row for row, keep in zip(readings, kept, strict=True) if keep]
    whole, part = read_off(readings, [], SAID), read_off(fewer, [], SAID)
    for axis in ("x_mm", "y_mm", "z_mm"):
        assert getattr(part, axis) is None or getattr(whole, axis) is not None
    assert part.mass_kg <= whole.mass_kg
