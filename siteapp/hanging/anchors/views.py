"""Anchors as set, tightened and proved: the page of all of them, and the three forms."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.hanging.anchors import services
from siteapp.hanging.anchors.forms import (
    KIND_WORDS,
    PROOF_FACTS,
    SET_FACTS,
    TIGHTEN_FACTS,
    YES,
    ProofForm,
    SetForm,
    TightenForm,
    curing_words,
    yes_no,
)
from siteapp.hanging.anchors.models import AnchorProof, AnchorSet, AnchorTightened
from siteapp.hanging.anchors.state import labels_of
from siteapp.hanging.loads.services import loads_now
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.store.revisions import believed, versions
from siteapp.trade.anchors import PROOF_ASSUMPTIONS, PROOF_SOURCE, RECHECK_SOURCE, SHOWS, VERDICT_SOURCE
from siteapp.trade.anchors.setting import SETTING_ASSUMPTIONS, SETTING_SOURCE
from siteapp.web import current, dates
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _l
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.store.revisions import Version
    from siteapp.web.fields import RoomForm

room = Blueprint("anchors", __name__)

HEADINGS = {
    "set": (_l("An anchor as it was set"), _l("Keep the anchor")),
    "prove": (_l("An anchor pulled and held"), _l("Keep the test")),
    "tighten": (_l("Nuts turned up"), _l("Keep what was done")),
}


@room.get("/p/<number>/anchors")
@access(FITTER)
def page(number: str) -> str:
    """Every anchor of a piece: as set, when it may carry, pulled, turned up; and what comes next."""
    piece = piece_or_404(number)
    session = current.reading()
    found = services.judged(session, piece)
    told = found.told
    return render_template(
        "hanging/anchors/page.html",
        piece=piece,
        found=found,
        asked=told.asked.said if told.asked else None,
        loose=found.loose,
        pulls=_pulls(piece),
        labels_of=labels_of,
        kind_words=KIND_WORDS,
        recheck=services.recheck_on(session, piece),
        people=names(session, [one.entry.by_id for one in (*told.sets, *told.tightened, *told.proofs)]),
        now=datetime.now(UTC),
        day_words=_day_words,
        shows=SHOWS,
        set_assumptions=SETTING_ASSUMPTIONS,
        set_source=SETTING_SOURCE,
        proof_assumptions=PROOF_ASSUMPTIONS,
        proof_source=f"{PROOF_SOURCE}; {VERDICT_SOURCE}",
        recheck_source=RECHECK_SOURCE,
    )


@room.get("/p/<number>/anchors/set")
@access(FITTER)
def set_form(number: str) -> str:
    """Ask how an anchor was set; what the one before was is offered, but nothing that is measured."""
    piece = piece_or_404(number)
    corrected = _asked_for(piece, AnchorSet)
    session = current.reading()
    if corrected is not None:
        said = corrected.said
        data = {name: getattr(said, name) for name in SET_FACTS}
        data |= {"anchor_kind": said.kind, "set_at": said.set_at, "cleaned": yes_no(said.cleaned)}
        data |= {"expires_on": _day(said.expires_on), "from_form": bool(said.from_form)}
        data |= {"photos": [photo.sha256 for photo in corrected.photos]}
        curing = services.recorded(session, piece).curing.get(corrected.entry.id, ())
    else:
        data, curing = _offer(piece)
    form = SetForm(data=data | {"curing": curing_words(curing)})
    form.corrects.data = corrected.entry.id if corrected else None
    return _ask(piece, form, "set")


@room.post("/p/<number>/anchors/set")
@access(FITTER)
def set_anchor(number: str) -> Response:
    """Keep how an anchor was set."""
    form = SetForm(typed())

    def write(session: Session, writer: Writer, told: dict[str, Any]) -> None:
        facts = {name: form[name].data for name in SET_FACTS} | {
            "kind": form.anchor_kind.data,
            "expires_on": form.expires_on.plain(),
            "cleaned": {YES: True, "": None}.get(form.cleaned.data or "", False),
            "set_at": form.set_at.data or believed(writer.at, datetime.now(UTC)),
            "from_form": form.from_form.data or None,
        }
        services.set_anchor(session, writer, facts=cast("Any", facts), curing=form.curing.rows_read, **told)

    return _save(piece_or_404(number), form, "set", write)


@room.get("/p/<number>/anchors/prove")
@access(FITTER)
def prove_form(number: str) -> str:
    """Ask what a proof test came to."""
    piece = piece_or_404(number)
    corrected = _asked_for(piece, AnchorProof)
    told = services.recorded(current.reading(), piece)
    if corrected is not None:
        said = corrected.said
        data = {name: getattr(said, name) for name in PROOF_FACTS} | {"tested_at": said.tested_at}
        data |= {"sacrificed": bool(said.sacrificed), "from_form": bool(said.from_form)}
        data |= {"photos": [photo.sha256 for photo in corrected.photos]}
        data["calibrated_until"] = _day(said.calibrated_until)
    else:
        last = told.proofs[0].said if told.proofs else None
        data = (
            {name: getattr(last, name) for name in ("allowed_mm", "gauge", "tested_by")} if last else _me("tested_by")
        )
        data["calibrated_until"] = _day(last.calibrated_until) if last else None
        data["asked_kn"] = told.asked.said.proof_kn if told.asked else None
        data["label"] = request.args.get("label") or _unproved(piece)
    form = ProofForm(data=data)
    form.corrects.data = corrected.entry.id if corrected else None
    return _ask(piece, form, "prove")


@room.post("/p/<number>/anchors/prove")
@access(FITTER)
def prove(number: str) -> Response:
    """Keep a proof test."""
    form = ProofForm(typed())

    def write(session: Session, writer: Writer, told: dict[str, Any]) -> None:
        facts = {name: form[name].data for name in PROOF_FACTS} | {
            "calibrated_until": form.calibrated_until.plain(),
            "tested_at": form.tested_at.data or believed(writer.at, datetime.now(UTC)),
            "sacrificed": form.sacrificed.data or None,
            "from_form": form.from_form.data or None,
        }
        services.prove_anchor(session, writer, facts=cast("Any", facts), **told)

    return _save(piece_or_404(number), form, "prove", write)


@room.get("/p/<number>/anchors/tighten")
@access(FITTER)
def tighten_form(number: str) -> str:
    """Ask how the nuts were turned up."""
    piece = piece_or_404(number)
    corrected = _asked_for(piece, AnchorTightened)
    if corrected is not None:
        said = corrected.said
        data = {name: getattr(said, name) for name in TIGHTEN_FACTS} | {"locked": yes_no(said.locked)}
        data |= {"photos": [photo.sha256 for photo in corrected.photos]}
    else:
        labels = [one.label for one in services.anchors_now(current.reading(), piece) if one.set]
        data = {"labels": "\n".join(labels)} | _me("done_by")
    form = TightenForm(data=data)
    form.corrects.data = corrected.entry.id if corrected else None
    return _ask(piece, form, "tighten")


@room.post("/p/<number>/anchors/tighten")
@access(FITTER)
def tighten(number: str) -> Response:
    """Keep that nuts were turned up."""
    form = TightenForm(typed())

    def write(session: Session, writer: Writer, told: dict[str, Any]) -> None:
        facts = {name: form[name].data for name in TIGHTEN_FACTS}
        facts["locked"] = {YES: True, "": None}.get(form.locked.data or "", False)
        services.tighten(session, writer, facts=cast("Any", facts), **told)

    return _save(piece_or_404(number), form, "tighten", write)


def _save(
    piece: PieceNow, form: RoomForm, what: str, service: Callable[[Session, Writer, dict[str, Any]], None]
) -> Response:
    def write(session: Session, writer: Writer) -> str:
        corrects = [form.corrects.data] if form.corrects.data else []
        service(session, writer, {"piece": piece, "photos": photo_uses(form), "corrects": corrects})
        return url_for("anchors.page", number=piece.number)

    return save(form, write, lambda: _ask(piece, form, what))


def _ask(piece: PieceNow, form: RoomForm, what: str) -> str:
    heading, words = HEADINGS[what]
    session = current.reading()
    told = services.recorded(session, piece)
    if what != "tighten":
        form.label.suggestions = [one.label for one in services.anchors_now(session, piece)]
    return render_template(
        "hanging/anchors/form.html",
        piece=piece,
        form=form,
        what=what,
        heading=heading,
        words=words,
        asked=told.asked.said if told.asked else None,
        shows=SHOWS,
    )


def _offer(piece: PieceNow) -> tuple[dict[str, Any], Any]:
    """What a fresh anchor's form begins with: the product of the one before, else the one asked for."""
    session = current.reading()
    told = services.recorded(session, piece)
    bare = next((one.label for one in services.anchors_now(session, piece) if one.set is None), None)
    data: dict[str, Any] = {"label": request.args.get("label") or bare}
    if not told.sets:
        return data | _me("set_by") | {"product": told.asked.said.anchor if told.asked else None}, ()
    last = told.sets[0]
    data |= {name: getattr(last.said, name) for name in ("product", "batch", "cleaning", "set_by")}
    data |= {"anchor_kind": last.said.kind, "expires_on": _day(last.said.expires_on)}
    return data, told.curing.get(last.entry.id, ())


