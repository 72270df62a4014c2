"""What a support may carry, and the share of it that is used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.loads.forces import LARGEST_FORCE_N
from siteapp.trade.loads.supports import LARGEST_N
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.loads.forces import SupportForce
    from siteapp.trade.verdicts import Verdict

Kind = Literal["steel", "concrete", "masonry", "timber", "tested on site"]

STEEL: Final = "steel"
CONCRETE: Final = "concrete"
MASONRY: Final = "masonry"
TIMBER: Final = "timber"
TESTED: Final = "tested on site"

SMALLEST_N = 1.0
SOLID_MASONRY = 1.2
ROUNDING = 1e-9

KIND_SOURCES: dict[str, str] = {
    STEEL: "steel: (N/N_allowed)² + (V/V_allowed)² ≤ 1 (EN 1992-4:2018, 7.2.3)",
    CONCRETE: "concrete: (N/N_allowed)^1.5 + (V/V_allowed)^1.5 ≤ 1 (EN 1992-4:2018, 7.2.3)",
    MASONRY: "masonry: N/N_allowed + V/V_allowed ≤ 1.2 when solid, ≤ 1.0 when hollow or not known (from memory of "
    "anchors' approval documents for masonry)",
    TIMBER: "timber: N/N_allowed + V/V_allowed ≤ 1, the straight sum, on the careful side (EN 1995-1-1, 8.3.3, "
    "from memory)",
    TESTED: "tested on site: N/N_allowed + V/V_allowed ≤ 1, since a test says nothing of both together (ours)",
}
KINDS: tuple[Kind, ...] = (STEEL, CONCRETE, MASONRY, TIMBER, TESTED)


@dataclass(frozen=True)
class Resistance:
    """What one support may carry, in N: pulled from the wall, and along it. None: not known.

    Design values, already reduced for edge distance, spacing, sustained load and temperature by whoever gives them;
    `source` names the approval document, or the test and who judged it. `solid`: the masonry is known to be solid.
    `gap`: there is packing, board or render between plate and sound wall. `outside_approval`: the use is none that
    the approval document covers. Raises TradeError for a value outside 1…1 000 000 N, or an unknown kind.
    """

    pull_n: float | None
    shear_n: float | None
    kind: Kind
    source: str
    solid: bool = False
    gap: bool = False
    outside_approval: bool = False

    def __post_init__(self) -> None:
        for what, value in (("pull", self.pull_n), ("shear", self.shear_n)):
            if value is not None:
                in_range(f"allowed {what}", value, SMALLEST_N, LARGEST_N, "N")
        if self.kind not in KINDS:
            message = f"kind of resistance is {self.kind!r}; allowed are {', '.join(KINDS)}"
            raise TradeError(message)


@dataclass(frozen=True)
class Share:
    """Shares of what is allowed, as fractions: pull, shear, and both together by the rule in `source`.

    Each of the three is at most 1 where *met*. None: cannot be told. `reason` says what stands against *met*.
    """

    pull: float | None
    shear: float | None
    combined: float | None
    verdict: Verdict
    source: str
    reason: str = ""


def share_of_allowed(force: SupportForce, resistance: Resistance | None) -> Share:
    """The share of `resistance` that `force` uses, by the rule of its kind (KIND_SOURCES).

    Without a resistance, its source, or one of its two values, with a gap between plate and sound wall, or outside
    what the approval document covers, it is *cannot tell*, unless what is known is already too much. Raises TradeError
    for a force that is no number.
    """
    pull_n = in_range("pull", force.pull_n, 0, LARGEST_FORCE_N, "N")
    shear_n = in_range("shear", force.shear_n, 0, LARGEST_FORCE_N, "N")
    if resistance is None:
        return Share(None, None, None, CANNOT_TELL, "no resistance given", "what it may carry is not known")
    pull = None if resistance.pull_n is None else pull_n / resistance.pull_n
    shear = None if resistance.shear_n is None else shear_n / resistance.shear_n
    combined = None if pull is None or shear is None else _combined(pull, shear, resistance)
    source = f"{KIND_SOURCES[resistance.kind]}; allowed values: {resistance.source.strip() or 'no source given'}"
    most = max((part for part in (pull, shear, combined) if part is not None), default=0.0)
    if most > 1 + ROUNDING:
        return Share(pull, shear, combined, NOT_MET, source, f"{most:.0%} of what is allowed")
    if unknown := _unknown(resistance):
        return Share(pull, shear, combined, CANNOT_TELL, source, unknown)
    return Share(pull, shear, combined, MET, source)


def _combined(pull: float, shear: float, resistance: Resistance) -> float:
    if resistance.kind == STEEL:
        return pull**2 + shear**2
    if resistance.kind == CONCRETE:
        return float(pull**1.5 + shear**1.5)
    if resistance.kind == MASONRY and resistance.solid:
        return (pull + shear) / SOLID_MASONRY
    return pull + shear


def _unknown(resistance: Resistance) -> str:
    """The first thing that keeps an answer from being *met*; nothing when all is known."""
    if resistance.pull_n is None:
        return "what it may carry in pull is not known"
    if resistance.shear_n is None:
        return "what it may carry in shear is not known"
    if not resistance.source.strip():
        return "no approval document or test is named for what it may carry"
    if resistance.gap:
        return "a gap between plate and sound wall (packing, board, render) is there, or not ruled out: no value holds"
    if resistance.outside_approval:
        return "the document is not known to cover this wall and this use"
    return ""
