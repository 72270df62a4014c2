"""Colour and sheen: the sample, readings, the client's answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.finishing.colour import patches, services
from siteapp.finishing.colour.forms import EYES, YES, AnswerForm, ReadingForm, SampleForm
from siteapp.finishing.services import sessions
from siteapp.finishing.zones import zone_names
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.trade.colour import ASSUMPTIONS, SCREEN, SOURCE, better_angle
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.colour.models import ColourReading, ColourSample
    from siteapp.finishing.colour.state import ColourNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("colour", __name__)
USUAL_DEG = 60
OF_SAMPLE = ("name", "made_of", "zones", "tolerance", "gloss_tolerance", "tolerance_from", "note", "dropped")


@room.get("/p/<number>/colour")
@access(FITTER)
def page(number: str) -> str:
    """The samples of a piece and where each stands; with `?correct=`, a form for one."""
    piece = piece_or_404(number)
    wanted = request.args.get("correct", "")
    if not wanted:
        return _page(piece, SampleForm())
    before = next(
        (one for one in services.colours(current.reading(), piece.piece_id) if one.version.entry.id == wanted), None
    )
    if before is None:
        abort(404)
    data = {name: getattr(before.sample, name) for name in OF_SAMPLE} | _figures(before.sample)
    form = SampleForm(data=data | {"photos": before.version.slot("sample")})
    form.corrects.data = wanted
    return _page(piece, form)


@room.post("/p/<number>/colour")
@access(FITTER)
def sample(number: str) -> Response:
    """Keep a sample."""
    piece = piece_or_404(number)
    form = SampleForm(typed())

    def write(session: Session, writer: Writer) -> str:
        facts = {name: form[name].data for name in OF_SAMPLE} | form.measured()
        sample_id = services.make_sample(
            session,
            writer,
            piece=piece,
            facts=cast("services.SampleFacts", facts),
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("colour.one", number=piece.number, sample_id=sample_id)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/colour/<uuid:sample_id>")
@access(FITTER)
def one(number: str, sample_id: object) -> str:
    """One sample, what was read against it, and a form for the next reading; `?correct=` puts one right."""
    piece, now = _now_or_404(number, sample_id)
    wanted = request.args.get("correct", "")
    before = next((told for told in now.readings if told.entry.id == wanted), None)
    if wanted and before is None:
        abort(404)
    if before is None:
        return _one(piece, now, ReadingForm(data=_next(piece, now)))
    said = before.said
    data = {name: getattr(said, name) for name in ("zone", "spot", "note")} | _figures(said)
    form = ReadingForm(data=data | {"photos": before.slot("colour")})
    form.corrects.data = wanted
    return _one(piece, now, form)


@room.post("/p/<number>/colour/<uuid:sample_id>")
@access(FITTER)
def read(number: str, sample_id: object) -> Response:
    """Keep a reading."""
    piece, now = _now_or_404(number, sample_id)
    form = ReadingForm(typed())

    def write(session: Session, writer: Writer) -> str:
        facts = {name: form[name].data for name in ("zone", "spot", "note")} | form.measured()
        services.read(
            session,
            writer,
            piece=piece,
            sample_id=now.sample.sample_id,
            facts=cast("services.ReadingFacts", facts),
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("colour.one", number=piece.number, sample_id=now.sample.sample_id)

    return save(form, write, lambda: _one(piece, now, form))


@room.get("/p/<number>/colour/<uuid:sample_id>/answer")
@access(FITTER)
def answer_form(number: str, sample_id: object) -> str:
    """Ask for the client's yes or no, with the figures in sight."""
    piece, now = _now_or_404(number, sample_id)
    return _answer_page(piece, now, AnswerForm())


@room.post("/p/<number>/colour/<uuid:sample_id>/answer")
@access(FITTER)
def answer(number: str, sample_id: object) -> Response:
    """Keep the client's answer."""
    piece, now = _now_or_404(number, sample_id)
    form = AnswerForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.answer(
            session,
            writer,
            piece=piece,
            sample_id=now.sample.sample_id,
            yes=form.yes.data == YES,
            client_name=form.client_name.data,
            client_words=form.client_words.data,
            light=form.light.data,
            photos=photo_uses(form),
        )
        return url_for("colour.one", number=piece.number, sample_id=now.sample.sample_id)

    return save(form, write, lambda: _answer_page(piece, now, form))


def _now_or_404(number: str, sample_id: object) -> tuple[PieceNow, ColourNow]:
    piece = piece_or_404(number)
    now = services.colour_now(current.reading(), piece.piece_id, str(sample_id))
    if now is None:
        abort(404)
    return piece, now


def _figures(said: ColourSample | ColourReading) -> dict[str, Any]:
    told = {name: getattr(said, name) for name in ("l", "a", "b", "gloss", *EYES)}
    return told | {"gloss_deg": str(said.gloss_deg) if said.gloss_deg else None}


def _next(piece: PieceNow, now: ColourNow) -> dict[str, Any]:
    """What the next reading begins with: zone and instruments of the last one, else of the sample."""
    last = max(now.readings, key=lambda one: one.entry.recorded_at, default=None)
    said = last.said if last else now.sample
    told: dict[str, Any] = {name: getattr(said, name) for name in EYES}
    told["gloss_deg"] = str(now.sample.gloss_deg) if now.sample.gloss_deg else None
    zones = zone_names(sessions(current.reading(), piece.piece_id))
    return told | {"zone": last.said.zone if last else (zones[0] if zones else None)}


def _page(piece: PieceNow, form: SampleForm) -> str:
    found = services.colours(current.reading(), piece.piece_id)
    return render_template(
        "finishing/colour/page.html",
        piece=piece,
        found=[(one, patches.drawn(patches.patches(one))) for one in found],
        form=form,
        asks=form.unsaved or bool(form.corrects.data) or not found,
    )


def _one(piece: PieceNow, now: ColourNow, form: ReadingForm) -> str:
    session = current.reading()
    form.zone.suggestions = zone_names(sessions(session, piece.piece_id))
    shown = patches.patches(now)
    entries = [now.version.entry, *(one.entry for one in (*now.readings, *now.answers))]
    return render_template(
        "finishing/colour/one.html",
        piece=piece,
        now=now,
        form=form,
        shown=shown,
        picture=patches.drawn(shown),
        people=names(session, [entry.by_id for entry in entries]),
        ASSUMPTIONS=ASSUMPTIONS,
        SOURCE=SOURCE,
        SCREEN=SCREEN,
        angle=_better_angle(now.sample),
    )


def _better_angle(said: ColourSample) -> int | None:
    """The angle at which the sample's sheen is read better than at the 60° it was read at; None where it is right."""
    if said.gloss is None or said.gloss_deg != USUAL_DEG or better_angle(said.gloss) == USUAL_DEG:
        return None
    return better_angle(said.gloss)


def _answer_page(piece: PieceNow, now: ColourNow, form: AnswerForm) -> str:
    return render_template("finishing/colour/answer.html", piece=piece, now=now, form=form)
