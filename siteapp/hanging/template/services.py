"""Where the piece goes and what is asked of whoever drills: recorded, read. The only code that writes its rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from sqlalchemy import select

from siteapp.checks import services as checks
from siteapp.checks.lists import ANCHORS_PROVED, ANCHORS_SET, FORM_BACK, HOLES, LOADS, STRENGTH, WALL
from siteapp.hanging.template.models import FixingTemplate
from siteapp.hanging.wall.models import MATERIALS
from siteapp.pieces.models import HangingPoint, Particulars
from siteapp.pieces.points.reading import places
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import Any

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

# What stands on the template: the wall and the anchors that it asks for, and the form that came back after it.
STANDS_ON_IT = (WALL, STRENGTH, HOLES, LOADS, FORM_BACK, ANCHORS_SET, ANCHORS_PROVED)


class TemplateFacts(TypedDict):
    """What the template says: lengths in mm, torque in N·m, proof load in kN; None for what it does not ask.

    (`x_mm`, `y_mm`) is the piece's lower left corner, `level_mm` the level line's height, both from the datum, x to the
    right and y up as seen from the front.
    """

    datum: str
    x_mm: float
    y_mm: float
    level_line: str | None
    level_mm: float | None
    wall_asked: str | None
    anchor: str | None
    anchor_document: str | None
    drill_mm: float | None
    embedment_mm: float | None
    torque_nm: float | None
    proof_kn: float | None
    designed_by: str | None
    note: str | None


@dataclass(frozen=True)
class TemplateNow:
    """The template as it was set last.

    `stale`: points or outline have changed since, so what was sent out is not what the piece has now. `on_wall` gives
    each hanging point's (x, y) in mm from the datum, as the points are now, x to the right as seen from the front.
    """

    version: Version[FixingTemplate]
    stale: bool
    on_wall: dict[str, tuple[float, float]]


def record(
    session: Session, writer: Writer, *, piece: PieceNow, facts: TemplateFacts, revises: str | None = None
) -> str:
    """Set where the piece goes and what is asked; returns the entry's id.

    It is drawn from the points of the particulars that stand. `revises` is the template it takes the place of; where
    two machines set one apart, revising one takes the place of both. The checks that rest on it are worked out again.
    Raises FieldProblem for a wall that is not offered, Superseded when another template stands, StoreError when
    `revises` is none of this piece's.
    """
    asked = facts["wall_asked"]
    if asked is not None and asked not in MATERIALS:
        raise FieldProblem("wall_asked", _("“%(said)s” is not a wall to choose here.", said=asked))
    not_of_it = _("What this revises is no template of this piece. Open the page again.")
    body = FixingTemplate(particulars_id=piece.revision.id, **facts)
    entry_id = take_place(session, writer, piece, "fixing_template", [body], revises=revises, not_of_it=not_of_it)
    for calculation in STANDS_ON_IT:
        checks.refresh(session, writer, piece=piece, calculation=calculation)
    return entry_id


def templates(session: Session, piece: PieceNow) -> list[Version[FixingTemplate]]:
    """Every template that stands, the latest first: more than one where two machines set it."""
    return versions(session, FixingTemplate, piece_id=piece.piece_id)


def template_now(session: Session, piece: PieceNow) -> TemplateNow | None:
    """The template as it was set last, with where each point comes to be on the wall; None when nobody has."""
    stand = templates(session, piece)
    if not stand:
        return None
    said = stand[0].said
    on_wall = {label: (said.x_mm + x, said.y_mm + y) for label, (x, y) in places(piece).items()}
    return TemplateNow(stand[0], _changed(session, piece, said.particulars_id), on_wall)


def _changed(session: Session, piece: PieceNow, particulars_id: str) -> bool:
    """Whether the points or the outline are not what they were at this revision."""
    if piece.revision.id == particulars_id:
        return False
    query = select(HangingPoint).where(HangingPoint.entry_id == particulars_id)
    then = session.scalar(select(Particulars).where(Particulars.entry_id == particulars_id))
    now = piece.particulars
    return (
        then is None
        or (then.width_mm, then.height_mm) != (now.width_mm, now.height_mm)
        or _drawn(session.scalars(query)) != _drawn(piece.hanging_points)
    )


def _drawn(points: Iterable[HangingPoint]) -> dict[str, tuple[Any, ...]]:
    """What of a point is drawn; its order and its note change no hole."""
    return {
        one.label: (one.x_mm, one.y_mm, one.hole_mm, one.bolt_mm, one.slot_mm or 0, one.slot_deg or 0) for one in points
    }
