"""Whether all anchors were set as asked, and whether enough of them were pulled: from what is recorded now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from siteapp.checks.calculations import WorkedOut
from siteapp.hanging.anchors.state import Proved, anchors_of, plain, prove, recorded
from siteapp.pieces.models import RAIL
from siteapp.trade import anchors as trade
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.dates import instant_words
from siteapp.web.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.hanging.anchors.state import AnchorNow, Recorded
    from siteapp.pieces.services import PieceNow

# A rail on one anchor turns about it. Ours.
LEAST_ON_A_RAIL = 2


@dataclass(frozen=True)
class Area:
    """Anchors of one product: what is to be tested of them and what came of it. `counted` are tests that count."""

    product: str
    anchors: int
    counted: int
    plan: trade.ProofPlan


@dataclass(frozen=True)
class Judged:
    """Everything that a page shows of a piece's anchors, worked out now."""

    told: Recorded
    anchors: tuple[AnchorNow, ...]
    set: WorkedOut
    areas: tuple[Area, ...]
    proved: WorkedOut
    tightening: trade.Tightening | None  # None: nothing was turned up yet
    untightened: tuple[str, ...]  # labels of anchors whose nuts were not turned up
    loose: tuple[Proved, ...]  # tests of what is no anchor of the piece


def judged(session: Session, piece: PieceNow) -> Judged:
    """A piece's anchors and what they come to."""
    told = recorded(session, piece)
    anchors = anchors_of(told, [point.label for point in piece.hanging_points])
    rails = [point.label for point in piece.hanging_points if point.holds == RAIL]
    areas = _areas(anchors)
    shown = {one.version.entry.id for anchor in anchors for one in anchor.proofs}
    return Judged(
        told=told,
        anchors=anchors,
        set=_set(told, anchors, rails),
        areas=areas,
        proved=_proved(told, anchors, areas),
        tightening=tightening(told),
        untightened=tuple(one.label for one in anchors if one.tightened is None),
        loose=tuple(
            Proved(one, prove(told, one.said), of_this_anchor=False) for one in told.proofs if one.entry.id not in shown
        ),
    )


def set_out(session: Session, piece: PieceNow) -> WorkedOut:
    """Whether every hanging point has its anchors and each was set as the fixing template asks."""
    return judged(session, piece).set


def proved_out(session: Session, piece: PieceNow) -> WorkedOut:
    """Whether as many anchors were pulled as BS 8539 practice asks, and all of them held."""
    return judged(session, piece).proved


def tightening(told: Recorded) -> trade.Tightening | None:
    """What the latest turning up of nuts came to, held against the template's torque; None when there was none."""
    if not told.tightened:
        return None
    said = max(told.tightened, key=lambda one: one.at).said
    asked = told.asked.said.torque_nm if told.asked else None
    return trade.tightening_verdict(asked, said.torque_nm, marked=said.marked, locked=said.locked)


def _set(told: Recorded, anchors: Sequence[AnchorNow], rails: Sequence[str]) -> WorkedOut:
    findings = _begun(told)
    if not anchors:
        findings.cannot_tell(_("The particulars name no hanging point, and no anchor is recorded."))
    for one in anchors:
        _one_set(findings, one)
    for rail in rails:
        count = sum(1 for one in anchors if one.point == rail and one.set)
        if 0 < count < LEAST_ON_A_RAIL:
            findings.cannot_tell(
                _("%(label)s is held by a rail, and only one of the rail's anchors is recorded.", label=rail)
            )
    made = [one for one in anchors if one.set]
    return WorkedOut(
        findings.verdict,
        _asked(told) | {"anchors": len(anchors)},
        {"set": len(made), "as_asked": sum(1 for one in made if one.judged and one.judged.verdict == MET)}
        | {"nothing_before": _nothing_before(made), "why": findings.reasons, "source": _source(made)},
    )


def _nothing_before(made: Sequence[AnchorNow]) -> str | None:
    """When the last of them may carry, in words; None when nothing has to cure, or that of one is not known."""
    loading = [one.judged.loading for one in made if one.judged and one.judged.loading]
    known = [load.at for load in loading if load.at]
    return instant_words(max(known)) if known and len(known) == len(loading) else None


def _source(made: Sequence[AnchorNow]) -> str | None:
    """Where the rule is from; None while there is nothing to judge."""
    return next((one.judged.source for one in made if one.judged), None)


def _begun(told: Recorded) -> Findings:
    findings = Findings()
    if told.asked is None:
        findings.cannot_tell(_("No fixing template says what was asked for."))
    elif told.asked_twice:
        findings.cannot_tell(_("Two machines set a fixing template apart, and nobody has chosen yet."))
    return findings


