"""The codes of a label: one with its words, one with the link of its page, each with a caption under it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import fitting, qr
from siteapp.documents.fitting import MM_PER_PT, SANS, SMALLEST_PT
from siteapp.documents.label import words as label_words
from siteapp.documents.label.parts import LEADING, Box, Code, put_line

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.label.parts import Laid
    from siteapp.documents.records import LabelRecord

    Say = Callable[[str], str]

BETWEEN_MM = 3.0  # from the words to the codes
LINK_SHARE = 0.42  # of the room for codes, for the link's: it has half as many modules
CAPTION_MM = SMALLEST_PT * MM_PER_PT * LEADING


def _captions(say: Say) -> tuple[tuple[str, ...], tuple[str, ...]]:
    return (
        (say("These words, without a network"), say("These words")),
        (say("Its page: care, papers, who to ask"), say("Its page")),
    )


def _caption(laid: Laid, variants: tuple[str, ...], code: Code) -> None:
    """Put the longest of some captions that has room under a code, in its middle."""
    room = code.side_mm
    words = next((one for one in variants if fitting.width_mm(one, SANS, SMALLEST_PT) <= room), variants[-1])
    left = code.x_mm + (code.side_mm - fitting.width_mm(words, SANS, SMALLEST_PT)) / 2
    put_line(laid, words, left, code.y_mm + code.side_mm, SMALLEST_PT)


def _link(record: LabelRecord) -> tuple[qr.Qr, float] | None:
    """The link's code and the least side it can have in mm; None without a link."""
    if record.link is None:
        return None
    code = qr.make(qr.link_text(record.link))
    return code, code.modules * qr.SMALLEST_MODULE_MM


def _put_codes(
    laid: Laid, record: LabelRecord, places: list[tuple[float, float, float]], link: qr.Qr | None, say: Say
) -> None:
    """Put the code of the words, and that of the link if there is one, at places (left, top, side) with captions."""
    (x, y, side), *others = places
    laid.codes.append(
        Code("words", label_words.text_code(record, side, say), x, y, side, say("QR code with these words"))
    )
    for x, y, side in others:
        _add_link(laid, link, x, y, side, say)
    for code, variants in zip(laid.codes, _captions(say), strict=False):
        _caption(laid, variants, code)


def _add_link(laid: Laid, link: qr.Qr | None, x: float, y: float, side: float, say: Say) -> None:
    if link is not None:
        qr.module_mm(side, link.modules)
        laid.codes.append(Code("link", link, x, y, side, say("QR code with a link")))


def beside(laid: Laid, record: LabelRecord, inner: Box, say: Say) -> Box:
    """Put the codes into a column at the right; gives the room that is left for words."""
    column = min(inner.height * 0.56, laid.form.width_mm * 0.36)
    link = _link(record)
    room = inner.height - (2 if link else 1) * CAPTION_MM
    link_side = min(column, max(room * LINK_SHARE, link[1])) if link else 0.0
    text = min(column, room - link_side)
    widest = max(text, link_side)
    middle = inner.x + inner.width - widest / 2
    places = [(middle - text / 2, inner.y, text)]
    if link:
        places.append((middle - link_side / 2, inner.y + text + CAPTION_MM, link_side))
    _put_codes(laid, record, places, link[0] if link else None, say)
    return Box(inner.x, inner.y, inner.width - widest - BETWEEN_MM, inner.height)


def under(laid: Laid, record: LabelRecord, inner: Box, say: Say) -> Box:
    """Put the codes side by side at the foot; gives the room that is left for words."""
    largest = inner.height * 0.36
    link = _link(record)
    room = inner.width - (BETWEEN_MM if link else 0)
    link_side = min(largest, max(room * LINK_SHARE, link[1])) if link else 0.0
    text = min(largest, room - link_side)
    foot = inner.y + inner.height - CAPTION_MM
    places = [(inner.x, foot - text, text)]
    if link:
        places.append((inner.x + inner.width - link_side, foot - link_side, link_side))
    _put_codes(laid, record, places, link[0] if link else None, say)
    return Box(inner.x, inner.y, inner.width, inner.height - max(text, link_side) - CAPTION_MM - BETWEEN_MM)


def single(laid: Laid, record: LabelRecord, x: float, y: float, side: float, say: Say) -> None:
    """Put one code alone: the link's, or without one that of the words."""
    link = _link(record)
    if link:
        _add_link(laid, link[0], x, y, side, say)
        return
    laid.codes.append(
        Code("words", label_words.text_code(record, side, say), x, y, side, say("QR code with these words"))
    )
