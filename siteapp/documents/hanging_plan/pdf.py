"""The hanging plan: who lifts, how, in which order, and how everything stops; read out beside the crate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.documents import pages
from siteapp.documents.engine import shared
from siteapp.documents.hanging_plan import contents
from siteapp.drawing.plan import Plan, PlanPoint, plan_svg

if TYPE_CHECKING:
    import gettext

    from siteapp.documents.engine import Engine
    from siteapp.documents.hanging_plan.records import HangingPlan


def hanging_plan_pdf(
    record: HangingPlan,
    *,
    paper: str = "A4",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the plan on `paper` (`A4` or `Letter`). The same record gives the same bytes.

    Raises ValueError for another paper, `engine.PdfError`.
    """
    pages.check_paper(paper)
    say = words.gettext
    html = (
        pages.environment(words)
        .get_template("hanging_plan.html")
        .render(
            record=record,
            paper=paper,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            made=pages.instant(record.plan_at, say),
            # Written by our own drawing, which escapes every word.
            drawing=Markup(_drawing(record, say)),  # noqa: S704
            before=[part(record, say) for part in (contents.stands, contents.stopping, contents.piece)],
            after=[
                contents.steps(record, say),
                contents.fastening(record, say),
                contents.cautions(say),
            ],
            last=contents.rests_on(record, say),
            there=set(),
            link_mm=0,
        )
    )
    title = say("Hanging plan %(number)s") % {"number": pages.grouped(record.piece_number)}
    return (engine or shared()).render(html, {}, title=title)


def _drawing(record: HangingPlan, say: contents.Say) -> str:
    """The piece as seen from the front: outline, hanging points, balance point."""
    there = record.balance
    plan = Plan(
        record.sizes.width_mm,
        record.sizes.height_mm,
        points=tuple(
            PlanPoint(one.label, one.x_mm, one.y_mm, one.hole_mm, one.slot_mm, one.slot_deg, one.holds or "")
            for one in record.points
        ),
        centre=None if there.x_mm is None or there.y_mm is None else (there.x_mm, there.y_mm),
        seen=say("seen from the front"),
        centre_words=say("balance"),
    )
    said = say("Outline of the piece with %(count)s hanging points, as seen from the front") % {
        "count": len(record.points)
    }
    drawn = plan_svg(plan, title=say("The piece and where it hangs"), said=said)
    # Pictures in a document take no typeface from the page around them.
    return drawn.replace("<svg ", '<svg font-family="Paper Sans" ', 1)
