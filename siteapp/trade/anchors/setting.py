"""One anchor as it was set, held against what was asked for, and the earliest time at which it may carry."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.trade.verdicts import Verdict

COLDEST_WALL_C = -40.0
HOTTEST_WALL_C = 80.0
LONGEST_CURING_MIN = 43_200.0  # thirty days
WIDEST_DRILL_MM = 200.0
DEEPEST_MM = 2_000.0
# Bits are made in steps of half a millimetre and up; less than half a step is a slip of the rule. Ours.
DRILL_OFF_MM = 0.25
MOST_TORQUE_NM = 2_000.0
TORQUE_OFF = 0.05

CURING_SOURCE = "the curing table of the resin's own sheet, as typed; its colder row where the wall is between two"
CURING_ASSUMPTIONS = (
    "the wall stayed at least as warm as it was read until the end of the time",
    "the table is that of this resin and of this wall, dry or wet as it was",
    "nothing touched the anchor while it cured",
)
SETTING_SOURCE = (
    "what was asked for: product, drill and embedment from the fixing template, cleaning, date, temperature and curing "
    "from the product's sheet; BS 8539 practice: an anchor is set as its maker's instructions say"
)
SETTING_ASSUMPTIONS = (
    "what was typed is what was done; nobody can see it afterwards",
    f"a drill within {DRILL_OFF_MM:g} mm of the one asked for is the same one (ours)",
    "the setting is judged, not what the wall carries",
)

TORQUE_SOURCE = (
    "the torque of the fixing template, from the anchor's approval document; "
    f"within {TORQUE_OFF * 100:g} % of it (ours)"
)
TORQUE_ASSUMPTIONS = (
    "every nut named was turned up with the wrench, in the order given",
    "the wrench was set and read right; its own error is up to 4 % (ISO 6789, from memory)",
)


@dataclass(frozen=True)
class Loading:
    """When an anchor may first carry: `at`, so many `minutes` after it was set, by the table's row from `row_c` up.

    All three are None when the table does not say; `why_not` then says why.
    """

    at: datetime | None
    minutes: float | None
    row_c: float | None
    why_not: str | None
    assumptions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Asked:
    """What was asked for: the product as it was named, drill diameter and least embedment in mm. None: not said."""

    product: str | None
    drill_mm: float | None
    embedment_mm: float | None


@dataclass(frozen=True)
class AsSet:
    """One anchor as it was set; None for what nobody wrote down. Lengths in mm, the wall's temperature in °C.

    `cures` says whether it is bonded with something that has to cure; None: not known. `cleaned`: as its sheet asks.
    `expires_on` is the last day on which the resin may be used. `curing` are rows of its sheet (°C, minutes), each
    counting from its temperature up, the last one being the warmest wall that the sheet covers. `loaded_at` is when it
    was first pulled or turned up, None when it has not been. The day of setting is that of the zone of `set_at`.
    """

    product: str
    cures: bool | None
    drilled_mm: float | None
    embedment_mm: float | None
    cleaned: bool | None
    expires_on: date | None
    wall_c: float | None
    set_at: datetime
    curing: tuple[tuple[float, float], ...] = ()
    loaded_at: datetime | None = None


@dataclass(frozen=True)
class Setting:
    """Whether an anchor was set as asked, what stands against it, and when it may carry (None: nothing to cure)."""

    verdict: Verdict
    reasons: tuple[str, ...]
    loading: Loading | None
    assumptions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Tightening:
    """Whether nuts were turned up, marked and locked as asked, and what stands against it."""

    verdict: Verdict
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...]
    source: str


def earliest_loading(curing: Iterable[tuple[float, float]], wall_c: float | None, set_at: datetime) -> Loading:
    """When an anchor set at `set_at` in a wall of `wall_c` (−40…80 °C, None: not read) may first carry.

    `curing` are rows (°C, minutes) of its sheet in any order, minutes above 0 to 43 200. The row with the highest
    temperature that the wall reaches counts, so that between two rows it is the colder one; outside the table there is
    no time. Source: CURING_SOURCE. Assumes CURING_ASSUMPTIONS. Raises TradeError outside the ranges, for a temperature
    in two rows, for a table in which a warmer row takes longer, and for a time without its zone.
    """
    rows = curing_rows(curing)
    if set_at.tzinfo is None:
        message = f"time of setting is {set_at.isoformat()} without a time zone; allowed is a time with one"
        raise TradeError(message)
    if wall_c is not None:
        in_range("temperature of the wall", wall_c, COLDEST_WALL_C, HOTTEST_WALL_C, "°C")
    if not rows:
        return _no_time("the curing table of the resin's sheet is not given")
    coldest, warmest = rows[0][0], rows[-1][0]
    if wall_c is None:
        return _no_time("the temperature of the wall was not read")
    if not coldest <= wall_c <= warmest:
        return _no_time(f"the wall is at {wall_c:g} °C; the sheet's table covers {coldest:g} to {warmest:g} °C")
    row_c, minutes = [row for row in rows if row[0] <= wall_c][-1]
    try:
        at = set_at + timedelta(minutes=minutes)
    except OverflowError:
        message = f"time of setting is {set_at.isoformat()}; allowed is one whose end of curing the calendar has"
        raise TradeError(message) from None
    return Loading(at, minutes, row_c, None, CURING_ASSUMPTIONS, CURING_SOURCE)


def curing_rows(curing: Iterable[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """The rows (°C, minutes) of a curing table, the coldest first.

    Raises TradeError outside −40…80 °C and above 0 to 43 200 min, for a temperature in two rows, and where a warmer
    row takes longer, which is a slip.
    """
    rows = sorted(
        (
            in_range("curing table: temperature", row_c, COLDEST_WALL_C, HOTTEST_WALL_C, "°C"),
            in_range("curing table: time", minutes, 0, LONGEST_CURING_MIN, "min", above_low=True),
        )
        for row_c, minutes in curing
    )
    for (colder_c, longer), (warmer_c, shorter) in pairwise(rows):
        if colder_c == warmer_c:
            message = f"curing table: temperature is {colder_c:g} °C in two rows; allowed is each temperature once"
            raise TradeError(message)
        if shorter > longer:
            message = (
                f"curing table: time is {shorter:g} min at {warmer_c:g} °C; allowed is at most the {longer:g} min of "
                f"the colder row at {colder_c:g} °C"
            )
            raise TradeError(message)
    return tuple(rows)


def loading_verdict(loading: Loading | None, at: datetime) -> Verdict:
    """Whether an anchor may carry at a time: *met* from its earliest time on, or at once when nothing has to cure."""
    if loading is None:
        return MET
    if loading.at is None:
        return CANNOT_TELL
    return MET if at >= loading.at else NOT_MET


def setting_verdict(asked: Asked, as_set: AsSet) -> Setting:
    """Whether one anchor was set as asked: *met* only when everything was said and fits.

    Lengths above 0 to 200 mm (drill) and 2000 mm (embedment), other ranges as `earliest_loading`. What was not asked
    or not written down is *cannot tell*; a wall outside the sheet's table is *not met*. Source: SETTING_SOURCE. Assumes
    SETTING_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    for what, value, most in (
        ("drill asked for", asked.drill_mm, WIDEST_DRILL_MM),
        ("drill", as_set.drilled_mm, WIDEST_DRILL_MM),
        ("embedment asked for", asked.embedment_mm, DEEPEST_MM),
        ("embedment", as_set.embedment_mm, DEEPEST_MM),
    ):
        if value is not None:
            in_range(what, value, 0, most, "mm", above_low=True)
    findings = Findings()
    _product(findings, asked.product, as_set.product)
    _drill(findings, asked.drill_mm, as_set.drilled_mm)
    _embedment(findings, asked.embedment_mm, as_set.embedment_mm)
    if as_set.cleaned is None:
        findings.cannot_tell("whether the hole was cleaned as the product's sheet asks is not known")
    elif not as_set.cleaned:
        findings.not_met("the hole was not cleaned as the product's sheet asks")
    loading = earliest_loading(as_set.curing, as_set.wall_c, as_set.set_at) if as_set.cures is not False else None
    if as_set.cures is None:
        findings.cannot_tell("whether anything has to cure before the anchor may carry is not known")
    if loading is not None:
        _bonded(findings, as_set, loading)
    return Setting(findings.verdict, tuple(findings.reasons), loading, SETTING_ASSUMPTIONS, SETTING_SOURCE)


