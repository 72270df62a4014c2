"""What a certificate keeps of how the piece hangs. Kept for the life of the piece: fields are only added."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Balance:
    """Where the weight sits: x to the right and y up in mm from the lower left, seen from the front, z out of the wall.

    Each with how it is known: "weighed", "worked out" or "assumed".
    """

    x_mm: float | None = None
    x_how: str | None = None
    y_mm: float | None = None
    y_how: str | None = None
    z_mm: float | None = None
    z_how: str | None = None


@dataclass(frozen=True)
class Wall:
    """The wall as somebody found it, in words; lengths in mm, `found_on` a day."""

    material: str | None = None
    material_words: str | None = None
    proved_by: str | None = None
    thickness_mm: float | None = None
    sound: bool | None = None
    gap_mm: float | None = None
    services_front: str | None = None
    services_back: str | None = None
    found_by: str | None = None
    found_on: str | None = None


@dataclass(frozen=True)
class AnchorTest:
    """One proof test of an anchor: loads in kN, time held in s, movement in mm; `at` an instant."""

    load_kn: float | None = None
    asked_kn: float | None = None
    held_s: float | None = None
    movement_mm: float | None = None
    gauge: str | None = None
    by: str | None = None
    at: str | None = None


@dataclass(frozen=True)
class Anchor:
    """An anchor in the wall as it was set, turned up and tested; lengths in mm, torque in N m, `set_at` an instant."""

    label: str
    product: str | None = None
    batch: str | None = None
    drilled_mm: float | None = None
    embedment_mm: float | None = None
    set_by: str | None = None
    set_at: str | None = None
    torque_nm: float | None = None
    turned_by: str | None = None
    locked: str | None = None
    tests: tuple[AnchorTest, ...] = ()


@dataclass(frozen=True)
class AnchorsAsked:
    """What was asked of the anchors: product, its approval document, who designed them."""

    product: str | None = None
    document: str | None = None
    designed_by: str | None = None
