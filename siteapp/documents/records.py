"""What documents are made from: frozen records of plain text and numbers, with nothing left to look up.

Days and instants are ISO 8601 text. Photos are named by the SHA-256 of their original; their bytes travel beside the
record. What is None or empty was not recorded, and the documents say so. Optional throughout, so that a certificate
frozen today can be printed by a later version and a later version's fields can be added.
"""

from __future__ import annotations

from dataclasses import dataclass

WEIGHED = "weighed"
ESTIMATED = "estimated"
MET = "met"
NOT_MET = "not met"
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class LabelRecord:
    """What a label says. `number` is eight characters, `weight_kg` in kilograms; `weight_origin` as in `Weight`.

    `link` is the lasting address of the piece's page, None when the workshop has none; `language` a BCP 47 tag.
    `take_down`, `keep_away`, `care` and `care_never` stand on the card for the house file only. `condition` is what
    must hold before anybody lights a fire; it stands on every form of the label.
    """

    number: str
    number_grouped: str
    title: str
    maker: str
    what: str | None = None
    weight_kg: float | None = None
    weight_origin: str | None = None
    people_to_lift: str | None = None
    hanging_points: tuple[str, ...] = ()
    heat_limit: str | None = None
    way_up: str | None = None
    who_to_ask: tuple[str, ...] = ()
    link: str | None = None
    language: str = "en"
    take_down: str | None = None
    keep_away: str | None = None
    care: str | None = None
    care_never: str | None = None
    condition: str | None = None


@dataclass(frozen=True)
class PhotoUse:
    """A photo by the SHA-256 of its original; `role` is "title", "back", "arrival", "finish" or any other word."""

    sha256: str
    caption: str | None = None
    role: str | None = None


@dataclass(frozen=True)
class Fact:
    """One row of a list of facts; a value of None is printed as not recorded."""

    label: str
    value: str | None = None
    note: str | None = None


@dataclass(frozen=True)
class Table:
    """Rows of text under column headings; `figures` are the places (from 0) of columns set flush right.

    A row of a single cell belongs to the row before it and is as wide as the table.

    `widths` are the columns' shares of the page's width in percent; without them they are equal.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    figures: tuple[int, ...] = ()
    widths: tuple[int, ...] = ()


@dataclass(frozen=True)
class Section:
    """A part of a document of any kind: heading, then whatever is there of each, in this order.

    `caution` and `stop` stand in a box of their own, before the rest. `after` names the section it follows (the `key`
    of one of the certificate's own or of an earlier one); without it the section comes before the record's proof.
    """

    heading: str
    key: str | None = None
    after: str | None = None
    stop: str | None = None
    caution: str | None = None
    paragraphs: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    table: Table | None = None
    points: tuple[str, ...] = ()
    photos: tuple[PhotoUse, ...] = ()
    note: str | None = None
