"""How marks are said: where they are on a photo, and what a marked photo shows to who cannot see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.marks.kinds import WORDS
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.marks.models import PhotoMark

PLACES = (
    (_l("upper left"), _l("upper middle"), _l("upper right")),
    (_l("middle left"), _l("middle"), _l("middle right")),
    (_l("lower left"), _l("lower middle"), _l("lower right")),
)


def where(x: float, y: float) -> str:
    """The ninth of a photo in which a spot lies, as one sees it; `x` and `y` are fractions from its upper left."""
    return str(PLACES[_third(y)][_third(x)])


def kind(value: str | None) -> str:
    """A kind of damage in words; what is not known is said as it was recorded."""
    return str(WORDS.get(value, value)) if value else ""


def alt(caption: str, marks: Iterable[PhotoMark]) -> str:
    """What a photo with numbered spots shows: `Front. Marks: 1 chip, upper left; 2 crack, middle`."""
    said = "; ".join(f"{one.number} {kind(one.kind) or _('mark')}, {where(one.x, one.y)}" for one in marks)
    return ". ".join(part for part in (caption, _("Marks: %(said)s", said=said) if said else "") if part)


def _third(share: float) -> int:
    return min(2, int(share * 3))
