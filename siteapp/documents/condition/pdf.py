"""The condition report: one look at the piece, its photos with numbered marks, and the look before beside it.

Its headings follow EN 16095:2012, *Conservation of cultural property – Condition recording for movable cultural
heritage*. Of the standard itself only its scope was read (public catalogue pages: it gives purpose and context of
condition recording, a framework for a report, the report's status and essential contents); its clauses were not. The
order here is from memory of such reports, and was held against a published schema for conservation records that names
the standard as one of its sources (NFDI4Objects, Conservation Metadata Schema, sections *object identification*,
*object description* and *condition assessment*: reason, date, responsible person, surroundings, physical condition,
stability, damage, history). The report says that it is set out after the standard, not that it conforms to it.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING

from PIL import Image

from siteapp.documents import pages
from siteapp.documents.certificate.pdf import HEX_GROUPS
from siteapp.documents.condition import contents
from siteapp.documents.engine import shared
from siteapp.documents.records import Section
from siteapp.documents.spots import DISC_MM, RING_MM, placed

if TYPE_CHECKING:
    import gettext
    from collections.abc import Callable, Iterator, Mapping

    from siteapp.documents.condition.records import ConditionRecord, LookRecord, Shot, Side
    from siteapp.documents.engine import Engine
    from siteapp.documents.records import Table
    from siteapp.documents.spots import Placed

    Say = Callable[[str], str]

GUTTER_MM = 5.0
# The largest height of a photo, by how many stand in a row.
HEIGHTS_MM = {1: 92.0, 2: 66.0, 3: 46.0}
ALONE_MM = 124.0  # a marked photo that is its slot's only one: wide enough to see what the mark is about
TWO, THREE = 2, 3
LONGEST_CAPTION = 120  # characters; more of them below many photos costs seconds of layout
MOST_PAIRS = 3  # of one slot side by side; the rest stand under their own look


@dataclass(frozen=True)
class Cell:
    """A photo as it is laid out: its column's width and its own size in mm (0 when it is not here), marks on it.

    `caption` stands below it and leaves out what the heading above says; `alt` says all for who hears it.
    """

    sha256: str
    caption: str
    alt: str
    column_mm: float
    width_mm: float = 0.0
    height_mm: float = 0.0
    placed: tuple[Placed, ...] = ()

    @property
    def there(self) -> bool:
        """Whether the picture came with the record."""
        return self.width_mm > 0


@dataclass(frozen=True)
class Laid:
    """The photos of one slot with the table of their marks."""

    name: str
    cells: tuple[Cell, ...]
    table: Table | None

    @property
    def half(self) -> bool:
        """Whether it takes half of a page's width: a single photo without marks."""
        return len(self.cells) == 1 and self.table is None


@dataclass(frozen=True)
class Pair:
    """Two photos of one slot side by side; `first` of its slot or not.

    `above` counts the later look's photos of a slot that was not photographed before: they stand above, under it.
    """

    name: str
    first: bool
    then: Cell | None
    now: Cell | None
    above: int = 0


