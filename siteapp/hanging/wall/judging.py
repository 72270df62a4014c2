"""Whether the wall as found is the one that was asked for, and may be drilled. Missing words are *cannot tell*."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from siteapp.checks.calculations import WorkedOut
from siteapp.hanging.wall.models import (
    ASBESTOS_FOUND,
    BUILT_AFTER,
    NEAR,
    NO_CONSENT,
    NONE_NEAR,
    OTHER,
    SURVEYED_CLEAR,
    TRIAL_HOLE,
    WRITTEN,
)
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, NOT_MET
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.hanging.wall.models import WallFound

SOURCE: Final = _l(
    "Ours: it holds what was found against what the fixing template asks for; there is no formula in it. A trial hole "
    "is what shows a wall's material (BS 8539 practice, from memory). Asbestos, cables and consent follow the law of "
    "the place."
)
ASSUMPTIONS: Final = (
    _l("What was found at one place is so over the whole field of anchors."),
    _l("A detector shows what it is made to show: plastic pipes and dead cables may hide from it."),
    _l("What the wall can carry is not judged here: that is for whoever designs the anchors."),
)

# What the verdict rests on; the rest of a description is for whoever designs the anchors.
JUDGED: Final = (
    "material",
    "proved_by",
    "sound",
    "services_front",
    "services_back",
    "detector",
    "consent",
    "asbestos",
    "found_on",
)


def judge(said: WallFound | None, asked: str | None) -> WorkedOut:
    """Hold the wall as found against the material asked for (`models.MATERIALS`; None when nobody has said).

    *Met* only when the material is the one asked for and a trial hole proved it, the wall is sound, cables and pipes
    were looked for on both sides with something that is named and none is near, the owner's consent is there in
    writing and asbestos is cleared. What is plainly against it is *not met*; what is missing, only spoken or only
    looked at is *cannot tell*. Assumes ASSUMPTIONS; source: SOURCE.
    """
    findings = Findings()
    if said is None:
        findings.cannot_tell(_("Nobody has written down the wall as found."))
    else:
        _material(findings, said, asked)
        _sound(findings, said)
        _services(findings, said)
        _consent(findings, said)
        _asbestos(findings, said)
    inputs = {"asked": asked, **{name: getattr(said, name) for name in JUDGED if said}}
    return WorkedOut(findings.verdict, inputs, {"why": findings.reasons})


def judge_all(said: Sequence[WallFound], asked: str | None) -> WorkedOut:
    """Hold every description that stands against what is asked for; where two stand, the latest is told.

    Two stand where two machines described the wall apart. It is then never *met*: one that is plainly against it
    makes it *not met*.
    """
    if len(said) <= 1:
        return judge(said[0] if said else None, asked)
    each = [judge(one, asked) for one in said]
    verdict = NOT_MET if any(one.verdict == NOT_MET for one in each) else CANNOT_TELL
    two = _("Two machines described the wall apart, and nobody has chosen yet.")
    reasons = list(dict.fromkeys([two, *(why for one in each for why in one.outcome["why"])]))
    return WorkedOut(verdict, each[0].inputs, {"why": reasons})


def _material(findings: Findings, said: WallFound, asked: str | None) -> None:
    if asked is None:
        findings.cannot_tell(_("The fixing template does not say which wall is asked for."))
    if said.material is None:
        findings.cannot_tell(_("What the wall is made of is not known."))
    elif asked is not None and said.material != asked:
        found, wanted = SPOKEN[said.material], SPOKEN[asked]
        findings.not_met(_("The wall is %(found)s; %(asked)s is asked for.", found=found, asked=wanted))
    elif asked == OTHER:
        findings.cannot_tell(_("“Other” is asked for and found: a person has to say whether the two are the same."))
    if said.proved_by != TRIAL_HOLE:
        findings.cannot_tell(_("No trial hole has shown what the wall is made of."))


def _sound(findings: Findings, said: WallFound) -> None:
    if said.sound is None:
        findings.cannot_tell(_("Whether the wall is sound, dry and whole is not known."))
    elif not said.sound:
        findings.not_met(_("The wall is not sound."))


def _services(findings: Findings, said: WallFound) -> None:
    for found, near, unknown in (
        (
            said.services_front,
            _("A cable or pipe is near, on this side of the wall."),
            _("Cables and pipes were not looked for on this side of the wall."),
        ),
        (
            said.services_back,
            _("A cable or pipe is near, on the other side of the wall."),
            _("Cables and pipes were not looked for on the other side of the wall."),
        ),
    ):
        if found == NEAR:
            findings.not_met(near)
        elif found != NONE_NEAR:
            findings.cannot_tell(unknown)
    if said.detector is None:
        findings.cannot_tell(_("What cables and pipes were looked for with is not named."))


def _consent(findings: Findings, said: WallFound) -> None:
    if said.consent == NO_CONSENT:
        findings.not_met(_("The wall's owner has not agreed."))
    elif said.consent != WRITTEN:
        findings.cannot_tell(_("The owner's consent is not there in writing."))


def _asbestos(findings: Findings, said: WallFound) -> None:
    if said.asbestos == ASBESTOS_FOUND:
        findings.not_met(_("Asbestos was found: nobody drills here."))
    elif said.asbestos not in {SURVEYED_CLEAR, BUILT_AFTER}:
        findings.cannot_tell(_("Whether there is asbestos in the wall is not known."))
