"""A wall recorded through the room's own service, as met as a wall can be unless `facts` say otherwise. Invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.template.models import FixingTemplate
from siteapp.hanging.wall import services
from siteapp.pieces.writing import append
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

MET_WALL: dict[str, Any] = {
    "material": "solid masonry",
    "material_words": "stock brick in lime mortar",
    "proved_by": "trial hole",
    "thickness_mm": 215.0,
    "sound": True,
    "gap_mm": 12.0,
    "services_front": "none near",
    "services_back": "none near",
    "detector": f"wall scanner {factories.MARK}",
    "consent": "in writing",
    "consent_by": f"A. Owner {factories.MARK}",
    "asbestos": "surveyed clear",
    "asbestos_words": f"survey 17 {factories.MARK}",
    "found_by": f"B. Builder {factories.MARK}",
    "found_on": "2026-11-20",
}


def wall_facts(**facts: Any) -> services.WallFacts:
    """What may be said of a wall, everything not in `MET_WALL` or `facts` left out."""
    return services.WallFacts(**{**dict.fromkeys(services.WallFacts.__annotations__), **MET_WALL, **facts})


def find_wall(
    session: Session, piece: PieceNow, *, revises: str | None = None, slots: Sequence[str] = (), **facts: Any
) -> str:
    """Record a wall as found; returns the entry's id."""
    photos = [PhotoUse(factories.a_photo_row(session), slot) for slot in slots]
    writer = factories.a_writer(session)
    return services.record(session, writer, piece=piece, facts=wall_facts(**facts), photos=photos, revises=revises)


def a_template(session: Session, piece: PieceNow, *, corrects: Sequence[str] = (), **facts: Any) -> str:
    """Where the piece goes, and a wall of solid masonry asked for; returns the entry's id."""
    said = {
        "datum": "left edge of the door frame, finished floor",
        "x_mm": 400.0,
        "y_mm": 900.0,
        "wall_asked": "solid masonry",
        "anchor": f"Resin anchor M8 {factories.MARK}",
        "anchor_document": f"ETA 00/0000 {factories.MARK}",
        "drill_mm": 10.0,
        "embedment_mm": 80.0,
        "torque_nm": 10.0,
        "proof_kn": 2.0,
        "designed_by": f"C. Engineer {factories.MARK}",
        "particulars_id": piece.revision.id,
    }
    body = FixingTemplate(**(said | facts))
    return append(session, factories.a_writer(session), piece, "fixing_template", body, corrects=corrects)
