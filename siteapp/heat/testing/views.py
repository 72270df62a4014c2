"""The heat test: begun, read with one hand, its curve as it grows, what happened, its end."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, cast

from flask import abort, render_template, request, url_for

from siteapp.heat import wording
from siteapp.heat.appliance.models import BY_HAND
from siteapp.heat.appliance.services import appliance_now
from siteapp.heat.evidence.services import limits_now
from siteapp.heat.testing import drawn, log_views, services
from siteapp.heat.testing.forms import (
    NO,
    USUAL,
    USUAL_ERROR_C,
    YES,
    BeginForm,
    EndForm,
    EventForm,
    readings_form_of,
)
from siteapp.heat.testing.room import room
from siteapp.heat.testing.state import (
    ANSWERS_FOR,
    entries_of,
    fire_state,
    heat_test_now,
    heat_tests,
    judged,
    since,
)
from siteapp.marks.forms import mark_rows, read_marks
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import now
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem, photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.heat.testing.forms import ReadingsForm
    from siteapp.heat.testing.state import HeatTestNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

__all__ = ["log_views", "room"]  # their views are part of this room's pages

FLAGS = {YES: True, NO: False}
SPOTS = (("P1", "face"), ("P2", "back"), ("P3", "bond"), ("P4", "anchor"))


@room.get("/p/<number>/heat/test")
@access(FITTER)
def page(number: str) -> str:
    """The heat tests of a piece, and the form that begins one; with `?correct=`, that puts a beginning right."""
    piece = piece_or_404(number)
    wanted = request.args.get("correct", "")
    if not wanted:
        return _page(piece, BeginForm(data=_offer(piece)))
    test = next((one for one in heat_tests(current.reading(), piece.piece_id) if one.begun.entry.id == wanted), None)
    if test is None:
        abort(404)
    return _page(piece, _begun(test))


@room.post("/p/<number>/heat/test")
@access(FITTER)
def begin(number: str) -> Response:
    """Begin a heat test."""
    piece = piece_or_404(number)
    form = BeginForm(typed())

    def write(session: Session, writer: Writer) -> str:
        said: dict[str, Any] = {name: form[name].data for name in services.HeatTestFacts.__annotations__}
        said |= {"lit_at": form.lit_at.plain(), "by_hand": FLAGS.get(form.by_hand.data or "")}
        photos = photo_uses(form)
        corrects = [form.corrects.data] if form.corrects.data else []
        entry_id = services.begin(
            session,
            writer,
            piece=piece,
            facts=cast("services.HeatTestFacts", said),
            probes=cast("list[services.ProbeFacts]", form.probes.rows()),
            photos=photos,
            marks=read_marks(form, [photo.sha256 for photo in photos]),
            corrects=corrects,
        )
        tests = heat_tests(session, piece.piece_id)
        test_id = next(one.test_id for one in tests if one.begun.entry.id == entry_id)
        return url_for("heat_test.one", number=piece.number, test_id=test_id)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/heat/test/<uuid:test_id>")
@access(FITTER)
def one(number: str, test_id: object) -> str:
    """One heat test as it stands; `?correct=` brings what was recorded wrong, readings or an event, into its form."""
    piece, test = _test_or_404(number, test_id)
    labels = [probe.label for probe in test.probes]
    wanted = request.args.get("correct", "")
    taken = next((told for told in test.taken if told.version.entry.id == wanted), None)
    event = next((told for told in test.events if told.entry.id == wanted), None)
    if event is not None:
        said = event.said
        data: dict[str, Any] = {name: getattr(said, name) for name in ("what", "minutes", "probe", "note")}
        return _one(piece, test, readings_form_of(labels), _event_form(labels, data=data | {"corrects": wanted}))
    if wanted and taken is None:
        abort(404)
    if taken is None:
        return _one(piece, test, readings_form_of(labels), _event_form(labels))
    by_probe = {row.probe: row.surface_c for row in taken.rows}
    data = {f"probe_{place}": by_probe.get(label) for place, label in enumerate(labels)}
    data |= {"minutes": taken.rows[0].minutes if taken.rows else None, "note": taken.version.said.note}
    form = readings_form_of(labels, data=data)
    form.corrects.data = wanted
    return _one(piece, test, form, _event_form(labels))


@room.post("/p/<number>/heat/test/<uuid:test_id>")
@access(FITTER)
def read(number: str, test_id: object) -> Response:
    """Keep what the probes read."""
    piece, test = _test_or_404(number, test_id)
    labels = [probe.label for probe in test.probes]
    form = readings_form_of(labels, typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_readings(
            session,
            writer,
            piece=piece,
            test_id=test.test_id,
            minutes=_minutes(form.minutes.data, test, writer),
            celsius=form.celsius(labels),
            note=form.note.data,
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("heat_test.one", number=piece.number, test_id=test.test_id)

    return save(form, write, lambda: _one(piece, test, form, _event_form(labels)))


@room.post("/p/<number>/heat/test/<uuid:test_id>/event")
@access(FITTER)
def happened(number: str, test_id: object) -> Response:
    """Keep what happened."""
    piece, test = _test_or_404(number, test_id)
    labels = [probe.label for probe in test.probes]
    form = _event_form(labels, typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_event(
            session,
            writer,
            piece=piece,
            test_id=test.test_id,
            what=form.what.data,
            minutes=_minutes(form.minutes.data, test, writer),
            probe=form.probe.data or None,
            note=form.note.data,
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("heat_test.one", number=piece.number, test_id=test.test_id)

    return save(form, write, lambda: _one(piece, test, readings_form_of(labels), form))


@room.get("/p/<number>/heat/test/<uuid:test_id>/end")
@access(FITTER)
def end_form(number: str, test_id: object) -> str:
    """What the test comes to, and the form that ends it."""
    piece, test = _test_or_404(number, test_id)
    return _end_page(piece, test, EndForm())


@room.post("/p/<number>/heat/test/<uuid:test_id>/end")
@access(FITTER)
def end(number: str, test_id: object) -> Response:
    """End the test."""
    piece, test = _test_or_404(number, test_id)
    form = EndForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.end(session, writer, piece=piece, test_id=test.test_id, note=form.note.data)
        return url_for("heat_test.one", number=piece.number, test_id=test.test_id)

    return save(form, write, lambda: _end_page(piece, test, form))


def _test_or_404(number: str, test_id: object) -> tuple[PieceNow, HeatTestNow]:
    piece = piece_or_404(number)
    test = heat_test_now(current.reading(), piece.piece_id, str(test_id))
    if test is None:
        abort(404)
    return piece, test


def _minutes(given: float | None, test: HeatTestNow, writer: Writer) -> float:
    """As typed, else from lighting to now by the device's word."""
    if given is not None:
        return float(given)
    minutes = round(since(test, writer.at or now()), 2)
    if minutes < 0:
        message = _("Minutes since it was lit: by this device's clock it is not lit yet. Give the minutes.")
        raise FieldProblem("minutes", message)
    return minutes


