"""The form that came back: kept, revised, met only with everything that stands on it. Rules are ours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import FORM_BACK
from siteapp.hanging.anchors import views as anchor_pages  # noqa: F401 - makes their calculations known
from siteapp.hanging.pack import services, working
from siteapp.hanging.pack.gathered import pack_of
from siteapp.pieces.services import facts_now, revise_particulars
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.survey import suggest_readings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from tests import factories
from tests.hanging.anchors import support as anchors
from tests.hanging.packs import POINTS, a_piece_on_four_points, again, bring_back, everything_back
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.checks.calculations import WorkedOut
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def worked(session: Session, piece: PieceNow) -> WorkedOut:
    known = calculations.known(FORM_BACK)
    assert known is not None
    assert known.work_out is not None
    return known.work_out(session, piece)


def why(session: Session, piece: PieceNow) -> str:
    return "; ".join(worked(session, piece).outcome["why"])


def test_a_form_is_met_only_when_everything_on_it_is(database: Store) -> None:
    with database.write() as session:
        piece, template_id = everything_back(session)
        found = worked(session, piece)
        assert (found.verdict, found.outcome["why"]) == (MET, [])
        back = services.back_now(session, piece.piece_id)
        assert back is not None
        assert (back.said.template_id, len(back.photos)) == (template_id, 1)


def test_a_piece_of_which_nothing_came_back_cannot_be_told(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        found = worked(session, noise.piece)
        told = "; ".join(found.outcome["why"])
    assert found.verdict == CANNOT_TELL
    assert "There is no fixing template" in told
    assert "has not come back" in told
    assert "The wall as found: Nobody has written down" in told


def test_a_template_set_anew_makes_an_earlier_form_not_met(store: Store) -> None:
    with store.write() as session:
        piece, template_id = everything_back(session)
        from siteapp.hanging.template import services as templates

        facts: Any = anchors.TEMPLATE | {"wall_asked": "solid masonry", "x_mm": 420.0, "level_line": None}
        facts |= {"level_mm": None, "note": None}
        templates.record(session, factories.a_writer(session), piece=piece, facts=facts, revises=template_id)
        assert worked(session, piece).verdict == NOT_MET
        assert "The form answers an earlier template" in why(session, piece)


def test_two_templates_set_apart_make_wall_and_form_cannot_tell(store: Store) -> None:
    with store.write() as session:
        piece, _template = everything_back(session)
        # As a merge leaves it: neither knows of the other.
        anchors.template(session, piece, wall_asked="concrete")
        assert worked(session, piece).verdict != MET
        assert "Two machines set the fixing template apart" in why(session, piece)
        wall = working.wall_worked_out(session, piece)
    assert (wall.verdict, wall.inputs["asked"]) == (CANNOT_TELL, None)


def test_points_that_changed_after_the_template_make_it_cannot_tell(store: Store) -> None:
    with store.write() as session:
        piece, _template = everything_back(session)
        before = facts_now(piece)
        rows = [row | {"x_mm": row["x_mm"] + 30.0} for row in before["hanging_points"]]
        facts: Any = before | {"hanging_points": rows}
        writer = factories.a_writer(session)
        revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
        piece = again(session, piece)
        assert worked(session, piece).verdict != MET
        assert "The hanging points changed after the template was set" in why(session, piece)


def test_a_part_that_is_not_met_stops_the_form_and_says_which(store: Store) -> None:
    with store.write() as session:
        piece, _template = everything_back(session)
        from siteapp.hanging.wall.services import wall_now

        wall = wall_now(session, piece.piece_id)
        assert wall is not None
        find_wall(session, piece, revises=wall.entry.id, sound=False)
        assert worked(session, piece).verdict == NOT_MET
        assert "The wall as found: The wall is not sound." in why(session, piece)


@pytest.mark.parametrize("missing", ["wall", "anchor", "holes", "photo", "form", "template"])
def test_leaving_any_one_thing_out_is_never_met(store: Store, missing: str) -> None:
    from tests.hanging.packs import measure_holes

    with store.write() as session:
        piece = a_piece_on_four_points(session)
        kept = anchors.template(session, piece, wall_asked="solid masonry") if missing != "template" else None
        if missing != "wall":
            find_wall(session, piece)
        for label in list(POINTS)[: 3 if missing == "anchor" else 4]:
            anchors.set_anchor(session, piece, label)
        if missing != "holes":
            measure_holes(session, piece)
        if missing != "form" and kept:
            bring_back(session, piece, kept, photo=missing != "photo")
        assert worked(session, piece).verdict == CANNOT_TELL


def test_the_check_of_the_form_follows_what_is_recorded(store: Store) -> None:
    with store.write() as session:
        piece, _template = everything_back(session)
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        lines = [line for one in checks.states(session, piece) for line in one.lines if line.calculation == FORM_BACK]
        assert [one.verdict for one in lines] == [MET] * len(lines)


def test_a_later_form_takes_the_place_of_the_first_and_who_was_slower_is_told(store: Store) -> None:
    with store.write() as session:
        piece = a_piece_on_four_points(session)
        template_id = anchors.template(session, piece)
        first = bring_back(session, piece, template_id)
    with store.write() as session:
        second = bring_back(session, piece, template_id, revises=first, note="with page two")
    with pytest.raises(Superseded), store.write() as session:
        bring_back(session, piece, template_id, revises=first)
    with pytest.raises(Superseded), store.write() as session:
        bring_back(session, piece, template_id)
    with store.read() as session:
        (only,) = services.backs(session, piece.piece_id)
    assert (only.entry.id, only.said.note, [entry.id for entry, _said in only.earlier]) == (
        second,
        "with page two",
        [first],
    )


def test_a_template_or_a_form_of_another_piece_is_refused(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        piece = a_piece_on_four_points(session)
        own = anchors.template(session, piece)
        foreign = anchors.template(session, noise.piece)
        theirs = bring_back(session, noise.piece, foreign)
    with pytest.raises(StoreError, match="none of this piece's"), store.write() as session:
        bring_back(session, piece, foreign)
    with pytest.raises(StoreError, match="no form of this piece"), store.write() as session:
        bring_back(session, piece, own, revises=theirs)


def test_each_part_leads_to_the_page_it_is_typed_into(store: Store) -> None:
    with store.write() as session:
        piece = a_piece_on_four_points(session)
        parts = working.parts_of(session, piece)
    assert [part.endpoint for part in parts] == ["wall.page", "anchors.page", "holes.page"]
    assert {part.worked.verdict for part in parts} == {CANNOT_TELL}


def test_a_pack_is_gathered_from_the_datum(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        piece = a_piece_on_four_points(session, slot_mm=14.0, slot_deg=0.0)
        template_id = anchors.template(session, piece, x_mm=400.0, y_mm=1100.0, wall_asked="concrete")
        pack = pack_of(session, piece, invented=True)
        assert pack_of(session, noise.piece) is None
    assert pack is not None
    # By hand: the template's corner and the particulars' own places, added.
    assert {point.label: (point.x_mm, point.y_mm) for point in pack.points} == {
        "A": (550.0, 1840.0),
        "B": (1450.0, 1840.0),
        "C": (580.0, 1190.0),
        "D": (1420.0, 1190.0),
    }
    assert (pack.template_id, pack.stale, pack.wall_asked, pack.weight.origin) == (
        template_id,
        False,
        "concrete",
        "weighed",
    )
    assert (pack.points[0].slot_mm, pack.drill_mm, pack.invented) == (14.0, 12.0, True)
    # BS 8539, annex B.3 (read in a public copy): never fewer than three.
    assert pack.proving is not None
    assert (pack.proving.count, pack.proving.of) == (3, 4)
    # The readings and their order are the survey's own: whoever measures climbs the ladder once.
    asked = suggest_readings({point.label: (point.x_mm, point.y_mm) for point in pack.points})
    assert [{one.a, one.b} - {None} for one in pack.readings] == [set(one.holes) for one in asked]
    # Five readings tie four holes together and check nothing; with fewer than two more no slip could be named.
    assert len(pack.readings) >= 7


@pytest.mark.parametrize(("labels", "words"), [(["A"], "One hole alone"), ([], "One hole alone")])
def test_holes_without_a_distance_are_said_to_have_none(store: Store, labels: list[str], words: str) -> None:
    with store.write() as session:
        piece = a_piece_on_four_points(session)
        before = facts_now(piece)
        rows = [row for row in before["hanging_points"] if row["label"] in labels]
        facts: Any = before | {"hanging_points": rows}
        writer = factories.a_writer(session)
        revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
        piece = again(session, piece)
        anchors.template(session, piece)
        pack = pack_of(session, piece)
    assert pack is not None
    assert words in (pack.readings_why or "")
    assert pack.readings == ()
