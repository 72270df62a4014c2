"""What a day was to be, and what came of it, as a table for people."""

from __future__ import annotations

import statistics
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.soak.ledger import Ledger


@dataclass(frozen=True)
class Plan:
    """How much of a day; it ends early after `longest_s`, and then says so."""

    seed: int
    entries: int
    photos: int
    cuts: int
    quiet: int  # entered before anything goes wrong, to see how long it takes then
    longest_s: float


@dataclass
class Result:
    """What came of a plan."""

    plan: Plan
    entered: int = 0
    photos: int = 0
    photo_bytes: int = 0
    cuts: Counter[str] = field(default_factory=Counter)
    undone: list[str] = field(default_factory=list)  # pressed, and cut off before the phone had kept it: done again
    looks: Counter[str] = field(default_factory=Counter)  # refused, then looked at by a person and sent again
    resent: int = 0
    photos_resent: int = 0
    faults: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)  # by consoles and the laptop's log
    kept_ms: list[float] = field(default_factory=list)
    gone_ms: list[float] = field(default_factory=list)
    gone_with_photo_ms: list[float] = field(default_factory=list)
    saved_ms: list[float] = field(default_factory=list)
    took_s: float = 0
    ran_out: bool = False

    def sum_up(self, ledger: Ledger) -> None:
        """Count what the ledger has."""
        kept = [one for one in ledger.entered.values() if one.kept_ms is not None]
        self.entered = len(kept)
        self.photos = sum(len(one.photos) for one in kept)
        self.photo_bytes = sum(len(data) for one in kept for data in one.photos.values())
        self.resent = sum(max(0, one.sendings - 1) for one in kept)
        self.photos_resent = max(0, ledger.sent_photos - self.photos)
        self.kept_ms = [one.kept_ms - one.tapped_ms for one in kept if one.tapped_ms and one.kept_ms]
        fair = [one for one in kept if one.fair and one.tapped_ms and one.gone_ms and one.saved_ms]
        self.gone_ms = [one.gone_ms - one.tapped_ms for one in fair if not one.photos]
        self.gone_with_photo_ms = [one.gone_ms - one.tapped_ms for one in fair if one.photos]
        self.saved_ms = [one.saved_ms - one.tapped_ms for one in fair if not one.photos]

    def lines(self) -> list[str]:
        """The table."""
        lost = sum("is lost" in fault for fault in self.faults)
        twice = sum(" times" in fault for fault in self.faults)
        early = " (time ran out)" if self.ran_out else ""
        what = (
            f"{self.entered} entries, {self.photos} photos ({self.photo_bytes / 1e6:.1f} MB), {self.cuts.total()} cuts"
        )
        return [
            f"seed {self.plan.seed}: {what}, {self.took_s:.0f} s{early}",
            *(f"  {count:4} {kind}" for kind, count in sorted(self.cuts.items())),
            f"lost {lost}, there twice {twice}, other faults {len(self.faults) - lost - twice}",
            f"sent again: {self.resent} entries, {self.photos_resent} photos",
            f"cut off before the phone had kept it, and done again by hand: {len(self.undone)}",
            f"needed a look: {dict(self.looks) or 'none'}",
            "from the tap, in milliseconds:",
            f"  to kept on the phone: {spread(self.kept_ms)}",
            "and with nothing in the way:",
            f"  to acknowledged by the laptop: {spread(self.gone_ms)}; with a photo: {spread(self.gone_with_photo_ms)}",
            f"  to the line that says so: {spread(self.saved_ms)}",
            *(f"FAULT {fault}" for fault in self.faults),
            *(f"SAID {said}" for said in self.said),
        ]


def spread(values: Sequence[float]) -> str:
    """Median, 95th percentile and largest."""
    if not values:
        return "not measured"
    ordered = sorted(values)
    high = ordered[round(0.95 * (len(ordered) - 1))]
    return f"median {statistics.median(ordered):.0f}, 95 % {high:.0f}, longest {ordered[-1]:.0f} ({len(ordered)} taps)"