def condition_pdf(
    record: ConditionRecord,
    photos: Mapping[str, bytes],
    *,
    paper: str = "A4",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the report on `paper` (`A4` or `Letter`).

    `photos` maps the SHA-256 of each original named in the record to an upright picture of it (JPEG or PNG, already
    scaled). One that is missing is said to be missing in its place. The same record and photos give the same bytes.
    Raises ValueError for another paper, `engine.PdfError`.
    """
    pages.check_paper(paper)
    say = words.gettext
    layout = _Layout(photos, paper, say)
    laid = [layout.side(side) for side in record.look.sides if side.shots]
    pairs = list(layout.pairs(record.before, record.look)) if record.before else []
    hero = next((shot.sha256 for shot in _front(record.look) if shot.sha256 in layout.pixels), None)
    html = (
        pages.environment(words)
        .get_template("condition.html")
        .render(
            record=record,
            look=record.look,
            before=record.before,
            paper=paper,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            name=contents.title_of(record.look, say),
            name_before=contents.title_of(record.before, say) if record.before else None,
            parts=contents.before_the_photos(record, say),
            taken=_taken(record.look, say),
            bands=_bands(laid),
            pairs=pairs,
            marks=_both_tables(record.before, record.look, say) if record.before else [],
            advice=contents.recommendations(record, say),
            hero=hero,
            there=set(layout.pixels),
            link_mm=0,
            ring_mm=RING_MM,
            disc_mm=DISC_MM,
            in_groups=lambda text: HEX_GROUPS.sub(r"\1 ", text),
        )
    )
    resources = {f"photo/{sha}": layout.resource(sha) for sha in sorted({*layout.used, *([hero] if hero else [])})}
    title = say("Condition report %(number)s") % {"number": pages.grouped(record.piece_number)}
    return (engine or shared()).render(html, resources, title=title)


class _Layout:
    """Sizes of photos on one paper; remembers which ones the document uses."""

    def __init__(self, photos: Mapping[str, bytes], paper: str, say: Say) -> None:
        self._photos = photos
        self._text_mm = pages.TEXT_MM[paper]
        self._say = say
        self.pixels = {sha: _pixels(content) for sha, content in photos.items()}
        self.used: set[str] = set()

    def resource(self, sha256: str) -> tuple[str, bytes]:
        """A picture with its media type, as the engine wants it."""
        content = self._photos[sha256]
        return ("image/png" if content.startswith(b"\x89PNG") else "image/jpeg"), content

    def side(self, side: Side) -> Laid:
        """The photos of one slot: marked ones large, many small, and the table of their marks below."""
        marked = bool(side.spots)
        across = (1 if len(side.shots) == 1 else TWO) if marked else (TWO if len(side.shots) <= TWO else THREE)
        column = (self._text_mm - GUTTER_MM * (across - 1)) / across
        cells = tuple(
            self._cell(side, place, column, min(column, ALONE_MM), HEIGHTS_MM[across])
            for place in range(len(side.shots))
        )
        return Laid(side.name, cells, contents.marks_table(side.spots, self._say))

    def pairs(self, then: LookRecord, now: LookRecord) -> Iterator[Pair]:
        """The photos of two looks side by side, slot by slot, in the order in which they were taken.

        A photo of the later look with nothing to stand beside is left out: it stands under its own slot already.
        """
        column = (self._text_mm - GUTTER_MM) / TWO
        for side in now.sides:
            other = then.side(side.key)
            both = [
                [
                    self._cell(one, place, column, column, HEIGHTS_MM[TWO])
                    for place in range(min(len(one.shots), MOST_PAIRS))
                ]
                if one
                else []
                for one in (other, side)
            ]
            for place, (before, after) in enumerate(zip_longest(*both)):
                if before:
                    yield Pair(side.name, place == 0, before, after)
                elif place == 0:
                    yield Pair(side.name, first=True, then=None, now=None, above=len(side.shots))

    def _cell(self, side: Side, place: int, column: float, width: float, height: float) -> Cell:
        shot = side.shots[place]
        caption = _caption(side, place, self._say)
        alt = f"{side.name} · {caption}" if caption else side.name
        pixels = self.pixels.get(shot.sha256)
        if pixels is None:
            return Cell(shot.sha256, caption, alt, column)
        self.used.add(shot.sha256)
        scale = min(width / pixels[0], height / pixels[1])
        size = pixels[0] * scale, pixels[1] * scale
        return Cell(shot.sha256, caption, alt, column, *size, tuple(placed(shot.spots, *size)))


def _bands(laid: list[Laid]) -> list[list[Laid]]:
    """Slots in rows: two neighbours that take half of the width each stand beside each other."""
    bands: list[list[Laid]] = []
    for one in laid:
        if bands and one.half and len(bands[-1]) == 1 and bands[-1][0].half:
            bands[-1].append(one)
        else:
            bands.append([one])
    return bands


def _pixels(content: bytes) -> tuple[int, int]:
    with Image.open(io.BytesIO(content)) as image:
        return image.size


def _front(look: LookRecord) -> tuple[Shot, ...]:
    """The photos that may head the report: of the first slot that has any."""
    return next((side.shots for side in look.sides if side.shots), ())


def _caption(side: Side, place: int, say: Say) -> str:
    shot = side.shots[place]
    parts = [say("photo %s") % (place + 1)] if len(side.shots) > 1 else []
    if shot.caption:
        parts.append(pages.clipped(shot.caption, LONGEST_CAPTION) or "")
    if shot.spots:
        numbers = ", ".join(str(spot.number) for spot in shot.spots)
        parts.append((say("mark %s") if len(shot.spots) == 1 else say("marks %s")) % numbers)
    words = " · ".join(parts)
    return words[:1].upper() + words[1:]


def _taken(look: LookRecord, say: Say) -> list[tuple[str, str]]:
    """What was photographed and what not: each slot with the number of its photos."""
    told = []
    for side in look.sides:
        count = len(side.shots)
        if count:
            told.append((side.name, say("1 photo") if count == 1 else say("%s photos") % count))
        elif side.wanted:
            told.append((side.name, say("not taken")))
    return told


def _both_tables(then: LookRecord, now: LookRecord, say: Say) -> list[tuple[str, Section, Section]]:
    """The tables of marks of two looks, slot by slot."""
    found = []
    for side in now.sides:
        other = then.side(side.key)
        tables = [contents.marks_table(one.spots if one else (), say) for one in (other, side)]
        if any(tables):
            found.append((side.name, *(Section(side.name, table=table) for table in tables)))
    return found
