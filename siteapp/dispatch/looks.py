"""What a look at a piece may come to, and the photos without which nobody can say that nothing was found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.dispatch.models import FINDINGS, NOTHING_FOUND
from siteapp.pieces.slots import BACK, CRATE, EDGES, FRONT
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Collection

FINDING_WORDS = (_l("nothing found"), _l("something found"), _l("not looked at yet"))
SPOKEN = dict(zip(FINDINGS, FINDING_WORDS, strict=True))
NEEDED = (FRONT, BACK, EDGES)
MISSING = {
    FRONT: _l("Front: nothing found needs a photo of it. Without one, choose not looked at yet."),
    BACK: _l("Back: nothing found needs a photo of it. Without one, choose not looked at yet."),
    EDGES: _l("Edges: nothing found needs a photo of them. Without one, choose not looked at yet."),
    CRATE: _l(
        "Crate and indicators: where indicators are fitted, nothing found needs a photo of them. Without one, choose "
        "not looked at yet."
    ),
}

Problems = list[tuple[str, str]]  # slot or field, message


def unknown_finding(found: str) -> Problems:
    """What is wrong with an answer to what was found: that it is not offered."""
    if found in FINDINGS:
        return []
    return [("found", _("What was found: “%(found)s” is not an answer here.", found=found))]


def unseen(found: str, slots: Collection[str], needed: Collection[str] = NEEDED) -> Problems:
    """The photos that *nothing found* lacks, slot by slot; nothing for the other answers."""
    if found != NOTHING_FOUND:
        return []
    return [(slot, str(MISSING[slot])) for slot in needed if slot not in slots]