def _offer(piece: PieceNow) -> dict[str, Any]:
    """What a new test begins with: now, the appliance's fuel, four probes."""
    described = appliance_now(current.reading(), piece.piece_id)
    fuel = described.said.fuel if described else None
    by_hand = None if fuel is None else (YES if fuel in BY_HAND else NO)
    probes = [{"label": label, "spot": spot, "error_c": USUAL_ERROR_C} for label, spot in SPOTS]
    return USUAL | {"lit_at": now(), "by_hand": by_hand, "probes": probes}


def _begun(test: HeatTestNow) -> BeginForm:
    said = test.begun.said
    data: dict[str, Any] = {name: getattr(said, name) for name in services.HeatTestFacts.__annotations__}
    hashes = test.begun.slot(services.PROBES)
    data |= {
        "lit_at": datetime.fromisoformat(said.lit_at).astimezone(UTC),
        "by_hand": {True: YES, False: NO}.get(said.by_hand) if said.by_hand is not None else None,
        "probes": [
            {name: getattr(probe, name) for name in services.ProbeFacts.__annotations__} for probe in test.probes
        ],
        "photos": hashes,
        "marks": mark_rows(test.marks, hashes),
    }
    form = BeginForm(data=data)
    form.corrects.data = test.begun.entry.id
    return form


def _event_form(labels: list[str], sent: Any = None, data: dict[str, Any] | None = None) -> EventForm:
    form = EventForm(sent, data=data)
    form.offer(labels)
    return form


def _page(piece: PieceNow, form: BeginForm) -> str:
    session = current.reading()
    tests = heat_tests(session, piece.piece_id)
    limits = limits_now(session, piece.piece_id)
    return render_template(
        "heat/testing/page.html",
        piece=piece,
        tests=[(one, judged(one, limits)) for one in tests],
        state=fire_state(session, piece),
        limits=limits,
        form=form,
        words=wording,
    )


def _one(piece: PieceNow, test: HeatTestNow, form: ReadingsForm, event: EventForm) -> str:
    session = current.reading()
    limits = limits_now(session, piece.piece_id)
    found = judged(test, limits)
    return render_template(
        "heat/testing/one.html",
        piece=piece,
        test=test,
        found=found,
        curve=drawn.curve(test, found),
        form=form,
        event=event,
        minutes_now=since(test, now()),
        people=names(session, [entry.by_id for entry in entries_of(test)]),
        answers_for=ANSWERS_FOR,
        words=wording,
    )


def _end_page(piece: PieceNow, test: HeatTestNow, form: EndForm) -> str:
    found = judged(test, limits_now(current.reading(), piece.piece_id))
    return render_template("heat/testing/end.html", piece=piece, test=test, found=found, form=form, words=wording)
