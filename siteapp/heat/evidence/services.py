"""Fire evidence and heat limits: recorded and read. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from sqlalchemy import select

from siteapp.heat.evidence.models import ESTIMATE, KNOWN_FROM, PARTS, TESTED, FireEvidence, HeatLimit, HeatLimits
from siteapp.heat.evidence.models import OTHER as OTHER_PART
from siteapp.pieces.writing import append, refuse_foreign, take_place
from siteapp.store.revisions import Version, versions
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

REPORT = "report"
MOST_PARTS = 20


class EvidenceFacts(TypedDict):
    """One report about fire; the day as ISO 8601, None for what is not known."""

    tested: str
    tested_words: str | None
    report: str
    laboratory: str | None
    standard: str | None
    result: str | None
    reported_on: str | None
    covers: str
    covers_not: str
    note: str | None
    dropped: bool


class LimitFacts(TypedDict):
    """How warm one part may get, °C; None is not known, `absent` that the piece has no such part."""

    part: str
    named: str | None
    absent: bool
    limit_c: float | None
    known_from: str | None
    document: str | None


@dataclass(frozen=True)
class LimitsNow:
    """The limits as they stand. `version` is None where nobody recorded any; `apart` where two machines did."""

    version: Version[HeatLimits] | None
    rows: tuple[HeatLimit, ...]
    apart: bool

    @property
    def known(self) -> dict[str, float | None]:
        """Limit by part, °C, of the parts that the piece has; None for one that nobody gave."""
        told: dict[str, float | None] = dict.fromkeys(PARTS) if self.rows else {}
        for row in self.rows:
            name = row.named or row.part if row.part == OTHER_PART else row.part
            if row.absent:
                told.pop(name, None)
            elif told.get(name) is None or (row.limit_c is not None and row.limit_c < (told[name] or 0)):
                told[name] = row.limit_c
        return told

    @property
    def estimated(self) -> tuple[str, ...]:
        """The parts whose limit is an estimate: it may stop a fire, and never lets one be lit."""
        return tuple(row.part for row in self.rows if not row.absent and row.known_from in {None, ESTIMATE})


def record_evidence(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: EvidenceFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a report, or correct one (also that it counts no more); returns the entry's id.

    Raises FieldProblem for an answer that is not offered, StoreError when what is corrected is none of this piece's,
    Superseded when it was corrected meanwhile.
    """
    if facts["tested"] not in TESTED:
        raise FieldProblem("tested", _("“%(said)s” is not an answer here.", said=facts["tested"]))
    refuse_foreign(session, piece, FireEvidence, corrects, _("What this corrects is no evidence of this piece."))
    return append(session, writer, piece, "fire_evidence", FireEvidence(**facts), photos=photos, corrects=corrects)


def record_limits(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    limits: Sequence[LimitFacts],
    note: str | None = None,
    revises: str | None = None,
) -> str:
    """Record how warm the parts may get; returns the entry's id. `revises` is the list that it takes the place of.

    Raises FieldProblem on `limits` for a part or a source that is not offered, Superseded when another list stands,
    StoreError when `revises` is none of this piece's.
    """
    for row in limits:
        if row["part"] not in {*PARTS, OTHER_PART}:
            raise FieldProblem("limits", _("“%(said)s” is not an answer here.", said=row["part"]))
        if row["known_from"] is not None and row["known_from"] not in KNOWN_FROM:
            raise FieldProblem("limits", _("“%(said)s” is not an answer here.", said=row["known_from"]))
    words = _("What this revises are no limits of this piece. Open the page again.")
    bodies = [HeatLimits(note=note), *(HeatLimit(position=place, **row) for place, row in enumerate(limits))]
    return take_place(session, writer, piece, "heat_limits", bodies, revises=revises, not_of_it=words)


def evidence(session: Session, piece_id: str) -> list[Version[FireEvidence]]:
    """Every report that stands, those that count no more left out, the latest first."""
    return [one for one in versions(session, FireEvidence, piece_id=piece_id) if not one.said.dropped]


def limits_now(session: Session, piece_id: str) -> LimitsNow:
    """The limits as they stand."""
    stand = versions(session, HeatLimits, piece_id=piece_id)
    if not stand:
        return LimitsNow(None, (), apart=False)
    query = select(HeatLimit).where(HeatLimit.entry_id == stand[0].entry.id).order_by(HeatLimit.position)
    return LimitsNow(stand[0], tuple(session.scalars(query)), apart=len(stand) > 1)
