"""A crate and its way in, recorded through the rooms' own services, as met as a way can be. Invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.dispatch.services import CrateFacts, describe_crate
from siteapp.hanging.route import services
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

CRATE: dict[str, Any] = {
    "width_mm": 1400.0,
    "height_mm": 1000.0,
    "depth_mm": 250.0,
    "gross_kg": 58.0,
    "gross_origin": "weighed",
}
WAY: dict[str, Any] = {
    "ways_up": "upright",
    "may_tilt": False,
    "measured_by": f"E. Measurer {factories.MARK}",
    "measured_on": "2026-11-20",
}
DOOR: dict[str, Any] = {
    "kind": "opening",
    "name": "front door",
    "width_mm": 838.0,
    "height_mm": 1981.0,
    "measured": True,
}
CORNER: dict[str, Any] = {
    "kind": "corner",
    "name": "hall",
    "width_mm": 1100.0,
    "second_mm": 1200.0,
    "height_mm": 2400.0,
    "measured": True,
}
LIFT: dict[str, Any] = {
    "kind": "lift",
    "name": "goods lift",
    "width_mm": 1100.0,
    "height_mm": 2200.0,
    "second_mm": 1800.0,
    "door_width_mm": 900.0,
    "door_height_mm": 2000.0,
    "load_kg": 320.0,
    "riders": 2,
    "measured": True,
}


def a_crate(session: Session, piece: PieceNow, *, revises: str | None = None, **facts: Any) -> str:
    """Describe the crate; returns the entry's id."""
    said = CrateFacts(**{**dict.fromkeys(CrateFacts.__annotations__), **CRATE, **facts})
    return describe_crate(session, factories.a_writer(session), piece=piece, facts=said, revises=revises)


def step(**facts: Any) -> services.StepFacts:
    """One obstacle; everything not said is left out."""
    return services.StepFacts(**{**dict.fromkeys(services.StepFacts.__annotations__), **facts})


def way_facts(**facts: Any) -> services.RouteFacts:
    """What is said of the whole way."""
    return services.RouteFacts(**{**dict.fromkeys(services.RouteFacts.__annotations__), **WAY, **facts})


def a_way(
    session: Session,
    piece: PieceNow,
    steps: Sequence[dict[str, Any]] = (DOOR, CORNER, LIFT),
    *,
    revises: str | None = None,
    photo: bool = False,
    **facts: Any,
) -> str:
    """Record a way in; returns the entry's id."""
    return services.record(
        session,
        factories.a_writer(session),
        piece=piece,
        facts=way_facts(**facts),
        steps=[step(**one) for one in steps],
        photos=[PhotoUse(factories.a_photo_row(session), services.SLOT)] if photo else (),
        revises=revises,
    )
