"""The zones of a finishing session: each with its coats in order and its photos before and after."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.finishing.names import plain, same
from siteapp.finishing.state import waits

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.finishing.models import Coat
    from siteapp.finishing.state import SessionState, Told, Wait
    from siteapp.store.models import EntryPhoto

BEFORE = "before"


@dataclass(frozen=True)
class Zone:
    """One zone within a session. Photos lie beside each other: `before` and `after`."""

    name: str
    coats: tuple[Told[Coat], ...]
    before: tuple[EntryPhoto, ...]
    after: tuple[EntryPhoto, ...]
    wait: Wait | None


def zones(state: SessionState) -> tuple[Zone, ...]:
    """The zone that the session began with, then those of its coats as they came.

    A photo of the beginning or the end belongs to the zone that its caption names, else to the first one.
    """
    names = zone_names([state])
    waiting = {plain(wait.zone): wait for wait in waits(state)}
    ended = state.close.photos if state.close else ()
    found: list[Zone] = []
    for name in names:
        coats = [one for one in state.coats if same(one.said.zone, name)]
        before = [photo for photo in state.begun.photos if _zone_of(photo, names) == name]
        before += [photo for one in coats for photo in one.photos if photo.slot == BEFORE]
        found.append(
            Zone(
                name=name,
                coats=tuple(sorted(coats, key=lambda one: (one.said.number, one.at))),
                before=tuple(before),
                after=tuple(photo for photo in ended if _zone_of(photo, names) == name),
                wait=waiting.get(plain(name)),
            )
        )
    return tuple(found)


def zone_names(states: Iterable[SessionState]) -> list[str]:
    """Every zone of some sessions, each once, as it was written first."""
    names: dict[str, str] = {}
    for state in states:
        for name in (state.begun.said.zone, *(one.said.zone for one in state.coats)):
            names.setdefault(plain(name), name)
    return list(names.values())


def _zone_of(photo: EntryPhoto, names: list[str]) -> str:
    return next((name for name in names if same(name, photo.caption or "")), names[0])
