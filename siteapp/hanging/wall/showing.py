"""The wall as found, told on a page: what was looked at, and what nobody looked at."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from siteapp.hanging.wall.wording import SPOKEN
from siteapp.web import dates
from siteapp.web.figures import in_other_unit, written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.hanging.wall.models import WallFound

    Told = list[tuple[str, str | None]]

PLACES = 1


def told(said: WallFound) -> list[tuple[str, Told]]:
    """What a description says, group by group: label and words, None for what was not looked at."""
    return [
        (
            _("What it is made of"),
            [
                (_("Wall"), _both(spoken(said.material), said.material_words)),
                (_("Known from"), spoken(said.proved_by)),
                (_("Sound"), None if said.sound is None else _("yes") if said.sound else _("no")),
                (_("Thickness of what carries"), length(said.thickness_mm)),
                (_("From its face to the sound wall"), length(said.gap_mm)),
            ],
        ),
        (
            _("Cables and pipes"),
            [
                (_("This side"), spoken(said.services_front)),
                (_("The other side"), spoken(said.services_back)),
                (_("Looked for with"), said.detector),
                (_("What was found, and where"), said.services_words),
            ],
        ),
        (
            _("Consent and asbestos"),
            [
                (_("The owner's consent"), _both(spoken(said.consent), said.consent_by)),
                (_("Asbestos"), _both(spoken(said.asbestos), said.asbestos_words)),
            ],
        ),
        (
            _("What is in it, how it stands"),
            [
                (_("Studs or battens"), said.studs),
                (_("Lintels and beams"), said.lintels),
                (_("Flue or chimney"), said.flue),
                (_("Bow over the piece"), _signed(said.bow_mm, "mm")),
                (_("Out of plumb"), _signed(said.plumb_mm_m, "mm/m")),
            ],
        ),
    ]


def spoken(answer: str | None) -> str | None:
    """An answer in words; None for one that was not given."""
    return None if answer is None else str(SPOKEN[answer])


def day_words(day: str) -> str:
    """A kept day (ISO 8601) as people write it."""
    return dates.day_words(date.fromisoformat(day))


def length(value: float | None) -> str | None:
    """A length in mm, with inches beside it."""
    if value is None:
        return None
    also = in_other_unit(value, "mm")
    told_mm = f"{written(value, PLACES)} mm"
    return f"{told_mm} ({also})" if also else told_mm


def _signed(value: float | None, unit: str) -> str | None:
    if value is None:
        return None
    return f"{'+' if value > 0 else ''}{written(value, PLACES)} {unit}"


def _both(answer: str | None, more: str | None) -> str | None:
    return ", ".join(part for part in (answer, more) if part) or None
