"""What each hanging point carries: every case, any one lost, drawn; and a form for what that rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import Blueprint, render_template, url_for
from markupsafe import Markup

from siteapp.hanging.loads import drawing, judging, services
from siteapp.hanging.loads.forms import KIND_WORDS, LoadsForm, lines_of
from siteapp.hanging.loads.working import LoadsFound, shares_of, size_of
from siteapp.people.services import names
from siteapp.pieces.models import RAIL
from siteapp.pieces.views import piece_or_404
from siteapp.trade.loads.losing import SUDDEN
from siteapp.trade.loads.rail import RAIL_ASSUMPTIONS, RAIL_SOURCE
from siteapp.trade.loads.resistance import KIND_SOURCES
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, Access, access
from siteapp.web.fields import typed
from siteapp.web.saving import save

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.loads.services import LoadsNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("loads", __name__)


@room.get("/p/<number>/loads")
@access(FITTER)
def page(number: str) -> str:
    """What hangs on each point, and whether that is allowed."""
    return _page(piece_or_404(number), None)


@room.post("/p/<number>/loads")
@access(MAKER)
def record(number: str) -> Response:
    """Keep what the loads rest on, and work them out."""
    piece = piece_or_404(number)
    form = LoadsForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session,
            writer,
            piece=piece,
            facts=form.facts(),
            pads=form.places(),
            resistances=form.anchors(_labels(piece)),
            revises=form.revises.data,
        )
        return url_for("loads.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: LoadsForm | None) -> str:
    session = current.reading()
    now = services.loads_now(session, piece)
    stand = services.told(session, piece.piece_id)
    person = current.who()
    maker = person is not None and person.level >= Access.MAKER
    form = form or (_filled(piece, now) if maker and piece.hanging_points else None)
    wrote = [entry for one in stand for entry in (one.entry, *one.replaced)]
    return render_template(
        "hanging/loads/page.html",
        piece=piece,
        now=now,
        worked=now.worked if now else services.work_out(session, piece),
        stand=stand,
        form=form,
        people=names(session, [entry.by_id for entry in wrote]),
        plan=Markup(drawing.drawn(piece, now)) if now else None,  # noqa: S704 - drawn by our own code, escaped there
        rows=_rows(now),
        KIND_WORDS=KIND_WORDS,
        case_words=judging.case_words,
        **_rests_on(piece, now),
    )


def _rows(now: LoadsNow | None) -> Sequence[dict[str, Any]]:
    """Each point with its largest load, and the case or loss in which its answer is worst."""
    if now is None or now.found is None:
        return ()
    allowed = {one.label: one for one in now.known.resistances}
    rows = []
    for label, demand in now.by_label.items():
        case, share = shares_of(now.found, label)[0]
        rows.append(
            {
                "label": label,
                "demand": demand,
                "case": case,
                "share": share,
                "size": size_of(share),
                "by": allowed.get(label),
            }
        )
    return rows


def _rests_on(piece: PieceNow, now: LoadsNow | None) -> dict[str, Any]:
    rails = any(point.holds == RAIL for point in piece.hanging_points)
    kinds = dict.fromkeys(judging.KINDS[one.kind][0] for one in now.known.resistances) if now else {}
    sources = [LoadsFound.source, *(KIND_SOURCES[kind] for kind in kinds)]
    sources += [RAIL_SOURCE] if rails else []
    return {
        "assumptions": LoadsFound.assumptions + (RAIL_ASSUMPTIONS if rails else ()),
        "source": ". ".join(sources),
    }


def _filled(piece: PieceNow, now: LoadsNow | None) -> LoadsForm:
    """The form as it stands told; else with the corners of the outline as the places where the piece bears."""
    labels = _labels(piece)
    if now is None:
        bears = judging.corners(piece) if piece.particulars.width_mm and piece.particulars.height_mm else ()
        pads = [{"x_mm": x_mm, "y_mm": y_mm} for x_mm, y_mm in bears]
        return LoadsForm(data={"sudden": SUDDEN, "pads": pads, "resistances": lines_of((), labels)})
    said = now.version.said
    data: dict[str, Any] = {name: getattr(said, name) for name in services.SheetFacts.__annotations__}
    data["pads"] = [{"x_mm": pad.x_mm, "y_mm": pad.y_mm} for pad in now.known.pads]
    data["resistances"] = lines_of(now.known.resistances, labels)
    form = LoadsForm(data=data)
    form.revises.data = now.version.entry.id
    return form


def _labels(piece: PieceNow) -> list[str]:
    return [point.label for point in piece.hanging_points]