def tightening_verdict(
    asked_nm: float | None, torque_nm: float | None, *, marked: bool, locked: bool | None
) -> Tightening:
    """Whether nuts were turned up as asked: to the torque, a mark across nut and thread, the lock against lifting off.

    Torques above 0 to 2000 N m; None for what was not asked or not read, `locked` None for not known. *Met* within 5 %
    of the torque asked for (ours; torque wrenches read to ±4 %, ISO 6789, from memory). Raises TradeError outside the
    ranges.
    """
    findings = Findings()
    for what, value in (("torque asked for", asked_nm), ("torque", torque_nm)):
        if value is not None:
            in_range(what, value, 0, MOST_TORQUE_NM, "N m", above_low=True)
    if asked_nm is None:
        findings.cannot_tell("the torque asked for is not said; it stands in the anchor's approval document")
    if torque_nm is None:
        findings.cannot_tell("the torque was not read on a torque wrench")
    elif asked_nm is not None and abs(torque_nm - asked_nm) > TORQUE_OFF * asked_nm:
        findings.not_met(f"{asked_nm:g} N m was asked for; {torque_nm:g} N m was turned")
    if not marked:
        findings.not_met("the nuts were not marked across nut and thread")
    if locked is None:
        findings.cannot_tell("whether the piece is locked against lifting off is not known")
    elif not locked:
        findings.not_met("the piece is not locked against lifting off")
    return Tightening(findings.verdict, tuple(findings.reasons), TORQUE_ASSUMPTIONS, TORQUE_SOURCE)


