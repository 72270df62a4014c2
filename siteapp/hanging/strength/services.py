"""How the piece's hanging points were proved: recorded, read, judged. The only code that writes its rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import select

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import STRENGTH
from siteapp.hanging.loads.services import loads_now
from siteapp.hanging.strength import judging
from siteapp.hanging.strength.models import PROOFS, Strength, StrengthPoint
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.calculations import WorkedOut
    from siteapp.hanging.strength.judging import Demand, PointJudged
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

SLOT = "proof"  # photos of coupons, of the pull, of the gauge

Told = Version[Strength]


class PointFacts(TypedDict):
    """One hanging point as typed: forces in N, areas in mm², °C, mm; the day as ISO 8601. None: not known."""

    label: str
    proof: str
    bond_area_mm2: float | None
    coupon_area_mm2: float | None
    proof_n: float | None
    factor: float | None
    factor_why: str | None
    bond_service_c: float | None
    plate_mm: float | None
    proved_on: str | None
    proved_by: str | None
    evidence: str | None


@dataclass(frozen=True)
class StrengthNow:
    """What stands of the piece's own strength: what was told, None when nothing was, each point, and the answer."""

    version: Told | None
    points: tuple[PointJudged, ...]
    worked: WorkedOut


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    points: Sequence[PointFacts],
    note: str | None = None,
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record how the hanging points were proved, one row a point; returns the entry's id.

    `revises` is what it takes the place of; where two machines told it apart, revising one takes the place of both.
    The check that rests on it is worked out again. Raises FieldProblem for a point that the piece does not have, one
    told twice or none at all; Superseded when something else stands, StoreError when `revises` is not of this piece.
    """
    _refuse_points(piece, points)
    not_of_it = _("What this revises was not told of this piece. Open the page again.")
    entry_id = take_place(
        session,
        writer,
        piece,
        "strength",
        [Strength(note=note), *(StrengthPoint(position=row, **one) for row, one in enumerate(points))],
        revises=revises,
        not_of_it=not_of_it,
        photos=photos,
    )
    checks.refresh(session, writer, piece=piece, calculation=STRENGTH)
    return entry_id


def told(session: Session, piece_id: str) -> list[Told]:
    """What was told and stands, the latest first: more than one where two machines told it apart."""
    return versions(session, Strength, piece_id=piece_id)


def points_of(session: Session, entry_id: str) -> list[StrengthPoint]:
    """The points of one entry, in order."""
    query = select(StrengthPoint).where(StrengthPoint.entry_id == entry_id)
    return list(session.scalars(query.order_by(StrengthPoint.position)))


def strength_now(session: Session, piece: PieceNow) -> StrengthNow:
    """What is recorded of the piece's own strength, judged against the loads as they stand now."""
    stand = told(session, piece.piece_id)
    version = stand[0] if stand else None
    said = {one.label: one for one in points_of(session, version.entry.id)} if version else {}
    points = judging.judge_points(piece, said, _demands(session, piece))
    return StrengthNow(version, points, judging.judge(piece, points))


def _demands(session: Session, piece: PieceNow) -> Mapping[str, Demand]:
    """The largest load on each point; none while loads are not worked out, or not from the particulars as they are."""
    found = loads_now(session, piece)
    return {} if found is None or found.stale else found.by_label


def _refuse_points(piece: PieceNow, points: Sequence[PointFacts]) -> None:
    labels = [one["label"] for one in points]
    known = [point.label for point in piece.hanging_points]
    if not points:
        raise FieldProblem("points", _("Hanging points: none is told here. Fill in one line at least."))
    for label in labels:
        if label not in known:
            allowed = ", ".join(known) or _("none")
            message = _(
                "Hanging points: there is no “%(label)s” on this piece. It has: %(known)s.", label=label, known=allowed
            )
            raise FieldProblem("points", message)
        if labels.count(label) > 1:
            raise FieldProblem(
                "points", _("Hanging points: “%(label)s” stands in two lines. Keep it in one.", label=label)
            )
    for one in points:
        if one["proof"] not in PROOFS:
            raise FieldProblem("points", _("How it was proved: “%(said)s” is not an answer here.", said=one["proof"]))


def _work_out(session: Session, piece: PieceNow) -> WorkedOut:
    return strength_now(session, piece).worked


_FIGURES: dict[str, tuple[Any, str]] = {
    "loads": (_l("Load on each point"), ""),
    "proofs": (_l("How each was proved"), ""),
    "near_heat": (_l("Heat close to it"), ""),
    "heat_limit_c": (_l("Hottest the surface may get"), "°C"),
    "shares": (_l("Share of what was proved"), ""),
    "why": (_l("Why"), ""),
}

calculations.register(
    calculations.Calculation(
        name=STRENGTH,
        version="1",
        by=_l("the piece's own strength"),
        explained=_l(
            "Met when every hanging point was proved, by coupons of its bond or a proof load, for the load on it, its "
            "bond stands the heat, and its hole is far enough from the plate's edge. Without proof it cannot be told."
        ),
        endpoint="strength.page",
        to_page=_l("To the piece's own strength"),
        work_out=_work_out,
        told=("loads", "proofs", "shares"),
        figures=_FIGURES,
    )
)
