"""What a hanging plan is made from: plain text and numbers with nothing left to look up.

Lengths in mm, masses in kg, days and instants ISO 8601. What is None or empty was not said, and the plan says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from siteapp.documents import frozen
from siteapp.documents.certificate.records import Sizes, Weight


@dataclass(frozen=True)
class PlanPoint:
    """A hanging point: x right and y up from the piece's lower left corner, as seen from the front."""

    label: str
    x_mm: float
    y_mm: float
    hole_mm: float | None = None
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    holds: str | None = None


@dataclass(frozen=True)
class Balance:
    """Where the weight sits: x right, y up as seen from the front, z out from the wall, each with how it is known."""

    x_mm: float | None = None
    x_how: str | None = None
    y_mm: float | None = None
    y_how: str | None = None
    z_mm: float | None = None
    z_how: str | None = None


@dataclass(frozen=True)
class PlanStep:
    """One step in words: what is done, who and how many, on what, hands where; what it comes to and why.

    `may_kg` is what those named may lift there, or what the aid's plate says, held against `weight_kg`.
    """

    step: str
    people: str | None = None
    how: str | None = None
    weight_kg: float | None = None
    may_kg: float | None = None
    verdict: str | None = None
    note: str | None = None


@dataclass(frozen=True)
class HangingPlan(frozen.Record):
    """Everything a hanging plan prints. `verdict` with its `reasons` is how the plan stands on the day it is printed.

    `people` is how many are busy at once; `plan_id` and `plan_at` say which plan it was made from.
    """

    piece_number: str
    title: str
    plan_id: str
    plan_at: str
    verdict: str
    reasons: tuple[str, ...] = ()
    maker: str | None = None
    who_to_ask: str | None = None
    sizes: Sizes = field(default_factory=Sizes)
    weight: Weight = field(default_factory=Weight)
    gross: Weight = field(default_factory=Weight)
    balance: Balance = field(default_factory=Balance)
    points: tuple[PlanPoint, ...] = ()
    people: int | None = None
    calls: str | None = None
    guides: tuple[str, ...] = ()
    lifters: tuple[str, ...] = ()
    stop_call: str | None = None
    lift_points: str | None = None
    way_up: str | None = None
    keep_away: str | None = None
    aids: tuple[str, ...] = ()
    steps: tuple[PlanStep, ...] = ()
    nuts: str | None = None
    note: str | None = None
    assumptions: tuple[str, ...] = ()
    source: str | None = None
    printed_on: str | None = None
    invented: bool = False
    language: str = "en"

    @property
    def plan_short(self) -> str:
        """The plan's id, as much of it as tells two apart on paper."""
        return self.plan_id[:8]
