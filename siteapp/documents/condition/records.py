"""What a condition report is made from: plain text and numbers with nothing left to look up.

Days and instants are ISO 8601 text; photos are named by the SHA-256 of their original, and their bytes travel beside
the record. What is None or empty was not recorded, and the report says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from siteapp.documents import frozen
from siteapp.documents.certificate.records import HangingPoint, Layer, Maker, Sizes, Weight

STRUCTURE, SURFACE, METALWORK = "structure", "surface", "metalwork"


@dataclass(frozen=True)
class Spot:
    """A numbered mark on a photo.

    `x` and `y` are fractions (0 to 1) of the upright photo's width and height, from its upper left. `about` is
    "structure", "surface" or "metalwork"; None where its kind says neither.
    """

    number: int
    x: float
    y: float
    kind: str | None = None
    note: str | None = None
    about: str | None = None


@dataclass(frozen=True)
class Shot:
    """A photo with the marks that were set on it."""

    sha256: str
    caption: str | None = None
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True)
class Side:
    """All photos of one named slot, in the order in which they were taken; `wanted` ones are named when missing.

    `key` is the same for the same slot of every look, so that two looks can be laid side by side.
    """

    key: str
    name: str
    shots: tuple[Shot, ...] = ()
    wanted: bool = True

    @property
    def spots(self) -> tuple[Spot, ...]:
        """All marks on its photos."""
        return tuple(spot for shot in self.shots for spot in shot.spots)


@dataclass(frozen=True)
class LookRecord:
    """One look at the piece. `reason`, `found` and `by` are words to print; `corrected` counts later corrections.

    `marked_apart`: two sets of marks stand, made on two machines, so that a number may be there twice.
    """

    reason: str
    at: str | None = None
    by: str | None = None
    found: str | None = None
    indicators: str | None = None
    light: str | None = None
    surroundings: str | None = None
    note: str | None = None
    advice: str | None = None
    corrected: int = 0
    corrected_at: str | None = None
    marked_apart: bool = False
    sides: tuple[Side, ...] = ()

    def side(self, key: str) -> Side | None:
        """The photos of one slot."""
        return next((side for side in self.sides if side.key == key), None)

    @property
    def spots(self) -> tuple[Spot, ...]:
        """All marks of the look."""
        return tuple(spot for side in self.sides for spot in side.spots)


@dataclass(frozen=True)
class ConditionRecord(frozen.Record):
    """Everything a condition report prints. `earlier` are the looks before, oldest first, without their photos.

    `place` is what may be said in public of where the piece is; there is no field for an address or a client.
    `entry_digest` is the digest under which the look is recorded.
    """

    piece_number: str
    title: str
    look: LookRecord
    before: LookRecord | None = None
    earlier: tuple[LookRecord, ...] = ()
    maker: Maker | None = None
    object_type: str | None = None
    description: str | None = None
    materials: str | None = None
    finish: str | None = None
    made_on: str | None = None
    sizes: Sizes = field(default_factory=Sizes)
    weight: Weight = field(default_factory=Weight)
    build_up: tuple[Layer, ...] = ()
    hanging_points: tuple[HangingPoint, ...] = ()
    place: str | None = None
    printed_on: str | None = None
    entry_id: str | None = None
    entry_digest: str | None = None
    invented: bool = False
    language: str = "en"
