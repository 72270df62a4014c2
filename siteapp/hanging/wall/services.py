"""The wall as found: recorded, read, held against what is asked for. The only code that writes its rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import services as checks
from siteapp.checks.lists import FORM_BACK, LOADS, STRENGTH, WALL
from siteapp.hanging.wall import models
from siteapp.hanging.wall.judging import judge, judge_all
from siteapp.hanging.wall.models import WallFound
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = ["SLOTS", "WallFacts", "judge", "judge_all", "record", "wall_now", "walls"]

WALL_SLOT, TRIAL_SLOT = "wall", "trial hole"
SLOTS = (WALL_SLOT, TRIAL_SLOT)
ANSWERS = {
    "material": models.MATERIALS,
    "proved_by": models.PROVED,
    "services_front": models.SERVICES,
    "services_back": models.SERVICES,
    "consent": models.CONSENT,
    "asbestos": models.ASBESTOS,
}


class WallFacts(TypedDict):
    """The wall as typed: lengths in mm, out of plumb in mm a metre, the day as ISO 8601; None for not looked at."""

    material: str | None
    material_words: str | None
    proved_by: str | None
    thickness_mm: float | None
    sound: bool | None
    gap_mm: float | None
    studs: str | None
    lintels: str | None
    flue: str | None
    bow_mm: float | None
    plumb_mm_m: float | None
    services_front: str | None
    services_back: str | None
    services_words: str | None
    detector: str | None
    consent: str | None
    consent_by: str | None
    asbestos: str | None
    asbestos_words: str | None
    found_by: str
    found_on: str
    from_form: bool | None
    note: str | None


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: WallFacts,
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record the wall as found, its photos in `SLOTS`; returns the entry's id.

    `revises` is the description it takes the place of; where two machines described the wall apart, revising one takes
    the place of both. The checks that rest on it are worked out again. Raises FieldProblem for an answer that is not
    offered, Superseded when another description stands, StoreError when `revises` is none of this piece's.
    """
    for field, allowed in ANSWERS.items():
        said = facts[field]  # type: ignore[literal-required]
        if said is not None and said not in allowed:
            raise FieldProblem(field, _("“%(said)s” is not an answer here.", said=said))
    not_of_it = _("What this revises is no wall of this piece. Open the page again.")
    entry_id = take_place(
        session, writer, piece, "wall_found", [WallFound(**facts)], revises=revises, not_of_it=not_of_it, photos=photos
    )
    for calculation in (WALL, LOADS, STRENGTH, FORM_BACK):
        checks.refresh(session, writer, piece=piece, calculation=calculation)
    return entry_id


def walls(session: Session, piece_id: str) -> list[Version[WallFound]]:
    """Every description of the wall that stands, the latest first: more than one where two machines described it."""
    return versions(session, WallFound, piece_id=piece_id)


def wall_now(session: Session, piece_id: str) -> Version[WallFound] | None:
    """The wall as it was described last, with its photos and earlier versions; None when nobody has."""
    stand = walls(session, piece_id)
    return stand[0] if stand else None
