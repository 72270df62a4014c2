"""The zones of a piece on its photos: the page and its form."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import render_template, url_for
from wtforms import Form

from siteapp.finishing import zone_map as services
from siteapp.finishing.forms import LONGEST_ZONE, MOST_COATS, THICKEST_UM
from siteapp.finishing.room import room
from siteapp.finishing.services import sessions
from siteapp.finishing.sheet import refuse_crossed
from siteapp.finishing.zones import zone_names
from siteapp.marks.forms import mark_rows, marks_field, read_marks
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import Figure, Lines, Photos, RoomForm, Whole, Words, typed
from siteapp.web.i18n import _l
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


class ZoneRow(Form):
    """One zone."""

    name = Words(_l("Zone"), required=True, longest=LONGEST_ZONE)
    area_m2 = Figure(_l("Area"), unit="m²", low=0.001, high=1000)
    coats = Whole(_l("Coats"), low=1, high=MOST_COATS)
    target_um = Figure(_l("Dry film of all coats, at least"), unit="µm", low=1, high=THICKEST_UM)
    target_most_um = Figure(_l("at most"), unit="µm", low=1, high=THICKEST_UM)
    note = Words(_l("Note"), longest=500)

    def validate_target_most_um(self, field: Figure) -> None:
        """A most below the least would be met by nothing."""
        refuse_crossed(self.target_um, field)


class ZonesForm(RoomForm):
    """The zones of a piece."""

    kind = "zone_map"

    photos = Photos(_l("Photos of the surface"), slot=services.ZONES)
    zones = Lines(ZoneRow, _l("Zones"), spare=1, most=services.MOST_ZONES, least=1)
    marks = marks_field()
    note = Words(_l("Note"), rows=2, longest=1000)


@room.get("/p/<number>/finishing/zones")
@access(FITTER)
def zones_page(number: str) -> str:
    """The zones as they stand, and a form for them."""
    piece = piece_or_404(number)
    return _page(piece, _filled(piece))


@room.post("/p/<number>/finishing/zones")
@access(FITTER)
def record_zones(number: str) -> Response:
    """Keep the zones."""
    piece = piece_or_404(number)
    form = ZonesForm(typed())

    def write(session: Session, writer: Writer) -> str:
        photos = photo_uses(form)
        services.record(
            session,
            writer,
            piece=piece,
            zones=cast("list[services.ZoneFacts]", form.zones.rows()),
            note=form.note.data,
            photos=photos,
            marks=read_marks(form, [photo.sha256 for photo in photos]),
            revises=form.revises.data,
        )
        return url_for("finishing.zones_page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _filled(piece: PieceNow) -> ZonesForm:
    session = current.reading()
    now = services.zones_now(session, piece.piece_id)
    if now is None:
        names = zone_names(sessions(session, piece.piece_id))
        return ZonesForm(data={"zones": [{"name": name} for name in names]})
    rows = [{name: getattr(row, name) for name in services.ZoneFacts.__annotations__} for row in now.zones]
    hashes = now.version.slot(services.ZONES)
    data = {"zones": rows, "photos": hashes, "marks": mark_rows(now.marks, hashes), "note": now.version.said.note}
    return ZonesForm(data=data | {"revises": now.version.entry.id})


def _page(piece: PieceNow, form: ZonesForm) -> str:
    now = services.zones_now(current.reading(), piece.piece_id)
    return render_template("finishing/zones.html", piece=piece, now=now, form=form, asks=form.unsaved or now is None)