def _pulls(piece: PieceNow) -> dict[str, tuple[float, str]]:
    """The largest pull on each hanging point by the loads, in kN with factors, and its case; none while they are stale.

    Shown beside the proof load, and no more: which load an anchor is proved at is for whoever designed it to say.
    """
    now = loads_now(current.reading(), piece)
    if now is None or now.stale:
        return {}
    return {label: (demand.pull_n / 1000, demand.case) for label, demand in now.by_label.items()}


def _unproved(piece: PieceNow) -> str | None:
    """The first anchor that was not pulled yet."""
    now = services.anchors_now(current.reading(), piece)
    return next((one.label for one in now if one.set and one.proof is None), None)


def _me(field: str) -> dict[str, Any]:
    person = current.who()
    return {field: person.name if person else None}


def _asked_for(piece: PieceNow, body: Any) -> Version[Any] | None:
    """What the page was asked to correct, if it stands; else the page that says there is none."""
    wanted = request.args.get("corrects", "")
    known = versions(current.reading(), body, piece_id=piece.piece_id) if wanted else []
    found = next((one for one in known if one.entry.id == wanted), None)
    if wanted and found is None:
        abort(404)
    return found


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _day_words(day: date | str) -> str:
    return dates.day_words(date.fromisoformat(day) if isinstance(day, str) else day)
