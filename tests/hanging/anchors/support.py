"""Anchors as somebody would record them; everything is invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, cast

from siteapp.hanging.anchors import services
from siteapp.hanging.template.models import FixingTemplate
from siteapp.pieces.writing import append
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

SET_AT = datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(hours=20)
PRODUCT = "Resin R with rod M10 (invented)"
CURING = ((5.0, 240.0), (10.0, 120.0), (20.0, 60.0))
TEMPLATE: dict[str, Any] = {
    "datum": "lower left corner of the stair wall",
    "x_mm": 400.0,
    "y_mm": 1100.0,
    "wall_asked": "concrete",
    "anchor": PRODUCT,
    "anchor_document": "approval 00/0000 (invented)",
    "drill_mm": 12.0,
    "embedment_mm": 90.0,
    "torque_nm": 20.0,
    "proof_kn": 1.5,
    "designed_by": "E. Engineer (invented)",
}
ANCHOR: dict[str, Any] = {
    "label": "A",
    "kind": "resin",
    "product": PRODUCT,
    "batch": "L-204",
    "expires_on": "2099-12-31",
    "drilled_mm": 12.0,
    "embedment_mm": 92.0,
    "cleaned": True,
    "cleaning": "blown twice, brushed twice, blown twice",
    "wall_c": 12.0,
    "set_at": SET_AT,
    "set_by": "F. Fitter (invented)",
    "from_form": None,
    "note": None,
}
PROOF: dict[str, Any] = {
    "label": "A",
    "asked_kn": 1.5,
    "load_kn": 1.5,
    "held_s": 60.0,
    "movement_mm": 0.1,
    "allowed_mm": 0.5,
    "gauge": "gauge 3 (invented)",
    "calibrated_until": "2099-12-31",
    "tested_at": SET_AT + timedelta(hours=4),
    "tested_by": "T. Tester (invented)",
    "sacrificed": None,
    "from_form": None,
    "note": None,
}
TIGHTENED: dict[str, Any] = {
    "labels": "A\nB",
    "torque_nm": 20.0,
    "wrench": "wrench 1 (invented)",
    "marked": True,
    "locked": True,
    "lock": "lock nuts",
    "done_by": "F. Fitter (invented)",
    "note": None,
}


def template(session: Session, piece: PieceNow, **overrides: Any) -> str:
    body = FixingTemplate(**(TEMPLATE | {"particulars_id": piece.revision.id} | overrides))
    return append(session, factories.a_writer(session), piece, "fixing_template", body)


def set_anchor(session: Session, piece: PieceNow, label: str = "A", **overrides: Any) -> str:
    corrects, curing = overrides.pop("corrects", ()), overrides.pop("curing", CURING)
    facts = cast("services.SetFacts", ANCHOR | {"label": label} | overrides)
    writer = factories.a_writer(session)
    return services.set_anchor(session, writer, piece=piece, facts=facts, curing=curing, corrects=corrects)


def prove(session: Session, piece: PieceNow, label: str = "A", **overrides: Any) -> str:
    corrects = overrides.pop("corrects", ())
    facts = cast("services.ProofFacts", PROOF | {"label": label} | overrides)
    return services.prove_anchor(session, factories.a_writer(session), piece=piece, facts=facts, corrects=corrects)


def tighten(session: Session, piece: PieceNow, *, at: datetime | None = None, **overrides: Any) -> str:
    corrects = overrides.pop("corrects", ())
    facts = cast("services.TightenFacts", TIGHTENED | overrides)
    writer = factories.a_writer(session, at=at)
    return services.tighten(session, writer, piece=piece, facts=facts, corrects=corrects)


def a_piece(session: Session, *points: str, **overrides: Any) -> PieceNow:
    """A piece that hangs on these points (A and B unless others are named), with a fixing template that stands."""
    from siteapp.pieces.services import facts_now, find, revise_particulars

    piece = factories.a_piece(session)
    if points:
        rows = [
            {**facts_now(piece)["hanging_points"][0], "label": label, "x_mm": 100.0 * at}
            for at, label in enumerate(points)
        ]
        facts = facts_now(piece) | {"hanging_points": rows}
        revise_particulars(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts)
        found = find(session, piece.number)
        assert found is not None
        piece = found
    template(session, piece, **overrides)
    return piece


def all_done(session: Session, piece: PieceNow) -> None:
    """Both anchors set as asked, cured, pulled, turned up."""
    for label in ("A", "B"):
        set_anchor(session, piece, label)
        prove(session, piece, label)
    tighten(session, piece)
