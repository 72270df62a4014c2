"""The zones of a piece's surface, marked on its photos: recorded and read. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypedDict

from sqlalchemy import select

from siteapp.finishing.models import SurfaceZone, ZoneMap
from siteapp.finishing.names import plain
from siteapp.marks.services import marks_of
from siteapp.marks.services import rows as mark_rows
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.trade.errors import TradeError
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.marks.models import PhotoMark
    from siteapp.marks.services import Mark
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

ZONES = "zones"
MOST_ZONES = 20


class ZoneFacts(TypedDict):
    """One zone: area in m², coats, dry film of all of them in µm; None is not said."""

    name: str
    area_m2: float | None
    coats: int | None
    target_um: float | None
    target_most_um: float | None
    note: str | None


@dataclass(frozen=True)
class ZonesNow:
    """The map as it stands: zones in their order, spots numbered as they are."""

    version: Version[ZoneMap]
    zones: tuple[SurfaceZone, ...]
    marks: tuple[PhotoMark, ...]

    def zone(self, name: str) -> SurfaceZone | None:
        """The zone of this name, however it is written."""
        return next((one for one in self.zones if plain(one.name) == plain(name)), None)


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    zones: Sequence[ZoneFacts],
    note: str | None = None,
    photos: Sequence[PhotoUse] = (),
    marks: Sequence[Mark] = (),
    revises: str | None = None,
) -> str:
    """Keep the zones of a piece; returns the entry's id. The marks are their spots, in their order.

    Raises FieldProblem for two zones of one name and for more spots than zones, TradeError for a most below its least,
    Superseded when another map stands, StoreError when `revises` is none of this piece's.
    """
    names = [plain(zone["name"]) for zone in zones]
    if not 1 <= len(names) <= MOST_ZONES:
        raise FieldProblem("zones", _("Zones: give 1 to %(most)s.", most=MOST_ZONES))
    if len(set(names)) < len(names):
        raise FieldProblem("zones", _("Zones: two have the same name. Give each its own."))
    if len(marks) > len(zones):
        raise FieldProblem("marks", _("Marks: there are more spots on the photos than zones. Take one out."))
    for zone in zones:
        least, most = zone["target_um"], zone["target_most_um"]
        if least is not None and most is not None and most < least:
            message = f"most dry film is {most:g} µm; allowed is at least {least:g} µm"
            raise TradeError(message)
    words = _("What this revises are no zones of this piece. Open the page again.")
    rows = [SurfaceZone(position=place, **zone) for place, zone in enumerate(zones)]
    bodies = [ZoneMap(note=note), *rows, *mark_rows(marks, among={photo.sha256 for photo in photos})]
    return take_place(session, writer, piece, "zone_map", bodies, revises=revises, not_of_it=words, photos=photos)


def zones_now(session: Session, piece_id: str) -> ZonesNow | None:
    """The map as it stands; None where none was made."""
    stand = versions(session, ZoneMap, piece_id=piece_id)
    if not stand:
        return None
    query = select(SurfaceZone).where(SurfaceZone.entry_id == stand[0].entry.id).order_by(SurfaceZone.position)
    marks = marks_of(session, [stand[0].entry.id])[stand[0].entry.id]
    return ZonesNow(stand[0], tuple(session.scalars(query)), marks)