def _bonded(findings: Findings, as_set: AsSet, loading: Loading) -> None:
    day = as_set.set_at.date()
    if as_set.expires_on is None:
        findings.cannot_tell("the date to which the resin may be used is not known")
    elif day > as_set.expires_on:
        findings.not_met(
            f"the resin was to be used by {as_set.expires_on.isoformat()}; it was set on {day.isoformat()}"
        )
    if loading.at is not None and as_set.loaded_at is not None and as_set.loaded_at < loading.at:
        early = math.ceil((loading.at - as_set.loaded_at) / timedelta(minutes=1))
        findings.not_met(f"it was pulled or turned up {early} min before it had cured")
    if loading.why_not is None:
        return
    if as_set.curing and as_set.wall_c is not None:
        findings.not_met(loading.why_not)
    else:
        findings.cannot_tell(loading.why_not)


def _product(findings: Findings, asked: str | None, was: str) -> None:
    if not _plain(asked or ""):
        findings.cannot_tell("which product was asked for is not said")
    elif not _plain(was):
        findings.cannot_tell("which product was set is not said")
    elif _plain(asked or "") != _plain(was):
        findings.not_met(f"“{asked}” was asked for; “{was}” was set")


def _drill(findings: Findings, asked: float | None, was: float | None) -> None:
    if asked is None:
        findings.cannot_tell("the drill's diameter asked for is not said")
    if was is None:
        findings.cannot_tell("the drill's diameter was not written down")
    elif asked is not None and abs(was - asked) > DRILL_OFF_MM:
        findings.not_met(f"a drill of {asked:g} mm was asked for; {was:g} mm was used")


def _embedment(findings: Findings, asked: float | None, was: float | None) -> None:
    if asked is None:
        findings.cannot_tell("the embedment asked for is not said")
    if was is None:
        findings.cannot_tell("the embedment was not measured")
    elif asked is not None and was < asked:
        findings.not_met(f"an embedment of at least {asked:g} mm was asked for; {was:g} mm was reached")


def _plain(words: str) -> str:
    """Words without what two people write differently: case and spaces."""
    return " ".join(words.split()).casefold()


def _no_time(why_not: str) -> Loading:
    return Loading(None, None, None, why_not, CURING_ASSUMPTIONS, CURING_SOURCE)