def _one_set(findings: Findings, one: AnchorNow) -> None:
    if one.judged is None:
        findings.cannot_tell(_("%(label)s: no anchor is recorded.", label=one.label))
        return
    for reason in one.judged.reasons:
        words = _("%(label)s: %(reason)s", label=one.label, reason=reason)
        (findings.not_met if one.judged.verdict == NOT_MET else findings.cannot_tell)(words)
    if one.others:
        findings.cannot_tell(
            _("%(label)s is recorded more than once. Correct one of them: give it its own label.", label=one.label)
        )


def _areas(anchors: Sequence[AnchorNow]) -> tuple[Area, ...]:
    """Anchors by product: each product is an area of its own. Those not set yet belong to none."""
    by_product: dict[str, list[AnchorNow]] = {}
    for one in anchors:
        if one.set:
            by_product.setdefault(plain(one.set.said.product), []).append(one)
    return tuple(_area(made) for made in by_product.values())


def _area(made: Sequence[AnchorNow]) -> Area:
    failures = tested = 0
    for one in made:
        mine = {each.found.verdict for each in one.proofs if each.counts and each.of_this_anchor} - {CANNOT_TELL}
        # One that was there before and failed is a reason to look at the others.
        before = [each for each in one.proofs if each.counts and not each.of_this_anchor]
        gone = sum(1 for each in before if each.found.verdict == NOT_MET)
        failures += (NOT_MET in mine) + gone
        tested += bool(mine) + gone
    failures, tested = min(len(made), failures), min(len(made), tested)
    plan = trade.proof_tests(len(made), failures=failures, tested=tested)
    words = made[0].set.said.product if made[0].set else ""
    return Area(words, len(made), tested, plan)


def _proved(told: Recorded, anchors: Sequence[AnchorNow], areas: Sequence[Area]) -> WorkedOut:
    findings = _begun(told)
    if not anchors:
        findings.cannot_tell(_("The particulars name no hanging point, and no anchor is recorded."))
    bare = [one.label for one in anchors if one.set is None]
    if bare:
        findings.cannot_tell(_("No anchor is recorded at %(labels)s.", labels=", ".join(bare)))
    for one in anchors:
        _one_proved(findings, one)
    for area in areas:
        _area_proved(findings, area)
    return WorkedOut(
        findings.verdict,
        _asked(told) | {"anchors": len(anchors), "asked_kn": told.asked.said.proof_kn if told.asked else None},
        {
            "to_test": sum(area.plan.count for area in areas),
            "tested": sum(area.counted for area in areas),
            "lowest_kn": _lowest_kn(anchors),
            "why": findings.reasons,
            "shows": trade.SHOWS,
            "source": trade.PROOF_SOURCE,
        },
    )


def _one_proved(findings: Findings, one: AnchorNow) -> None:
    for proved in one.proofs:
        if not proved.counts or not proved.found.reasons:
            continue
        # What nobody can tell about an older test is of no account once a later one held.
        if proved.found.verdict == CANNOT_TELL and one.proof is not proved:
            continue
        for reason in proved.found.reasons:
            words = _("%(label)s: %(reason)s", label=one.label, reason=reason)
            (findings.not_met if proved.found.verdict == NOT_MET else findings.cannot_tell)(words)


def _area_proved(findings: Findings, area: Area) -> None:
    plan = area.plan
    if plan.next_step == trade.INVESTIGATE:
        findings.not_met(
            _(
                "One anchor of %(product)s failed: look for the reason, and pull %(count)s of them in all.",
                product=area.product,
                count=plan.count,
            )
        )
    elif plan.next_step == trade.TEST_ALL:
        findings.not_met(
            _(
                "More than one anchor of %(product)s failed: pull every one, and ask whoever designed them.",
                product=area.product,
            )
        )
    elif plan.left:
        findings.cannot_tell(
            ngettext(
                "%(num)s anchor of %(product)s is still to be pulled.",
                "%(num)s anchors of %(product)s are still to be pulled.",
                plan.left,
                product=area.product,
            )
        )


def _lowest_kn(anchors: Sequence[AnchorNow]) -> float | None:
    """The lowest load that any of the anchors held, of those whose test is met."""
    held = [one.proof.version.said.load_kn for one in anchors if one.proof and one.proof.found.verdict == MET]
    return min(held, default=None)


def _asked(told: Recorded) -> dict[str, Any]:
    said = told.asked.said if told.asked else None
    return {
        "product": said.anchor if said else None,
        "drill_mm": said.drill_mm if said else None,
        "embedment_mm": said.embedment_mm if said else None,
    }
