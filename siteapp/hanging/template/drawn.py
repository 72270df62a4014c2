"""The template that stands, or that could be set, as it is drawn on paper and as a DXF. Reads no database."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents.template import TemplateRecord
from siteapp.drawing.template import Template, trimmed, usual_level_mm
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.pieces.models import FROM_BACK
from siteapp.pieces.points.reading import plan_points
from siteapp.web.dates import today
from siteapp.web.i18n import _, language

if TYPE_CHECKING:
    from siteapp.hanging.template.models import FixingTemplate
    from siteapp.hanging.template.services import TemplateNow
    from siteapp.pieces.services import PieceNow

SHORT = 8  # characters of an id that tell two templates apart on paper


def drawable(piece: PieceNow) -> bool:
    """Whether there is anything to draw: hanging points, or an outline."""
    said = piece.particulars
    return bool(piece.hanging_points or (said.width_mm and said.height_mm))


def template_of(piece: PieceNow, now: TemplateNow | None) -> Template:
    """What is drawn: points and outline of the particulars as they are now, datum and level line of the template.

    A level line that does not cross the sheets is of no use on them: then it goes through the highest point.
    """
    said = piece.particulars
    points = plan_points(piece.hanging_points)
    heading = f"{piece.number[:4]}-{piece.number[4:]} · {piece.title}"
    usual = usual_level_mm(points)
    if now is None:
        return Template(heading, said.width_mm, said.height_mm, points, usual)
    told = now.version.said
    datum = -told.x_mm, -told.y_mm
    drawn = Template(heading, said.width_mm, said.height_mm, points, usual, datum, told.datum)
    if told.level_mm is None or not drawable(piece):
        return drawn
    level = told.level_mm + datum[1]
    _left, bottom, _right, top = drawn.field
    if not bottom < level < top:
        return drawn
    return Template(heading, said.width_mm, said.height_mm, points, level, datum, told.datum)


def record_of(piece: PieceNow, now: TemplateNow | None, *, maker: str | None, invented: bool) -> TemplateRecord:
    """What the template's PDF prints."""
    drawn = template_of(piece, now)
    told = now.version.said if now else None
    back = piece.particulars.points_from == FROM_BACK
    return TemplateRecord(
        piece_number=piece.number,
        title=piece.title,
        drawn=drawn,
        short=now.version.entry.id[:SHORT] if now else None,
        stale=now.stale if now else False,
        datum_words=told.datum if told else None,
        level_words=_level_words(drawn, told),
        asked=tuple(asked(told)) if told else (),
        note=told.note if told else None,
        maker=maker,
        from_points=_("The points were measured from the back and are turned over here, left for right.")
        if back
        else None,
        printed_on=today().isoformat(),
        invented=invented,
        language=language(),
    )


def asked(told: FixingTemplate) -> list[tuple[str, str]]:
    """What a template asks of whoever drills: label and words, only what it says."""
    figures = (
        (_("Hole in the wall"), told.drill_mm, "mm"),
        (_("Embedded in the sound wall"), told.embedment_mm, "mm"),
        (_("Torque"), told.torque_nm, "N·m"),
        (_("Proof load, each"), told.proof_kn, "kN"),
    )
    wall = SPOKEN.get(told.wall_asked or "")
    texts = [
        (_("The wall must be"), str(wall) if wall else None),
        (_("Anchor"), told.anchor),
        (_("Its approval document"), told.anchor_document),
        *((label, None if value is None else f"{value:g} {unit}") for label, value, unit in figures),
        (_("Who answers for wall and anchors"), told.designed_by),
    ]
    return [(label, words) for label, words in texts if words]


def _level_words(drawn: Template, told: FixingTemplate | None) -> str | None:
    """Where the level line is drawn on the wall, when that is told, and where when it is not the one on the sheets."""
    if told is None or not (told.level_line or told.level_mm is not None):
        return None
    words = told.level_line or _("not described")
    on_sheets = drawn.level_mm - drawn.datum[1]
    if told.level_mm is not None and told.level_mm != on_sheets:
        return _(
            "On the wall it is drawn %(level)s mm above the datum, beyond the sheets: %(words)s.",
            level=trimmed(told.level_mm),
            words=words,
        )
    return _("On the wall: %(words)s.", words=words)
