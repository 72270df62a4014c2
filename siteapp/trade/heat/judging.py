"""Whether a fire may be lit under a piece: what was measured, held against how warm its parts may get."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.trade.heat.testing import HeatTest
    from siteapp.trade.verdicts import Verdict

MARGIN_C = 10.0
MOST_MARGIN_C = 100.0
COLDEST_ROOM_C, HOTTEST_ROOM_C = -20.0, 60.0
LOWEST_LIMIT_C, HIGHEST_LIMIT_C = 20.0, 1000.0
SLOW_WALL_MIN = 300.0  # the slowest time constant that the guard against creeping reckons with
FEWEST_FOR_BOUND = 5

SOURCE = (
    "highest measured temperature (plateau, and peak after shut-down), plus what it still creeps, the rise to the "
    "hottest room, the thermometer's error and the margin, at most the limit of the weakest part; margin 10 °C (ours)"
)
ASSUMPTIONS = (
    "the limits are those of the parts as they are built in, from their papers",
    "each degree that the room is hotter makes the piece a degree hotter",
    "what creeps under a plateau is a wall with a time constant of at most 300 min (ours); a slower one is not seen",
    "no prediction is a test: the appliance's instructions, local code and whoever is licensed come first",
)
AT_RATED_OUTPUT = "the fire was at the appliance's rated output"


@dataclass(frozen=True)
class HeatVerdict:
    """What a heat test comes to, °C. `expected_c` is what was measured and added up, None without a plateau.

    `stop` says that the fire is to go out now. `spare_c` is the limit less expected and margin.
    """

    verdict: Verdict
    stop: bool
    reasons: tuple[str, ...]
    weakest: str | None
    limit_c: float | None
    expected_c: float | None
    spare_c: float | None
    margin_c: float
    creep_c: float | None
    assumptions: tuple[str, ...]
    source: str = SOURCE


def heat_verdict(
    test: HeatTest,
    limits: Mapping[str, float | None],
    *,
    room_now_c: float | None,
    hottest_room_c: float | None,
    margin_c: float = MARGIN_C,
    rated_output: bool | None = True,
    needs_shut_down: bool = False,
    error_c: float = 0.0,
) -> HeatVerdict:
    """Hold one probe's `test` against the `limits` (°C, 20…1000) of the parts that it stands for.

    *Not met*, with `stop`, as soon as a reading or the fit's upper end passes the weakest limit: the end counts from
    five readings on, once a time constant was logged. *Met* only from a measured plateau at rated output without a
    fault, with the rise from `room_now_c` to `hottest_room_c` (−20…60 °C), `error_c` (0…50) and `margin_c` (0…100)
    added; with `needs_shut_down` only when the peak after it was seen to pass. All else is *cannot tell*: no limits
    or one that is not known, no room temperatures, `rated_output` False or None. Source: SOURCE. Assumes ASSUMPTIONS,
    and AT_RATED_OUTPUT. Raises TradeError outside the ranges.
    """
    in_range("margin", margin_c, 0, MOST_MARGIN_C, "°C")
    in_range("error of the thermometer", error_c, 0, 50, "°C")
    for name, limit in limits.items():
        if limit is not None:
            in_range(f"limit of {name}", limit, LOWEST_LIMIT_C, HIGHEST_LIMIT_C, "°C")
    known = {name: limit for name, limit in limits.items() if limit is not None}
    weakest = min(known, key=lambda name: known[name], default=None)
    limit = known[weakest] if weakest is not None else None
    findings = Findings()
    _missing(findings, limits, rated_output=rated_output)
    rise = _rise(findings, room_now_c, hottest_room_c)
    stop = limit is not None and _stops(findings, test, weakest or "", limit, error_c)
    creep = _creep(test)
    expected = _expected(findings, test, rise, error_c, creep, needs_shut_down=needs_shut_down)
    spare = None if expected is None or limit is None else limit - expected - margin_c
    if expected is not None and limit is not None and spare is not None and spare < 0:
        words = (
            f"{expected:.1f} °C in the hottest room and a margin of {margin_c:g} °C pass the {limit:g} °C of {weakest}"
        )
        findings.not_met(words)
    assumed = (*ASSUMPTIONS, AT_RATED_OUTPUT) if rated_output else ASSUMPTIONS
    return HeatVerdict(
        verdict=findings.verdict,
        stop=stop,
        reasons=tuple(findings.reasons),
        weakest=weakest,
        limit_c=limit,
        expected_c=expected,
        spare_c=spare,
        margin_c=margin_c,
        creep_c=creep,
        assumptions=(*assumed, *test.assumptions),
        source=f"{SOURCE}; {test.source}",
    )


def heat_verdicts(
    tests: Mapping[str, HeatTest],
    answers_for: Mapping[str, Sequence[str]],
    limits: Mapping[str, float | None],
    *,
    room_now_c: float | None,
    hottest_room_c: float | None,
    margin_c: float = MARGIN_C,
    rated_output: bool | None = True,
    needs_shut_down: bool = False,
    errors_c: Mapping[str, float] | None = None,
) -> tuple[Verdict, dict[str, HeatVerdict], dict[str, str]]:
    """Hold each probe against the parts that it answers for; give the worst verdict, each probe's, and who stands in.

    A part that no probe answers for is held against the probe that got hottest, which the third value tells by part.
    Without a probe it is *cannot tell*. Ranges and errors as `heat_verdict`; `errors_c` by probe.
    """
    hottest = max(tests, key=lambda label: _hottest(tests[label]), default=None)
    mine = {label: [part for part in answers_for.get(label, ()) if part in limits] for label in tests}
    answered = {part for parts in mine.values() for part in parts}
    stands_in = {part: hottest for part in limits if part not in answered and hottest is not None}
    for part, label in stands_in.items():
        mine[label].append(part)
    told = {
        label: heat_verdict(
            test,
            {part: limits[part] for part in mine[label]},
            room_now_c=room_now_c,
            hottest_room_c=hottest_room_c,
            margin_c=margin_c,
            rated_output=rated_output,
            needs_shut_down=needs_shut_down,
            error_c=(errors_c or {}).get(label, 0.0),
        )
        for label, test in tests.items()
        if mine[label]
    }
    return combine([one.verdict for one in told.values()]), told, stands_in


def combine(verdicts: Sequence[Verdict]) -> Verdict:
    """*Not met* when one is, else *cannot tell* when one is or there is none, else *met*."""
    if NOT_MET in verdicts:
        return NOT_MET
    return CANNOT_TELL if CANNOT_TELL in verdicts or not verdicts else MET


def _hottest(test: HeatTest) -> float:
    return -math.inf if test.peak_c is None else test.peak_c


def _missing(findings: Findings, limits: Mapping[str, float | None], *, rated_output: bool | None) -> None:
    if not limits:
        findings.cannot_tell("no limit is recorded for any part")
    for name, limit in limits.items():
        if limit is None:
            findings.cannot_tell(f"how warm {name} may get is not known")
    if rated_output is None:
        findings.cannot_tell("whether the appliance was at its rated output is not known")
    elif not rated_output:
        findings.cannot_tell("the appliance was not at its rated output: a larger fire makes it hotter")


def _rise(findings: Findings, now_c: float | None, hottest_c: float | None) -> float | None:
    for name, value in (("room now", now_c), ("hottest room", hottest_c)):
        if value is None:
            findings.cannot_tell(f"the temperature of the {name} is not known")
        else:
            in_range(f"temperature of the {name}", value, COLDEST_ROOM_C, HOTTEST_ROOM_C, "°C")
    return None if now_c is None or hottest_c is None else max(0.0, hottest_c - now_c)


def _stops(findings: Findings, test: HeatTest, weakest: str, limit: float, error_c: float) -> bool:
    """A reading or the upper end of the fit past the limit."""
    stop = False
    if test.peak_c is not None and test.peak_c + error_c > limit:
        error = f" ± {error_c:g}" if error_c else ""
        findings.not_met(f"{test.peak_c:.1f} °C{error} was read; {weakest} may get {limit:g} °C")
        stop = True
    high, tau = test.final_c_high, test.time_constant_min
    if high is None or tau is None or high <= limit:
        return stop
    seen = math.isfinite(high) and test.count >= FEWEST_FOR_BOUND and test.minutes >= tau
    if seen:
        findings.not_met(
            f"it may be on its way to {high:.1f} °C (upper end of the fit); {weakest} may get {limit:g} °C"
        )
        return True
    findings.cannot_tell(f"too early to see whether it stays under the {limit:g} °C of {weakest}")
    return stop


def _creep(test: HeatTest) -> float | None:
    """What a slow wall may still rise after the plateau, °C: the drift that is left times its time constant."""
    if test.plateau_c is None or test.drift_c_per_30_min is None:
        return None
    return max(0.0, test.drift_c_per_30_min) / 30 * SLOW_WALL_MIN


def _expected(
    findings: Findings,
    test: HeatTest,
    rise: float | None,
    error_c: float,
    creep: float | None,
    *,
    needs_shut_down: bool,
) -> float | None:
    """What was measured with everything added, °C; None without a plateau that counts."""
    for fault in test.faults:
        findings.cannot_tell(fault)
    if test.plateau_c is None or not test.long_enough:
        findings.cannot_tell("no plateau was measured that lasts long enough")
        return None
    if needs_shut_down and test.peak_passed is None:
        findings.cannot_tell("it was not logged through shut-down: the back and the bond may get hotter after it")
    elif test.peak_passed is False:
        findings.cannot_tell("the peak after shut-down has not been seen to pass")
    if rise is None:
        return None
    measured = max(test.plateau_c, test.peak_c if test.peak_c is not None else -math.inf)
    return measured + (creep or 0.0) + rise + error_c
