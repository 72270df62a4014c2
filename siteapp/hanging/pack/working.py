"""What the checks work out here: the wall against what the template asks for, and whether the form came back.

The wall's calculation is made known here and not in its own room, which does not import the template that asks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from siteapp.checks import calculations
from siteapp.checks.calculations import WorkedOut
from siteapp.checks.lists import ANCHORS_SET, FORM_BACK, HOLES, WALL
from siteapp.hanging.pack.models import PackBack
from siteapp.hanging.template.services import template_now, templates
from siteapp.hanging.wall import services as wall
from siteapp.hanging.wall.wording import FIGURES as WALL_FIGURES
from siteapp.store.revisions import Version, versions
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import Lazy, _, _l

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.hanging.template.services import TemplateNow
    from siteapp.pieces.services import PieceNow

# The three parts of the form, each with the room that it is typed into.
PARTS: Final[tuple[tuple[str, Lazy], ...]] = (
    (WALL, _l("The wall as found")),
    (ANCHORS_SET, _l("The anchors as set")),
    (HOLES, _l("The holes as drilled")),
)
SOURCE: Final = _l(
    "Ours: nothing is computed here. The form has to answer the template that stands, and what was typed from it has "
    "to be met by its own rules, which stand on the pages of the three parts."
)


@dataclass(frozen=True)
class Part:
    """One part of the form: its calculation, what it is called, what it comes to now, the page it is typed into."""

    name: str
    words: str
    worked: WorkedOut
    endpoint: str | None


def backs(session: Session, piece_id: str) -> list[Version[PackBack]]:
    """Every form that came back and stands, the latest first: more than one where two machines recorded one."""
    return versions(session, PackBack, piece_id=piece_id)


def back_now(session: Session, piece_id: str) -> Version[PackBack] | None:
    """The form that came back last, with its photos and earlier versions; None when none has."""
    stand = backs(session, piece_id)
    return stand[0] if stand else None


def wall_worked_out(session: Session, piece: PieceNow) -> WorkedOut:
    """The wall as found held against the wall that the fixing template asks for."""
    asked = {one.said.wall_asked for one in templates(session, piece)}
    # Two templates set apart that ask for different walls ask for none until somebody has chosen.
    agreed = asked.pop() if len(asked) == 1 else None
    return wall.judge_all([one.said for one in wall.walls(session, piece.piece_id)], agreed)


def parts_of(session: Session, piece: PieceNow) -> tuple[Part, ...]:
    """What each part of the form comes to now, worked out by its own room."""
    return tuple(_part(session, piece, name, str(words)) for name, words in PARTS)


def form_worked_out(session: Session, piece: PieceNow) -> WorkedOut:
    """Whether the form is back and what stands on it is met.

    *Met* only when the form answers the template that stands, the piece's points are still those of the template, there
    is a photo of the form, and wall, anchors and holes are each met by what is recorded now.
    """
    findings = about_the_form(session, piece)
    stand = backs(session, piece.piece_id)
    parts = parts_of(session, piece)
    for part in parts:
        _told(findings, part)
    said = stand[0].said if stand else None
    inputs: dict[str, Any] = {"filled_on": said.filled_on if said else None}
    return WorkedOut(
        findings.verdict, inputs | {part.name: part.worked.verdict for part in parts}, {"why": findings.reasons}
    )


def about_the_form(session: Session, piece: PieceNow) -> Findings:
    """What stands against the form itself, whatever was typed from it."""
    findings = Findings()
    if len(templates(session, piece)) > 1:
        findings.cannot_tell(_("Two machines set the fixing template apart, and nobody has chosen yet."))
    _answers(findings, template_now(session, piece), backs(session, piece.piece_id))
    return findings


def _part(session: Session, piece: PieceNow, name: str, words: str) -> Part:
    known = calculations.known(name)
    if known is None or known.work_out is None:
        nobody = WorkedOut(CANNOT_TELL, {}, {"why": [_("Nothing here works it out.")]})
        return Part(name, words, nobody, None)
    return Part(name, words, known.work_out(session, piece), known.endpoint)


def _answers(findings: Findings, template: TemplateNow | None, stand: Sequence[Version[PackBack]]) -> None:
    if template is None:
        findings.cannot_tell(_("There is no fixing template that a form could answer."))
    elif template.stale:
        findings.cannot_tell(
            _("The hanging points changed after the template was set: what was drilled need not fit the piece now.")
        )
    if not stand:
        findings.cannot_tell(_("The form of the fixing pack has not come back."))
        return
    if len(stand) > 1:
        findings.cannot_tell(_("Two machines recorded a form apart, and nobody has chosen yet."))
    if stand[0].said.template_id is None:
        findings.cannot_tell(_("Which template the form answers is not known."))
    elif template and stand[0].said.template_id != template.version.entry.id:
        findings.not_met(_("The form answers an earlier template than the one that stands."))
    if not stand[0].photos:
        findings.cannot_tell(_("There is no photo of the form."))


def _told(findings: Findings, part: Part) -> None:
    verdict = part.worked.verdict
    if verdict == MET:
        return
    why = list(part.worked.outcome.get("why", ()))
    words = _("%(part)s: %(why)s", part=part.words, why=why[0]) if why else part.words
    if len(why) > 1:
        words = _("%(first)s, and %(count)s more.", first=words.rstrip("."), count=len(why) - 1)
    (findings.not_met if verdict == NOT_MET else findings.cannot_tell)(words)


calculations.register(
    calculations.Calculation(
        name=WALL,
        version="1",
        by=_l("the wall as found"),
        explained=_l(
            "Met when the wall is the one that the fixing template asks for, proved by a trial hole, sound, with no "
            "cable or pipe near on either side, the owner's consent in writing and asbestos cleared."
        ),
        endpoint="wall.page",
        to_page=_l("The wall as found"),
        work_out=wall_worked_out,
        figures=WALL_FIGURES,
    )
)
calculations.register(
    calculations.Calculation(
        name=FORM_BACK,
        version="1",
        by=_l("the form of the fixing pack"),
        explained=_l(
            "Met when the form came back with a photo of it, answers the fixing template that stands, and the wall as "
            "found, the anchors as set and the holes as drilled are each met by what is recorded."
        ),
        endpoint="pack.page",
        to_page=_l("The form that came back"),
        work_out=form_worked_out,
        figures={
            "filled_on": (_l("Filled in on"), ""),
            **{name: (words, "") for name, words in PARTS},
            "why": (_l("Why"), ""),
        },
    )
)
