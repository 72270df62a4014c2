"""The fixing pack: what whoever drills gets weeks before, and the form that comes back before the van leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.documents import pages
from siteapp.documents.engine import shared
from siteapp.documents.fixing_pack import contents
from siteapp.documents.fixing_pack.drawing import drawing

if TYPE_CHECKING:
    import gettext

    from siteapp.documents.engine import Engine
    from siteapp.documents.fixing_pack.records import FixingPack

SPARE_READINGS = 4  # empty lines below those asked for
LEAST_TESTS = 3  # lines for proof tests where nobody knows how many there will be


def fixing_pack_pdf(
    record: FixingPack,
    *,
    paper: str = "A4",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the pack on `paper` (`A4` or `Letter`). The same record gives the same bytes.

    Raises ValueError for another paper, `engine.PdfError`.
    """
    pages.check_paper(paper)
    say = words.gettext
    html = (
        pages.environment(words)
        .get_template("fixing_pack.html")
        .render(
            record=record,
            paper=paper,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            made=pages.instant(record.template_at, say),
            before=contents.before(say),
            hangs=contents.what_hangs(record, say),
            places=contents.places(record, say),
            # Written by our own drawing, which escapes every word.
            drawing=Markup(drawing(record, pages.TEXT_MM[paper], say)),  # noqa: S704
            parts=[
                part(record, say)
                for part in (contents.loads, contents.wall, contents.anchors, contents.proving, contents.measuring)
            ],
            labels=contents.anchor_labels(record),
            readings=[contents.reading_words(one, say) for one in record.readings],
            # Two columns: an even number of lines in all.
            spare=SPARE_READINGS + len(record.readings) % 2,
            tests=record.proving.count if record.proving else LEAST_TESTS,
            there=set(),
            link_mm=0,
        )
    )
    title = say("Fixing pack %(number)s") % {"number": pages.grouped(record.piece_number)}
    return (engine or shared()).render(html, {}, title=title)
