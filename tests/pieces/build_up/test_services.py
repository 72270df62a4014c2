"""What a piece is built up of, and the weight that comes of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.pieces import services as pieces
from siteapp.pieces.build_up.lines import judged, typed_before
from siteapp.pieces.build_up.services import NOTE, revise_build_up
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.pieces.build_up.support import PLATE, SHELL, a_row

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

UNWEIGHED = {"mass_kg": None, "mass_origin": None, "mass_note": None}


def revise(session: Session, piece: PieceNow, *rows: dict[str, Any], revises: str | None = None) -> PieceNow:
    full = [a_row(**row) for row in rows]
    writer = factories.a_writer(session)
    revise_build_up(session, writer, piece=piece, revises=revises or piece.revision.id, rows=full)
    found = pieces.find(session, piece.number)
    assert found is not None
    return found


def test_sizes_are_kept_and_their_weight_becomes_the_estimate_of_the_particulars(database: Store) -> None:
    # By hand: 2.4 m² · 1.35/0.3 kg/m² = 10.8 kg; 4 · 150 · 80 · 5 mm³ of steel = 1.884 kg.
    with database.write() as session:
        piece = factories.a_piece(session, **UNWEIGHED)
        plates = {**PLATE, "pieces": 4, "x_mm": 600.0}
        now = revise(session, piece, SHELL, plates, {"material": "paint", "mass_kg": 0.3})
    shell, steel, paint = now.build_up
    assert (shell.mass_kg, shell.thickness_mm) == (pytest.approx(10.8), pytest.approx(3.15234375))
    assert (steel.mass_kg, steel.density_kg_m3, steel.pieces, steel.x_mm) == (pytest.approx(1.884), 7850, 4, 600)
    assert (paint.mass_kg, paint.made_as) == (0.3, None)
    said = now.particulars
    assert (said.mass_kg, said.mass_origin, said.mass_note) == (12.984, "estimated", NOTE)
    assert [point.label for point in now.hanging_points] == ["A", "B"]


def test_a_weight_that_was_weighed_stays(store: Store) -> None:
    with store.write() as session:
        now = revise(session, factories.a_piece(session), SHELL)
    assert (now.particulars.mass_kg, now.particulars.mass_origin) == (31.4, "weighed")
    assert now.particulars.mass_note == "floor scales, ±0.1 kg"


def test_while_a_line_has_no_weight_there_is_no_estimate_and_one_of_ours_is_taken_back(store: Store) -> None:
    with store.write() as session:
        piece = revise(session, factories.a_piece(session, **UNWEIGHED), SHELL)
        assert piece.particulars.mass_origin == "estimated"
        now = revise(session, piece, SHELL, {"material": "frame"})
        assert (now.particulars.mass_kg, now.particulars.mass_origin, now.particulars.mass_note) == (None, None, None)
        by_hand = {"mass_kg": 20.0, "mass_origin": "estimated", "mass_note": "from the drawing"}
        other = revise(session, factories.a_piece(session, **by_hand), SHELL, {"material": "frame"})
    assert (other.particulars.mass_kg, other.particulars.mass_note) == (20.0, "from the drawing")


def test_a_line_is_offered_again_as_it_was_typed(store: Store) -> None:
    with store.write() as session:
        now = revise(session, factories.a_piece(session), SHELL, {**PLATE, "thickness_mm": 5.0})
        rows = [typed_before(line) for line in now.build_up]
        assert (rows[0]["mass_kg"], rows[0]["thickness_mm"], rows[1]["mass_kg"], rows[1]["thickness_mm"]) == (
            None,
            None,
            None,
            5.0,
        )
        again = revise(session, now, *rows)
    kept = [pieces._fields(line) for line in now.build_up]
    assert [pieces._fields(line) for line in again.build_up] == kept


@pytest.mark.parametrize(
    ("row", "field", "words"),
    [
        ({**SHELL, "glass_fraction": None}, "glass_fraction", "“Laminate” asks for it beside its other sizes"),
        ({**SHELL, "made_as": None}, "made_as", "say what it is made as, so that its sizes count"),
        ({**SHELL, "film_um": 500.0}, "film_um", "Film: “Laminate” does not ask for it. Take it out"),
        ({**SHELL, "mass_kg": 12.0}, "mass_kg", "12 kg is typed, and its sizes come to 10.8 kg. Which is right?"),
        ({**SHELL, "pieces": 1000}, "mass_kg", "these sizes come to 10\u202f800 kg. Allowed is at most 5\u202f000 kg"),
        ({"material": "a", "made_as": "as weighed"}, "mass_kg", "give what the scales said, or its maker"),
        ({"material": "a", "mass_kg": 1.0, "x_mm": 12_000.0}, "x_mm", "12\u202f000 mm is far outside of the piece"),
        ({"material": "a", "mass_kg": 1.0, "z_mm": -501.0}, "z_mm", "from 0 to 95.5 mm. Allowed is up to 500 mm"),
        (
            {**PLATE, "made_as": "round tube", "thickness_mm": 41.0},
            "made_as",
            "wall is 41.0 mm; allowed is a number above 0 to 40 mm",
        ),
        (
            {"material": "a", "made_as": "film", "area_m2": 1.0, "film_um": 500.0, "density_kg_m3": 20.0},
            "made_as",
            "density of the film is 20.0 kg/m³; allowed is a number from 100",
        ),
    ],
)
def test_a_line_that_does_not_fit_together_is_refused_and_nothing_is_written(
    store: Store, row: dict[str, Any], field: str, words: str
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    told = judged(a_row(**row), piece.particulars)
    assert [(name, words in message) for name, message in told.problems] == [(field, True)]
    with pytest.raises(FieldProblem) as refused, store.write() as session:
        revise(session, piece, SHELL, row)
    assert refused.value.message.startswith("Line 2: ")
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        assert found.revision.id == piece.revision.id


def test_a_weight_beside_sizes_that_nearly_say_the_same_goes_by_the_sizes(store: Store) -> None:
    with store.write() as session:
        now = revise(session, factories.a_piece(session), {**SHELL, "mass_kg": 10.9})
    assert now.build_up[0].mass_kg == pytest.approx(10.8)


def test_lines_that_weigh_more_than_any_piece_are_refused(store: Store) -> None:
    words = "The lines come to 8\u202f000 kg together. Allowed is at most"
    with pytest.raises(FieldProblem, match=words), store.write() as session:
        revise(session, factories.a_piece(session), *({"material": "lead", "mass_kg": 4000.0},) * 2)


def test_a_build_up_that_somebody_else_revised_meanwhile_is_not_revised_over_theirs(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        theirs = revise(session, piece, SHELL)
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        revise(session, piece, PLATE)
    assert overtaken.value.newer == (theirs.revision.id,)


def test_a_revision_of_another_piece_is_refused(store: Store, noise: factories.Noise) -> None:
    with pytest.raises(StoreError, match="no such piece"), store.write() as session:
        revise(session, factories.a_piece(session), SHELL, revises=noise.piece.revision.id)


def test_what_the_factory_holds_says_nothing_of_its_whole_weight(store: Store) -> None:
    from siteapp.pieces.build_up.reading import come_to

    with store.write() as session:
        now = come_to(factories.a_piece(session).build_up)
    assert (now.known_kg, now.mass_kg, now.without) == (6.1, None, ("birch plywood",))
    assert math.isclose(come_to([]).known_kg or 0, 0)
