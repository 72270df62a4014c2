"""Hanging points proved, and a piece of which every part is met, through the rooms' own services. Invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.lifting.models import STEPS
from siteapp.hanging.strength import services
from siteapp.store.entries import PhotoUse
from tests import factories
from tests.hanging.anchors import support as anchors
from tests.hanging.hung import tell, weigh
from tests.hanging.lifts import a_lift
from tests.hanging.packs import POINTS, a_piece_on_four_points, bring_back, measure_holes
from tests.hanging.walls import find_wall
from tests.hanging.ways import a_crate, a_way

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

PROOF: dict[str, Any] = {
    "proof": "proof load",
    "proof_n": 9000.0,
    "plate_mm": 4.0,
    "proved_on": "2026-11-18",
    "proved_by": f"P. Prover {factories.MARK}",
    "evidence": f"sheet 12 {factories.MARK}",
}


def by_hoist(step: str) -> dict[str, Any]:
    """A step of the lift by a hoist, or on a trolley where it is carried."""
    carried = step == "carry"
    aid = {"aid": "trolley" if carried else "hoist", "rated_kg": 250.0, "people": 0, "standing": "floor"}
    return {"step": step, **aid, "carry_m": 5.0 if carried else None, "in_crate": step in ("unload", "carry")}


def proof(label: str, **facts: Any) -> services.PointFacts:
    """How one point was proved; everything not said is left out."""
    blank = dict.fromkeys(services.PointFacts.__annotations__)
    return services.PointFacts(**{**blank, **PROOF, "label": label, **facts})


def prove(
    session: Session,
    piece: PieceNow,
    labels: Sequence[str] | None = None,
    *,
    revises: str | None = None,
    photo: bool = False,
    **facts: Any,
) -> str:
    """Record the proofs of these points, or of all; returns the entry's id."""
    names = labels if labels is not None else [point.label for point in piece.hanging_points]
    return services.record(
        session,
        factories.a_writer(session),
        piece=piece,
        points=[proof(label, **facts) for label in names],
        photos=[PhotoUse(factories.a_photo_row(session), services.SLOT)] if photo else (),
        revises=revises,
    )


def away_from_heat(session: Session, piece: PieceNow) -> PieceNow:
    """The piece with its particulars saying that nothing hot is near, and that it hangs on points."""
    from siteapp.pieces.services import facts_now, revise_particulars
    from tests.hanging.packs import again

    facts = facts_now(piece)
    facts["fields"] |= {"near_heat": False, "stands": "on points"}
    revise_particulars(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts)
    return again(session, piece)


def a_hung_piece(session: Session) -> PieceNow:
    """A piece of which every part that decides whether it hangs is met."""
    piece = away_from_heat(session, weigh(session, a_piece_on_four_points(session, edge_mm=20.0)))
    template_id = anchors.template(session, piece, wall_asked="solid masonry")
    find_wall(session, piece, gap_mm=0.0)
    tell(session, piece)
    prove(session, piece)
    a_crate(session, piece)
    a_way(session, piece)
    a_lift(session, piece, [by_hoist(step) for step in STEPS])
    for label in POINTS:
        anchors.set_anchor(session, piece, label)
    measure_holes(session, piece)
    bring_back(session, piece, template_id)
    for label in POINTS:
        anchors.prove(session, piece, label)
    return piece
