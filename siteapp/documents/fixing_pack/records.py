"""What a fixing pack is made from: plain text and numbers with nothing left to look up.

Lengths in mm, forces in N, days and instants ISO 8601. What is None or empty was not said, and the pack says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from siteapp.documents import frozen
from siteapp.documents.certificate.records import Sizes, Weight


@dataclass(frozen=True)
class PackPoint:
    """Where one anchor goes: x right and y up **from the datum**, as one faces the wall, and what will pull on it.

    `hole_mm` is the hole in the piece's metalwork, `slot_mm` how far it is drawn out along `slot_deg`; `pull_n` and
    `shear_n` are the worst of all cases, of which `case` names the one that decides; None where not worked out.
    `rail`: it hangs on a rail with anchors of its own.
    """

    label: str
    x_mm: float
    y_mm: float
    hole_mm: float | None = None
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    pull_n: float | None = None
    shear_n: float | None = None
    case: str | None = None
    rail: bool = False


@dataclass(frozen=True)
class PackReading:
    """A reading to take back: a tape between `a` and `b` (held at its 100 mm mark or not), or without `b` a height."""

    a: str
    b: str | None = None
    from_100: bool = False


@dataclass(frozen=True)
class Proving:
    """How many of the anchors are proof tested and for how long each is held, with what that shows and the source."""

    count: int
    of: int
    hold_s: float
    shows: str
    source: str


@dataclass(frozen=True)
class FixingPack(frozen.Record):
    """Everything a fixing pack prints.

    `template_id` and `template_at` say which fixing template it was made from; `stale` that the points changed after
    it was set. `corner_x_mm`, `corner_y_mm` are the piece's lower left corner from the datum. `wall_asked` is in words.
    `loads_why` says why there are no loads, `loads_caution` why they are not settled, `readings_why` why there are no
    readings to take.
    """

    piece_number: str
    title: str
    template_id: str
    template_at: str
    datum: str
    corner_x_mm: float
    corner_y_mm: float
    points: tuple[PackPoint, ...]
    stale: bool = False
    maker: str | None = None
    who_to_ask: str | None = None
    sizes: Sizes = field(default_factory=Sizes)
    weight: Weight = field(default_factory=Weight)
    level_line: str | None = None
    level_mm: float | None = None
    wall_asked: str | None = None
    anchor: str | None = None
    anchor_document: str | None = None
    drill_mm: float | None = None
    embedment_mm: float | None = None
    torque_nm: float | None = None
    proof_kn: float | None = None
    designed_by: str | None = None
    note: str | None = None
    loads_why: str | None = None
    loads_caution: str | None = None
    loads_rest_on: tuple[str, ...] = ()
    loads_source: str | None = None
    proving: Proving | None = None
    readings: tuple[PackReading, ...] = ()
    readings_why: str | None = None
    printed_on: str | None = None
    invented: bool = False
    language: str = "en"

    @property
    def template_short(self) -> str:
        """The template's id, as much of it as tells two apart on paper."""
        return self.template_id[:8]
