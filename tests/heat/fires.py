"""Pieces near a fire, with as much recorded as a test asks for."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from siteapp.heat.appliance.services import ApplianceFacts, ThingFacts, record_appliance, record_distances
from siteapp.heat.evidence.services import LimitFacts, record_limits
from siteapp.heat.testing import services as testing
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

PARTS = {"laminate": 90.0, "bond": 80.0, "foam": 85.0, "coat": 90.0, "anchor resin": 75.0}
FACTS: dict[str, Any] = {
    "fuel": "split ash", "by_hand": False, "output": "rated output", "output_from": "the dial", "room_c": 20.0,
    "hottest_room_c": 26.0, "hottest_from": "a summer's evening", "margin_c": 10.0, "watched_by": "F. Fitter "
    "(invented)",
    "note": None,
}  # fmt: skip
PROBES: list[Any] = [
    {"label": "P1", "spot": "face", "placed": "lower edge", "thermometer": "meter 3", "error_c": 1.0},
    {"label": "P2", "spot": "bond", "placed": "plate B", "thermometer": "meter 3", "error_c": 1.0},
]


def appliance(session: Session, piece: PieceNow, revises: str | None = None, **facts: Any) -> str:
    told = dict.fromkeys(ApplianceFacts.__annotations__) | {
        "kind": "stove", "model": "Ember 5 (invented)", "fuel": "wood", "output_kw": 5.0, "plate_above_mm": 500.0,
        "plate_beside_mm": 300.0, "commissioned": "paper seen", "commissioning": "77, by L. Licensed (invented)",
    }  # fmt: skip
    writer = factories.a_writer(session)
    return record_appliance(session, writer, piece=piece, facts=told | facts, revises=revises)


def distances(session: Session, piece: PieceNow, *things: dict[str, Any]) -> str:
    rows: list[Any] = [dict.fromkeys(ThingFacts.__annotations__) | one for one in things]
    facts = {"measured_by": "F. Fitter (invented)", "measured_on": "2026-11-20", "tape": None, "note": None}
    return record_distances(session, factories.a_writer(session), piece=piece, facts=facts, things=rows)


def limits(session: Session, piece: PieceNow, revises: str | None = None, **told: Any) -> str:
    rows: list[Any] = []
    for part, limit in (PARTS | told).items():
        row = dict.fromkeys(LimitFacts.__annotations__) | {"part": part, "absent": False, "limit_c": limit}
        rows.append(row | {"known_from": "data sheet", "document": "sheet of 2026"})
    return record_limits(session, factories.a_writer(session), piece=piece, limits=rows, revises=revises)


def lit(session: Session, piece: PieceNow, *, hours_ago: float = 6.0, probes: Any = None, **facts: Any) -> str:
    at = (datetime.now(UTC) - timedelta(hours=hours_ago)).isoformat()
    told: Any = FACTS | {"lit_at": at} | facts
    writer = factories.a_writer(session)
    return testing.begin(session, writer, piece=piece, facts=told, probes=probes or PROBES)


def read(session: Session, piece: PieceNow, test_id: str, minutes: float, **celsius: float) -> str:
    told: Any = {"piece": piece, "test_id": test_id, "minutes": minutes, "celsius": celsius}
    return testing.record_readings(session, factories.a_writer(session), **told)


def happened(session: Session, piece: PieceNow, test_id: str, what: str, minutes: float, **more: Any) -> str:
    told: Any = {"piece": piece, "test_id": test_id, "what": what, "minutes": minutes}
    return testing.record_event(session, factories.a_writer(session), **told, **more)


def warmed(final_c: float, minutes: Iterable[float], tau: float = 20.0) -> list[tuple[float, float]]:
    return [(at, final_c - (final_c - 20) * math.exp(-at / tau)) for at in minutes]


def burnt(session: Session, piece: PieceNow, *, face_c: float = 50.0, bond_c: float = 40.0, **facts: Any) -> str:
    """A whole test: three hours to a plateau, shut down, logged through the peak after it."""
    test_id = lit(session, piece, **facts)
    times = [10.0 * at for at in range(19)]
    for (at, face), (_at, bond) in zip(warmed(face_c, times), warmed(bond_c, times), strict=True):
        read(session, piece, test_id, at, P1=face, P2=bond)
    happened(session, piece, test_id, "shut down", 180.0)
    for at, more in ((185.0, 0.5), (190.0, 1.0), (200.0, -0.5), (210.0, -3.0)):
        read(session, piece, test_id, at, P1=face_c + more, P2=bond_c + more)
    return test_id


def ended(session: Session, piece: PieceNow, test_id: str) -> str:
    return testing.end(session, factories.a_writer(session), piece=piece, test_id=test_id)


def tested(session: Session, piece: PieceNow) -> str:
    """Everything that makes a heat test met."""
    limits(session, piece)
    test_id = burnt(session, piece)
    ended(session, piece, test_id)
    return test_id
