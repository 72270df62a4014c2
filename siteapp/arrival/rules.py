"""What an arrival must bring with what it says: photos, and answers about indicators.

Asked of the form, which names everything at once, and again on writing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.arrival.models import INDICATORS, NOT_FITTED
from siteapp.dispatch.looks import NEEDED, unknown_finding, unseen
from siteapp.pieces.slots import CRATE
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Collection

    from siteapp.arrival.models import Arrival
    from siteapp.dispatch.looks import Problems
    from siteapp.dispatch.models import Crate

INDICATOR_WORDS = (_l("not fitted"), _l("not tripped"), _l("tripped"), _l("cannot tell"))
SPOKEN = dict(zip(INDICATORS, INDICATOR_WORDS, strict=True))
LABELS = {"shock": _l("Shock indicator"), "tilt": _l("Tilt indicator")}


def recorded_as_fitted(crate: Crate | None) -> dict[str, str]:
    """The indicators that the crate's record says are fitted, `shock` or `tilt`, in its words."""
    if crate is None:
        return {}
    told = {"shock": crate.shock_indicator, "tilt": crate.tilt_indicator}
    return {which: words for which, words in told.items() if words}


def problems(
    *,
    found: str,
    shock: str | None,
    tilt: str | None,
    note: str | None,
    slots: Collection[str],
    crate: Crate | None,
) -> Problems:
    """Everything that keeps an arrival from being recorded as it is said: field and message, in order."""
    fitted = recorded_as_fitted(crate)
    said = {"shock": shock, "tilt": tilt}
    needed = NEEDED
    if fitted or any(answer not in (None, NOT_FITTED) for answer in said.values()):
        needed = (CRATE, *NEEDED)
    wrong = [*unknown_finding(found)]
    wrong += [("crate" if slot == CRATE else slot, message) for slot, message in unseen(found, slots, needed)]
    for which, answer in said.items():
        if answer is not None and answer not in INDICATORS:
            message = _("%(label)s: “%(read)s” is not an answer here.", label=LABELS[which], read=answer)
            wrong.append((which, message))
        elif answer == NOT_FITTED and which in fitted and not note:
            message = _(
                "%(label)s: the crate's record says that “%(fitted)s” is fitted. If it is not there, say in the note "
                "how that is.",
                label=LABELS[which],
                fitted=fitted[which],
            )
            wrong.append((which, message))
    return wrong


def read_together(before: Arrival, shock: str | None, tilt: str | None) -> Problems:
    """What a correction of an arrival on which both indicators were read together still has to say: each of them."""
    if before.indicators is None:
        return []
    return [
        (
            which,
            _(
                "%(label)s: the arrival that this corrects says “%(read)s” of shock and tilt together. Say it of each.",
                label=LABELS[which],
                read=SPOKEN[before.indicators],
            ),
        )
        for which, answer in (("shock", shock), ("tilt", tilt))
        if answer is None
    ]


def indicators_in_words(said: Arrival) -> str | None:
    """How the indicators were read, in one line: `shock: not tripped, tilt: not fitted`; None when nobody said."""
    if said.indicators is not None:
        return _("shock and tilt together: %(read)s", read=SPOKEN[said.indicators])
    told = ((_("shock"), said.shock), (_("tilt"), said.tilt))
    return ", ".join(f"{which}: {SPOKEN[read]}" for which, read in told if read is not None) or None
