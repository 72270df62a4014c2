"""A lift planned through the room's own service, as met as a plan can be unless told otherwise. Invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.lifting import services
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

PLAN: dict[str, Any] = {
    "calls": f"F. Caller {factories.MARK}",
    "guides": f"G. Guide {factories.MARK}",
    "lifters": f"H. One {factories.MARK}\nI. Two {factories.MARK}",
    "stop_call": "“Stop”: lower it to the trestles.",
    "lift_points": "by the lower rail; never by the edges",
    "nuts": "A, then B, each by hand; then A",
}
HANDS: dict[str, Any] = {
    "people": 2,
    "zone_from": "knuckle_to_elbow",
    "zone_to": "elbow_to_shoulder",
    "reach": "close",
    "standing": "floor",
    "aid": "none",
}


def hands(step: str, **facts: Any) -> dict[str, Any]:
    """One step by two people's arms."""
    carried = {"carry_m": 8.0} if step == "carry" else {}
    return {"step": step, **HANDS, **carried, **facts}


STEPS: tuple[dict[str, Any], ...] = (
    hands("unload", in_crate=True),
    hands("carry", in_crate=True),
    hands("raise"),
    {"step": "hold", "aid": "prop", "rated_kg": 60.0, "people": 0, "standing": "floor"},
    hands("seat"),
)


def a_lift(
    session: Session,
    piece: PieceNow,
    steps: Sequence[dict[str, Any]] = STEPS,
    *,
    revises: str | None = None,
    **facts: Any,
) -> str:
    """Plan the lift; returns the entry's id."""
    return services.record(
        session,
        factories.a_writer(session),
        piece=piece,
        facts=services.PlanFacts(**{**dict.fromkeys(services.PlanFacts.__annotations__), **PLAN, **facts}),
        steps=[services.StepFacts(**{**dict.fromkeys(services.StepFacts.__annotations__), **one}) for one in steps],
        revises=revises,
    )
