"""The start page, the piece's page and the page that says the program runs."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from flask import Blueprint, jsonify, redirect, render_template, request, url_for

from siteapp.aftercare.services import keeper_now, place_now
from siteapp.checks.services import standing_of
from siteapp.finishing.services import piece_room_again
from siteapp.finishing.state import sessions, waits
from siteapp.heat.condition import near_fire
from siteapp.jobs.services import job_now
from siteapp.journey import search, services
from siteapp.journey import start as begin
from siteapp.people.services import names, nobody_yet
from siteapp.phones.views import start_sheet
from siteapp.pieces.conditions import conditions
from siteapp.pieces.views import piece_or_404
from siteapp.snags.services import open_snags
from siteapp.web import current
from siteapp.web.access import PUBLIC, access
from siteapp.web.dates import now
from siteapp.web.i18n import _
from siteapp.web.parts import when

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import Entry

room = Blueprint("journey", __name__)
# Typing takes minutes; a phone that was away sends later. More than a day apart is a wrong clock or a long silence.
CLOCKS_APART = timedelta(days=1)


@room.get("/")
@access(PUBLIC)
def start() -> Response | str:
    """Pieces in hand by what happens to them next; a stranger is asked to scan or sign in."""
    if nobody_yet(current.reading()):
        return redirect(url_for("people.first"), 303)
    if current.who() is None:
        return render_template("journey/stranger.html", sheet=start_sheet())
    session = current.reading()
    wanted = request.args.get("find", "").strip()[: search.LONGEST]
    if wanted:
        found = search.find(session, wanted)
        shown = begin.lines(session, found[: begin.MOST_FOUND])
        return render_template("journey/found.html", find=wanted, lines=shown, count=len(found), sheet=None)
    return render_template(
        "journey/start.html",
        find="",
        today=begin.today(session, now().date()),
        hand=begin.in_hand(session),
        sheet=start_sheet(),
    )


@room.get("/p/<number>")
@access(PUBLIC)
def piece(number: str) -> str:
    """A piece: everything for the crew, the public face for a stranger."""
    found = piece_or_404(number)
    if current.who() is None:
        told = conditions(current.reading(), found)
        return render_template("journey/public.html", piece=found, points=found.hanging_points, conditions=told)
    session = current.reading()
    kinds = services.latest_by_kind(session, [found.piece_id]).get(found.piece_id, {})
    standing = standing_of(session, [found.piece_id]).get(found.piece_id)
    job = job_now(session, found.job_id)
    keeper = keeper_now(session, found.piece_id)
    place = place_now(session, found.piece_id)
    running = [one for one in sessions(session, found.piece_id) if one.close is None]
    return render_template(
        "journey/piece.html",
        piece=found,
        job=job[1] if job else None,
        place=place.place if place else "",
        sold_on=keeper is not None and keeper.entry is not None,
        steps=[_shown(step, found.number) for step in services.steps(kinds, standing)],
        # A list that was added after the handover stops nothing any more.
        holds=standing.holds if standing and "handover" not in kinds else (),
        kinds=kinds,
        snags=open_snags(session, found.piece_id),
        history=_history(found),
        certificate="certificate" in kinds,
        conditions=conditions(session, found),
        near_fire=near_fire(session, found),
        waits=[wait for one in running for wait in waits(one)],
        room_again=piece_room_again(session, found.piece_id),
        now=datetime.now(UTC),
    )


@room.get("/health")
@access(PUBLIC)
def health() -> Response:
    """Says that the program runs and its database answers."""
    nobody_yet(current.reading())
    return jsonify(running=True)


def _shown(step: services.Step, number: str) -> dict[str, Any]:
    asked = {"stage": step.stage.key} if step.stage.endpoint == "checks.page" else {}
    href = url_for(step.stage.endpoint, number=number, **asked)
    at = when(step.at) if step.at else ""
    return {
        "name": step.name,
        "state": step.state,
        "href": href,
        "at": at,
        "action": step.stage.action,
    }


def _history(piece: PieceNow) -> list[dict[str, Any]]:
    session = current.reading()
    entries = services.history(session, piece)
    people = names(session, [entry.by_id for entry in entries])
    return [
        {
            "when": when(entry.happened_at),
            "by": people.get(entry.by_id or "", ""),
            "words": services.WORDS.get(entry.kind, entry.kind),
            "note": _clock_note(entry),
        }
        for entry in entries
    ]


def _clock_note(entry: Entry) -> str:
    """Says so when the device's clock and the laptop's are far apart: the device's word is kept, not believed."""
    if entry.at is None or abs(entry.at - entry.recorded_at) <= CLOCKS_APART:
        return ""
    return _(
        "by the device's clock; the laptop's said %(when)s",
        when=when(entry.recorded_at),
    )
