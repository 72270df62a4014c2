"""The leaf with the site's address: a page of its own, so that the certificate can be passed on without it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.engine import shared

if TYPE_CHECKING:
    import gettext
    from collections.abc import Sequence

    from siteapp.documents.engine import Engine


def leaf_pdf(
    title: str,
    piece_number: str,
    address: Sequence[str],
    *,
    certificate: str | None = None,
    paper: str = "A4",
    language: str = "en",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the leaf: the lines of the address, and which piece and certificate it belongs to.

    The same input gives the same bytes. Raises ValueError for another paper, `engine.PdfError`.
    """
    pages.check_paper(paper)
    html = (
        pages.environment(words)
        .get_template("leaf.html")
        .render(
            title=title,
            number=pages.grouped(piece_number),
            certificate=certificate,
            address=[line for line in address if line.strip()],
            paper=paper,
            language=language,
            direction=pages.direction(language),
            link_mm=0,
        )
    )
    return (engine or shared()).render(html, {}, title=words.gettext("Where it hangs"))
