"""Fire and heat in a certificate's record: reports, limits, the appliance, what a heat test measured.

Temperatures in °C, lengths in mm, days ISO 8601. Nothing here was extrapolated.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FireReport:
    """One report about fire: what was tested, and what that covers and does not."""

    report: str
    tested: str | None = None
    layers: str | None = None
    laboratory: str | None = None
    standard: str | None = None
    result: str | None = None
    reported_on: str | None = None
    covers: str | None = None
    covers_not: str | None = None


@dataclass(frozen=True)
class PartLimit:
    """How warm one part of the piece may get, and where that is from; no `limit_c` is not known."""

    part: str
    named: str | None = None
    limit_c: float | None = None
    known_from: str | None = None
    document: str | None = None


@dataclass(frozen=True)
class Distance:
    """How far one thing is from the fire, what is asked, by what."""

    thing: str
    place: str | None = None
    measured_mm: float | None = None
    asked_mm: float | None = None
    verdict: str | None = None
    by: str | None = None


@dataclass(frozen=True)
class Appliance:
    """The appliance as its plate and papers have it."""

    kind: str | None = None
    model: str | None = None
    fuel: str | None = None
    output_kw: float | None = None
    instructions: str | None = None
    commissioned: str | None = None
    commissioning: str | None = None
    distances: tuple[Distance, ...] = ()


@dataclass(frozen=True)
class Probe:
    """One probe of a heat test: where it was, the highest temperature measured, the plateau where there was one."""

    label: str
    spot: str | None = None
    where: str | None = None
    thermometer: str | None = None
    error_c: float | None = None
    highest_c: float | None = None
    plateau_c: float | None = None


@dataclass(frozen=True)
class HeatTest:
    """A heat test as it was measured: `minutes` from lighting to the last reading; `verdict` when it ended."""

    on: str | None = None
    fuel: str | None = None
    output: str | None = None
    minutes: float | None = None
    room_c: float | None = None
    hottest_room_c: float | None = None
    margin_c: float | None = None
    verdict: str | None = None
    by: str | None = None
    probes: tuple[Probe, ...] = ()
