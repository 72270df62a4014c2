"""Anchors in the wall: proof tests as BS 8539 has them, the date of the re-check; setting and cable zones beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import MAXYEAR, date
from typing import TYPE_CHECKING, Final, Literal

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.verdicts import Verdict


# Tested share in thousandths, so that counts are whole-number arithmetic, and what the characteristic action is
# multiplied by when that share is tested.
SHARES: Final = {0.025: (25, 1.5), 0.05: (50, 1.25)}
LEAST_TESTS = 3
LEAST_AFTER_FAILURE = 6
MOST_ANCHORS = 100_000
LARGEST_N = 1e6
LONGEST_HOLD_S = 86_400.0
LARGEST_MOVEMENT_MM = 1_000.0
# Long enough that a slow slip shows on the gauge. Ours, no source; whoever designed the anchors may ask for more.
HOLD_S = 60.0

SHOWS = "A proof test shows that an anchor was set well. It does not show what it, or the wall, can carry."
PROOF_SOURCE = (
    "BS 8539, annex B.3, read in a public copy: in each discrete area 2.5 % of the anchors at 1.5 times, or 5 % at "
    "1.25 times the characteristic action, at least 3; after one failure look for the reason and double to 5 %, at "
    "least 6; after more test them all and reconsider the specification"
)
PROOF_ASSUMPTIONS = (
    "the anchors are of one product, in one wall, set by the same people: anything else is an area of its own",
    "those tested are chosen at random, not by whoever set them",
    "the frame stands clear of the anchor, so that it does not press on the wall that is being tested",
    "the factor that testing began with is kept after a failure (ours)",
)
VERDICT_SOURCE = (
    "load, time and movement as typed against what was asked for; BS 8539 practice: the load is held without movement "
    f"beyond what the designer allows; held at least {HOLD_S:g} s (ours)"
)
RECHECK_SOURCE = "ours: walls, boards and battens shrink and move most in their first winter of heating"
SEASON_END = (5, 1)  # month and day
LAST_MONTH_THAT_COUNTS = 1

Next = Literal["test", "tested", "investigate", "test all, reconsider specification"]
TEST: Final = "test"
TESTED: Final = "tested"
INVESTIGATE: Final = "investigate"
TEST_ALL: Final = "test all, reconsider specification"


@dataclass(frozen=True)
class ProofPlan:
    """How many of the anchors of one area are to be tested in all, and what comes next.

    `count` includes those tested already; `left` is what is still to do, None when it was not said how many are done.
    `load_factor` multiplies the characteristic action. `verdict` is *met* once all were tested without a failure, *not
    met* with one, else *cannot tell*. `shows` belongs to every result.
    """

    count: int
    load_factor: float
    next_step: Next
    left: int | None
    verdict: Verdict
    shows: str
    assumptions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Proof:
    """What one proof test came to, and what stands against *met*. `shows` belongs to every result."""

    verdict: Verdict
    reasons: tuple[str, ...]
    shows: str
    source: str


def proof_tests(anchors: int, *, failures: int = 0, tested: int | None = None, fraction: float = 0.025) -> ProofPlan:
    """How many of `anchors` (1 to 100 000, of one discrete area) are to be proof tested, and at what factor.

    n = max(3, ⌈fraction · anchors⌉), never more than there are; factor 1.5 for a fraction of 0.025, 1.25 for 0.05, the
    only two. `failures` among those `tested` so far (None: not said). One failure: the reason is looked for and the
    number doubled, at least 6 and 5 %. More: all of them. Source: PROOF_SOURCE. Assumes PROOF_ASSUMPTIONS. Raises
    TradeError outside the ranges, or with more failures than tests or more tests than anchors.
    """
    _whole("anchors", anchors, 1, MOST_ANCHORS)
    _whole("failures", failures, 0, anchors)
    if tested is not None:
        _whole("anchors tested", tested, failures, anchors)
    thousandths, factor = _share(fraction)
    first = max(LEAST_TESTS, _share_of(anchors, thousandths))
    count = first
    next_step: Next = TEST
    if failures == 1:
        count, next_step = max(LEAST_AFTER_FAILURE, 2 * first, _share_of(anchors, 50)), INVESTIGATE
    elif failures > 1:
        count, next_step = anchors, TEST_ALL
    count = min(anchors, count)
    enough = tested is not None and tested >= count
    if enough and not failures:
        next_step = TESTED
    return ProofPlan(
        count=count,
        load_factor=factor,
        next_step=next_step,
        left=None if tested is None else max(0, count - tested),
        verdict=NOT_MET if failures else MET if enough else CANNOT_TELL,
        shows=SHOWS,
        assumptions=PROOF_ASSUMPTIONS,
        source=PROOF_SOURCE,
    )


def proof_load_n(characteristic_n: float, fraction: float = 0.025) -> float:
    """Load in N at which an anchor is proof tested, from the characteristic action on it (above 0 to 1 000 000 N).

    N_p = 1.5 · N_Sk with a fraction of 0.025 tested, 1.25 · N_Sk with 0.05. `characteristic_n` is the action without
    partial factors. Source: PROOF_SOURCE. Raises TradeError outside the ranges and for another fraction.
    """
    in_range("characteristic action", characteristic_n, 0, LARGEST_N, "N", above_low=True)
    return characteristic_n * _share(fraction)[1]


def proof_verdict(
    *,
    asked_n: float | None,
    reached_n: float | None,
    held_s: float | None,
    movement_mm: float | None,
    allowed_mm: float | None,
    gauge_until: date | None,
    tested_on: date,
    hold_s: float = HOLD_S,
) -> Proof:
    """Whether one proof test shows an anchor to be set well: load reached, held, movement within what is allowed.

    Loads above 0 to 1 000 000 N, times 0 to 86 400 s, movement 0 to 1000 mm under load. `gauge_until` is the last day
    of the gauge's calibration: a load read on a gauge past it is *cannot tell*, and so is anything that is None. Too
    little load or time, or too much movement, is *not met* whatever the gauge. Source: VERDICT_SOURCE. Raises
    TradeError outside the ranges.
    """
    _in_ranges(asked_n, reached_n, movement_mm, allowed_mm)
    in_range("time asked for", hold_s, 0, LONGEST_HOLD_S, "s")
    findings = Findings()
    _loaded(findings, asked_n, reached_n)
    if held_s is None:
        findings.cannot_tell("how long the load was held was not written down")
    elif in_range("time held", held_s, 0, LONGEST_HOLD_S, "s") < hold_s:
        findings.not_met(f"the load was held for {held_s:g} s; at least {hold_s:g} s is asked")
    _moved(findings, movement_mm, allowed_mm)
    if gauge_until is None:
        findings.cannot_tell("until when the gauge is calibrated is not known")
    elif tested_on > gauge_until:
        findings.cannot_tell(
            f"the gauge was calibrated until {gauge_until.isoformat()}; the test was on {tested_on.isoformat()}"
        )
    return Proof(findings.verdict, tuple(findings.reasons), SHOWS, VERDICT_SOURCE)


def first_heating_season_end(day: date) -> date:
    """The day after the first heating season that follows `day`, on which a piece hung then is looked over again.

    1 May of the same year when it was hung in January, so that three months of heating still followed; else 1 May of
    the next year. For the northern half of the earth. Source: RECHECK_SOURCE. Raises TradeError when the calendar ends.
    """
    year = day.year if day.month <= LAST_MONTH_THAT_COUNTS else day.year + 1
    if year > MAXYEAR:
        message = f"the first heating season after {day.isoformat()} is past the year {MAXYEAR}"
        raise TradeError(message)
    return date(year, *SEASON_END)


def _in_ranges(
    asked_n: float | None, reached_n: float | None, movement_mm: float | None, allowed_mm: float | None
) -> None:
    for what, value in (("load asked for", asked_n), ("load reached", reached_n)):
        if value is not None:
            in_range(what, value, 0, LARGEST_N, "N", above_low=True)
    for what, value in (("movement", movement_mm), ("movement allowed", allowed_mm)):
        if value is not None:
            in_range(what, value, 0, LARGEST_MOVEMENT_MM, "mm")


def _loaded(findings: Findings, asked_n: float | None, reached_n: float | None) -> None:
    if asked_n is None:
        findings.cannot_tell("the load asked for is not said")
    if reached_n is None:
        findings.cannot_tell("the load reached was not written down")
    elif asked_n is not None and reached_n < asked_n:
        findings.not_met(f"{_kn(asked_n)} was asked for; {_kn(reached_n)} was reached")


def _moved(findings: Findings, movement_mm: float | None, allowed_mm: float | None) -> None:
    if movement_mm is None:
        findings.cannot_tell("how far the anchor moved was not measured")
    if allowed_mm is None:
        findings.cannot_tell("how far the anchor may move is not said; whoever designed the anchors says it")
    elif movement_mm is not None and movement_mm > allowed_mm:
        findings.not_met(f"the anchor moved {movement_mm:g} mm; at most {allowed_mm:g} mm is allowed")


def _share(fraction: float) -> tuple[int, float]:
    if isinstance(fraction, bool) or fraction not in SHARES:
        allowed = " or ".join(f"{share:g}" for share in SHARES)
        message = f"fraction tested is {str(fraction)[:40]}; allowed is {allowed}"
        raise TradeError(message)
    return SHARES[fraction]


def _share_of(anchors: int, thousandths: int) -> int:
    """A share of the anchors, rounded up."""
    return -(-anchors * thousandths // 1000)


def _whole(what: str, value: int, low: int, high: int) -> None:
    in_range(what, value, low, high, what)
    if not isinstance(value, int):
        message = f"{what} is {value!r}; allowed is a whole number from {low} to {high}"
        raise TradeError(message)


def _kn(force_n: float) -> str:
    return f"{force_n / 1000:g} kN"
