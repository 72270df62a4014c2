"""Colour and touching up in a certificate's record. Colours are CIE L*a*b*, sheen in gloss units at its angle."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ColourZone:
    """The mean of a zone's readings, the difference of the mean and of the worst reading to the sample (ΔE2000)."""

    zone: str
    count: int | None = None
    l: float | None = None  # noqa: E741 - CIE 1976 calls it so
    a: float | None = None
    b: float | None = None
    delta_e: float | None = None
    worst: float | None = None
    gloss: float | None = None
    verdict: str | None = None


@dataclass(frozen=True)
class ColourMatch:
    """The agreed sample, what was read on the piece against it, and what the client said."""

    sample: str
    made_of: str | None = None
    l: float | None = None  # noqa: E741 - CIE 1976 calls it so
    a: float | None = None
    b: float | None = None
    gloss: float | None = None
    gloss_deg: int | None = None
    instrument: str | None = None
    illuminant: str | None = None
    observer: str | None = None
    tolerance: float | None = None
    gloss_tolerance: float | None = None
    zones: tuple[ColourZone, ...] = ()
    client_yes: bool | None = None
    client_said: str | None = None
    light: str | None = None


@dataclass(frozen=True)
class KitThing:
    """One thing in the touch-up kit."""

    what: str
    amount: str | None = None
    batch: str | None = None
    keeps_until: str | None = None


@dataclass(frozen=True)
class TouchUpKit:
    """The kit that stays with the client: where it is, how long it keeps and why, what is in it."""

    kept: str | None = None
    keeps_until: str | None = None
    keeps_why: str | None = None
    things: tuple[KitThing, ...] = ()
