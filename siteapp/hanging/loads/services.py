"""The loads on every hanging point: what they rest on is recorded, worked out, judged. The only code that writes it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import select

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import LOADS, STRENGTH
from siteapp.hanging.loads import judging, models, working
from siteapp.hanging.loads.models import LoadPad, LoadResistance, LoadSheet
from siteapp.hanging.wall.services import wall_now
from siteapp.pieces.weighing.services import weight_now
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.trade.errors import TradeError
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.calculations import WorkedOut
    from siteapp.hanging.loads.working import Demand, LoadsFound
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

VERSION = "1"

Told = Version[LoadSheet]


class SheetFacts(TypedDict):
    """Who may lean on the piece, N and mm, and why so hard; the factor on what a lost support passes on; a note.

    A place of None: anywhere on the outline. None for the others: not said.
    """

    lean_n: float | None
    lean_x_mm: float | None
    lean_y_mm: float | None
    lean_why: str | None
    sudden: float | None
    note: str | None


class ResistanceFacts(TypedDict):
    """What one anchor may carry, in N; `document` names what says so, `covered` whether it covers this wall and use."""

    label: str
    kind: str
    pull_n: float | None
    shear_n: float | None
    document: str | None
    covered: bool | None


@dataclass(frozen=True)
class LoadsNow:
    """The loads as they stand: worked out from what is recorded now.

    `stale`: particulars, weighing or wall were recorded anew since the sheet, so that somebody looks it over before it
    counts. `by_label` is the largest load on each point over all cases and losses, with factors; empty where the piece
    would move. `inputs` and `found` are None while too little is known, `problem` says what cannot be worked with.
    """

    version: Told
    stale: bool
    by_label: Mapping[str, Demand]
    worked: WorkedOut
    known: judging.Known
    inputs: working.Inputs | None
    found: LoadsFound | None
    problem: str | None


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: SheetFacts,
    pads: Sequence[tuple[float, float]],
    resistances: Sequence[ResistanceFacts],
    revises: str | None = None,
) -> str:
    """Keep what the loads rest on, with what they come to now; returns the entry's id.

    `revises` is the sheet it takes the place of; where two machines told it apart, revising one takes the place of
    both. The checks that rest on the loads are worked out again. Raises FieldProblem for an anchor that the piece does
    not have or that is told twice, for a lean without its reason; Superseded when another sheet stands, StoreError
    when `revises` is none of this piece's.
    """
    _refuse(piece, facts, resistances)
    not_of_it = _("What this revises are no loads of this piece. Open the page again.")
    rows = [LoadResistance(position=number, **one) for number, one in enumerate(resistances)]
    bears = [LoadPad(position=number, x_mm=x_mm, y_mm=y_mm) for number, (x_mm, y_mm) in enumerate(pads)]
    sheet = LoadSheet(**facts)
    weight, wall = weight_now(session, piece), wall_now(session, piece.piece_id)
    known = judging.Known(piece, weight, wall.said if wall else None, sheet, bears, rows)
    _inputs, found, problem = _worked(known)
    worked = judging.judge(known, found, stale=False, problem=problem)
    sheet.verdict = worked.verdict
    sheet.outcome = json.dumps(worked.outcome, ensure_ascii=False)
    sheet.calculation = f"{LOADS} ({VERSION})"
    sheet.particulars_id = piece.revision.id
    sheet.weighing_id = weight.weighing_id
    sheet.wall_id = wall.entry.id if wall else None
    entry_id = take_place(
        session, writer, piece, "load_sheet", [sheet, *bears, *rows], revises=revises, not_of_it=not_of_it
    )
    for calculation in (LOADS, STRENGTH):
        checks.refresh(session, writer, piece=piece, calculation=calculation)
    return entry_id


def told(session: Session, piece_id: str) -> list[Told]:
    """The sheets that stand, the latest first: more than one where two machines told it apart."""
    return versions(session, LoadSheet, piece_id=piece_id)


def loads_now(session: Session, piece: PieceNow) -> LoadsNow | None:
    """The loads worked out from what is recorded now; None while nobody has said what they rest on."""
    stand = told(session, piece.piece_id)
    if not stand:
        return None
    version = stand[0]
    sheet = version.said
    known = _known(session, piece, sheet)
    wall = wall_now(session, piece.piece_id)
    rests_on = (piece.revision.id, known.weight.weighing_id, wall.entry.id if wall else None)
    stale = rests_on != (sheet.particulars_id, sheet.weighing_id, sheet.wall_id)
    inputs, found, problem = _worked(known)
    worked = judging.judge(known, found, stale=stale, problem=problem)
    return LoadsNow(version, stale, found.by_label if found else {}, worked, known, inputs, found, problem)


def work_out(session: Session, piece: PieceNow) -> WorkedOut:
    """What the loads come to now, for the check that asks for them."""
    now = loads_now(session, piece)
    return now.worked if now else judging.judge(_known(session, piece, None), None, stale=False)


def _worked(known: judging.Known) -> tuple[working.Inputs | None, LoadsFound | None, str | None]:
    """What the loads come to; points, sizes and weight are typed elsewhere, so what cannot be is said in words."""
    inputs = None
    try:
        inputs = judging.inputs_of(known)
        return inputs, working.work_out(inputs) if inputs else None, None
    except TradeError as error:
        return inputs, None, str(error)


def _known(session: Session, piece: PieceNow, sheet: LoadSheet | None) -> judging.Known:
    wall = wall_now(session, piece.piece_id)
    pads: list[LoadPad] = []
    rows: list[LoadResistance] = []
    if sheet is not None:
        for body, kept in ((LoadPad, pads), (LoadResistance, rows)):
            query = select(body).where(body.entry_id == sheet.entry_id).order_by(body.position)
            kept.extend(session.scalars(query))
    return judging.Known(piece, weight_now(session, piece), wall.said if wall else None, sheet, pads, rows)


def _refuse(piece: PieceNow, facts: SheetFacts, resistances: Sequence[ResistanceFacts]) -> None:
    if facts["lean_n"] is not None and not facts["lean_why"]:
        raise FieldProblem("lean_why", _("Why so hard: say who may lean on it and why this force was chosen."))
    if (facts["lean_x_mm"] is None) != (facts["lean_y_mm"] is None):
        raise FieldProblem("lean_x_mm", _("Where: give both, across and up, or neither for anywhere on the outline."))
    known = [point.label for point in piece.hanging_points]
    labels = [one["label"] for one in resistances]
    for label in labels:
        if label not in known:
            allowed = ", ".join(known) or _("none")
            message = _(
                "Anchors: there is no point “%(label)s” on this piece. It has: %(known)s.", label=label, known=allowed
            )
            raise FieldProblem("resistances", message)
        if labels.count(label) > 1:
            raise FieldProblem(
                "resistances", _("Anchors: “%(label)s” stands in two lines. Keep it in one.", label=label)
            )
    for one in resistances:
        if one["kind"] not in models.KINDS:
            raise FieldProblem("resistances", _("Kind: “%(said)s” is not an answer here.", said=one["kind"]))


_FIGURES: dict[str, tuple[Any, str]] = {
    "mass_kg": (_l("Weight"), "kg"),
    "mass_origin": (_l("Known from"), ""),
    "centre": (_l("Where its weight sits"), ""),
    "lean_n": (_l("Somebody leaning"), "N"),
    "lean_why": (_l("Why so hard"), ""),
    "pads": (_l("Bears on the wall at"), ""),
    "gap_mm": (_l("Gap before the sound wall"), "mm"),
    "allowed": (_l("What the anchors may carry"), ""),
    "loads": (_l("Largest load on each point"), ""),
    "why": (_l("Why"), ""),
}

calculations.register(
    calculations.Calculation(
        name=LOADS,
        version=VERSION,
        by=_l("the loads"),
        explained=_l(
            "Met when, with the weight as weighed and somebody leaning as hard as was chosen, every anchor is within "
            "what its approval document allows in this wall, and still is with any one point or group lost. What is "
            "missing, estimated or outside the document cannot be told."
        ),
        endpoint="loads.page",
        to_page=_l("To the loads"),
        work_out=work_out,
        figures=_FIGURES,
        told=("loads", "allowed"),
    )
)
