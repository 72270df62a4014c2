"""The holes as drilled: readings called and typed, what they come to, a hole made wider."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from flask import Blueprint, render_template, request, url_for
from markupsafe import Markup

from siteapp.hanging.holes import services, showing
from siteapp.hanging.holes.forms import OTHER_WAY, SAME_WAY, EaseForm, ReadingsForm
from siteapp.hanging.holes.models import MM
from siteapp.hanging.holes.state import reading_of, words_of
from siteapp.people.services import names
from siteapp.pieces.points.reading import places
from siteapp.pieces.views import piece_or_404
from siteapp.trade.errors import TradeError
from siteapp.trade.survey.suggesting import FOR_LEVEL, FOR_SHAPE
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.holes.models import HoleReading
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.trade.survey import Reading

room = Blueprint("holes", __name__)

# Holes less far apart than this, across, have no left and right to mistake.
ASIDE_MM = 20.0
# Why most readings are asked for; only the others need a word.
PLAIN = (FOR_SHAPE, FOR_LEVEL)


@room.get("/p/<number>/holes")
@access(FITTER)
def page(number: str) -> str:
    """What the holes as drilled come to, and the readings that it takes."""
    piece = piece_or_404(number)
    now = services.holes_now(current.reading(), piece)
    return _page(piece, now, None)


@room.post("/p/<number>/holes")
@access(FITTER)
def record(number: str) -> Response:
    """Keep a round of readings."""
    piece = piece_or_404(number)
    form = ReadingsForm(typed(), labels=list(places(piece)))

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session,
            writer,
            piece=piece,
            facts={
                "unit": form.unit.data or MM,
                "caller": form.caller.data,
                "tape": form.tape.data,
                "laser": form.laser.data,
                "from_form": form.from_form.data or None,
                "mirrored": {SAME_WAY: False, OTHER_WAY: True}.get(form.way.data or "", _no_sides(piece)),
                "note": form.note.data,
            },
            read=form.found,
            corrects=[form.corrects.data] if form.corrects.data and not form.anew.data else [],
        )
        return url_for("holes.page", number=piece.number)

    return save(form, write, lambda: _page(piece, services.holes_now(current.reading(), piece), form))


@room.get("/p/<number>/holes/ease")
@access(MAKER)
def ease_form(number: str) -> str:
    """Ask how a hole was made wider; the least that would let the piece go on is offered."""
    piece = piece_or_404(number)
    now = services.holes_now(current.reading(), piece)
    label = request.args.get("label", "")
    form = EaseForm(data=_eased(piece, now, label) | {"revises": piece.revision.id}, labels=list(places(piece)))
    return _ask_easing(piece, now, form)


@room.post("/p/<number>/holes/ease")
@access(MAKER)
def ease(number: str) -> Response:
    """Keep that a hole was made wider; the particulars say so from now on."""
    piece = piece_or_404(number)
    form = EaseForm(typed(), labels=list(places(piece)))

    def write(session: Session, writer: Writer) -> str:
        services.ease(
            session,
            writer,
            piece=piece,
            revises=form.revises.data or "",
            facts={
                "label": form.label.data or "",
                "dx_mm": form.dx_mm.data or 0.0,
                "dy_mm": form.dy_mm.data or 0.0,
                "hole_mm": form.hole_mm.data,
                "slot_mm": form.slot_mm.data or None,
                "slot_deg": form.slot_deg.data if form.slot_mm.data else None,
                "reason": form.reason.data or "",
            },
            photos=photo_uses(form),
        )
        return url_for("holes.page", number=piece.number)

    return save(form, write, lambda: _ask_easing(piece, services.holes_now(current.reading(), piece), form))


def _page(piece: PieceNow, now: services.HolesNow | None, form: ReadingsForm | None) -> str:
    asked, problem = _asked(piece)
    unsaved = form is not None
    form = form or _fresh(piece, now, asked)
    stand = services.rounds(current.reading(), piece.piece_id)
    return render_template(
        "hanging/holes/page.html",
        piece=piece,
        now=now,
        lines=showing.hole_lines(piece, now) if now else [],
        hangs=showing.hang_words(piece, now.offered) if now and now.offered else None,
        again=[words_of(reading) for reading in now.adjustment.suspects] if now and now.adjustment else [],
        found=_found(now),
        eased=[
            (easing, showing.ease_words(easing))
            for easing in (now.offered.remedy if now and now.offered else None) or ()
        ],
        drawn=Markup(showing.picture(piece, now, asked)) if places(piece) else None,  # noqa: S704 - words were escaped
        whys=_whys(form, asked),
        planned=places(piece),
        tapes=showing.tapes(piece, asked),
        suspects=_suspects(now),
        sides=_sides(piece),
        problem=problem,
        form=form,
        asks=unsaved or now is None or now.worked.verdict != "met",
        others=len(stand) - 1,
        people=names(current.reading(), [one.entry.by_id for one in stand]),
    )


def _asked(piece: PieceNow) -> tuple[tuple[Reading, ...], str | None]:
    """The readings to ask for, in the order of the ladder, or why there are none to ask for."""
    from siteapp.trade.survey import suggest_readings

    try:
        return suggest_readings(places(piece)), None
    except TradeError as refused:
        return (), str(refused)


def _fresh(piece: PieceNow, now: services.HolesNow | None, asked: tuple[Reading, ...]) -> ReadingsForm:
    """The form as the round that stands was typed, with what is still missing; or what is asked for, blank."""
    suspects = now.adjustment.suspects if now and now.adjustment else ()
    again = {reading.key for reading in suspects}
    # A reading that is to be taken again has its row already.
    blank = [_row(reading) for reading in (now.missing if now else asked) if reading.key not in again]
    if now is None:
        return ReadingsForm(data={"readings": blank}, labels=list(places(piece)))
    said = now.version.said
    data = {name: getattr(said, name) for name in ("unit", "caller", "tape", "laser", "note")}
    data["way"] = "" if said.mirrored is None else OTHER_WAY if said.mirrored else SAME_WAY
    data["from_form"] = bool(said.from_form)
    data["readings"] = [*(_typed(row) for row in now.readings), *blank]
    return ReadingsForm(data=data | {"corrects": now.version.entry.id}, labels=list(places(piece)))


def _row(reading: Reading) -> dict[str, Any]:
    a, b, held = _row_key(reading)
    return {"a": a, "b": b, "held": held, "read": None}


def _whys(form: ReadingsForm, asked: tuple[Reading, ...]) -> list[str]:
    """For each row why it is asked for, where that needs a word; of a pair asked for twice, each its own."""
    left: dict[tuple[str, str | None, bool], list[str]] = {}
    # The plain reason of a pair comes before those for reading it again.
    for reading in sorted(asked, key=lambda one: one.why not in PLAIN):
        left.setdefault(_row_key(reading), []).append("" if reading.why in PLAIN else reading.why)
    rows = [(row.form.a.data, row.form.b.data or None, bool(row.form.held.data)) for row in form.readings.entries]
    return [left[row].pop(0) if left.get(row) else "" for row in rows]


def _typed(row: HoleReading) -> dict[str, Any]:
    return {"a": row.a, "b": row.b, "held": row.from_mm is not None, "read": row.typed}


def _row_key(reading: Reading) -> tuple[str, str | None, bool]:
    from siteapp.trade.survey import TapeReading

    if isinstance(reading, TapeReading):
        return reading.a, reading.b, reading.from_100
    return reading.holes[0], None, False


def _suspects(now: services.HolesNow | None) -> set[tuple[str, str | None, str]]:
    """The rows whose readings are to be taken again: holes and text as typed."""
    if now is None or now.adjustment is None:
        return set()
    told = {reading_of(row): row for row in now.readings}
    rows = [told[reading] for reading in now.adjustment.suspects if reading in told]
    return {(row.a, row.b, row.typed) for row in rows}


def _found(now: services.HolesNow | None) -> list[dict[str, Any]]:
    """Each reading that was used: by how much it is off what all say together, and the slip that would show in it."""
    if now is None or now.adjustment is None:
        return []
    adjustment = now.adjustment
    told = zip(adjustment.readings, adjustment.residuals, adjustment.redundancy, strict=True)
    return [
        {
            "words": words_of(reading),
            "off_mm": residual,
            "share": redundancy,
            "findable_mm": None if math.isinf(slip := adjustment.findable_mm[reading.key]) else slip,
        }
        for reading, residual, redundancy in told
    ]


def _sides(piece: PieceNow) -> tuple[str, str] | None:
    """The two points that lie farthest apart across, the left one first; None when nothing is left of anything."""
    planned = places(piece)
    if not planned:
        return None
    left, right = (pick(planned, key=lambda label: planned[label][0]) for pick in (min, max))
    return (left, right) if planned[right][0] - planned[left][0] >= ASIDE_MM else None


def _no_sides(piece: PieceNow) -> bool | None:
    """Holes that stand over one another cannot run the other way round."""
    return None if _sides(piece) else False


def _eased(piece: PieceNow, now: services.HolesNow | None, label: str) -> dict[str, Any]:
    """What the form begins with: the hole as it is, drawn out by what would let the piece go on."""
    point = next((one for one in piece.hanging_points if one.label == label), None)
    if point is None:
        return {}
    data: dict[str, Any] = {
        "label": label,
        "hole_mm": point.hole_mm,
        "slot_mm": point.slot_mm,
        "slot_deg": point.slot_deg,
    }
    remedy = now.offered.remedy if now and now.offered else None
    easing = next((one for one in remedy or () if one.label == label), None)
    if easing is not None and not point.slot_mm:
        by = math.ceil(easing.sure_mm * 2) / 2
        share = by / easing.by_mm / 2
        data |= {
            "slot_mm": by,
            "slot_deg": round(math.degrees(math.atan2(easing.up_mm, easing.across_mm)), 1),
            "dx_mm": round(easing.across_mm * share, 2),
            "dy_mm": round(easing.up_mm * share, 2),
        }
    return data


def _ask_easing(piece: PieceNow, now: services.HolesNow | None, form: EaseForm) -> str:
    remedy = now.offered.remedy if now and now.offered else None
    return render_template(
        "hanging/holes/ease.html",
        piece=piece,
        form=form,
        eased=[(easing, showing.ease_words(easing)) for easing in remedy or ()],
    )
