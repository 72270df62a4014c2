"""Readings of the holes as drilled, and holes eased: recorded. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import FORM_BACK, HOLES
from siteapp.hanging.holes.models import HEIGHT, TAPE, HoleEasing, HoleReading, HoleSurvey
from siteapp.hanging.holes.state import HolesNow, holes_now, readings_of, rounds, work_out
from siteapp.pieces import services as pieces
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = ["EasingFacts", "HolesNow", "ReadFacts", "RoundFacts", "ease", "holes_now", "readings_of", "record", "rounds"]

VERSION = "1"

calculations.register(
    calculations.Calculation(
        name=HOLES,
        version=VERSION,
        by=_l("the holes as measured"),
        explained=_l(
            "Met when the readings are enough to name any slip of 15 mm, none contradicts the others, and the piece "
            "goes on all bolts with room that is there with 95 % certainty."
        ),
        endpoint="holes.page",
        to_page=_l("To the holes"),
        work_out=work_out,
        told=("tightest", "least_slack_mm", "least_slack_low_mm", "seated_rotation_deg"),
        figures={
            "tapes": (_l("Tapes read"), ""),
            "heights": (_l("Heights read"), ""),
            "caller": (_l("Called by"), ""),
            "again": (_l("To be read again"), ""),
            "tightest": (_l("Tightest hole"), ""),
            "least_slack_mm": (_l("Room in it"), "mm"),
            "least_slack_low_mm": (_l("At least, with 95 % certainty"), "mm"),
            "seated_rotation_deg": (_l("Out of level when it hangs"), "°"),
            "source": (_l("Source"), ""),
            "why": (_l("Why"), ""),
        },
    )
)


class RoundFacts(TypedDict):
    """A round of readings: the fields of `HoleSurvey`."""

    unit: str
    caller: str | None
    tape: str | None
    laser: str | None
    from_form: bool | None
    mirrored: bool | None
    note: str | None


@dataclass(frozen=True)
class ReadFacts:
    """One reading: a tape from hole `a` to hole `b`, or, without a `b`, the height of `a`. Lengths in mm.

    `typed` is the text as typed; `mm` what counts, with `from_mm`, where the tape was held, taken off.
    """

    a: str
    b: str | None
    mm: float
    typed: str
    from_mm: float | None = None


class EasingFacts(TypedDict):
    """A hole made wider: how far its middle moved (mm right, mm up, from the front), and how it is now."""

    label: str
    dx_mm: float
    dy_mm: float
    hole_mm: float
    slot_mm: float | None
    slot_deg: float | None
    reason: str


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: RoundFacts,
    read: Sequence[ReadFacts],
    corrects: Sequence[str] = (),
) -> str:
    """Record a round of readings, which from then on stands for the holes; returns the entry's id.

    `corrects` names the round that it puts right (a reading taken again); without it the holes were measured anew. The
    checks that rest on it are worked out again. Raises FieldProblem when nothing was read or a hole is none of the
    piece's, Superseded when somebody else corrected the round meanwhile.
    """
    not_of_it = _("What this corrects is no round of readings of this piece. Open the page again.")
    refuse_foreign(session, piece, HoleSurvey, corrects, not_of_it)
    known = {point.label for point in piece.hanging_points}
    for one in read:
        for label in (one.a, one.b):
            if label is not None and label not in known:
                raise FieldProblem("readings", _("There is no hanging point %(label)s.", label=label))
    if not read:
        raise FieldProblem("readings", _("Nothing was read yet: give at least one reading."))
    rows = [
        HoleReading(
            position=position,
            what=TAPE if one.b is not None else HEIGHT,
            a=one.a,
            b=one.b,
            mm=one.mm,
            typed=one.typed,
            from_mm=one.from_mm,
        )
        for position, one in enumerate(read)
    ]
    entry = entries.append(
        session,
        writer,
        kind="hole_survey",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[HoleSurvey(**facts), *rows],
        corrects=corrects,
    )
    for calculation in (HOLES, FORM_BACK):
        checks.refresh(session, writer, piece=piece, calculation=calculation)
    return entry.id


def ease(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    revises: str,
    facts: EasingFacts,
    photos: Sequence[PhotoUse] = (),
) -> str:
    """Record that a hole of the piece was made wider, and how the particulars say it from now on; the entry's id.

    The particulars are revised in the same transaction, so that what was worked out from the old hole is stale. Raises
    FieldProblem for a point that is not there and without a photo, Superseded when `revises` is not the latest
    revision of the particulars.
    """
    point = next((one for one in piece.hanging_points if one.label == facts["label"]), None)
    if point is None:
        raise FieldProblem("label", _("There is no hanging point %(label)s.", label=facts["label"]))
    if not photos:
        raise FieldProblem("photos", _("A photo of the hole as it is now is needed."))
    told = pieces.facts_now(piece)
    for row in told["hanging_points"]:
        if row["label"] == point.label:
            row["x_mm"], row["y_mm"] = point.x_mm + facts["dx_mm"], point.y_mm + facts["dy_mm"]
            row |= {"hole_mm": facts["hole_mm"], "slot_mm": facts["slot_mm"], "slot_deg": facts["slot_deg"]}
    pieces.revise_particulars(session, writer, piece=piece, revises=revises, facts=told)
    now = pieces.find(session, piece.number)
    if now is None:
        raise StoreError(_("There is no such piece any more. Open the page again."))
    body = HoleEasing(**facts, particulars_id=now.revision.id)
    entry_id = append(session, writer, now, "hole_easing", body, photos=photos)
    for calculation in (HOLES, FORM_BACK):
        checks.refresh(session, writer, piece=now, calculation=calculation)
    return entry_id
