"""Crates described, pieces looked over before they leave. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import inspect

from siteapp.checks import services as checks
from siteapp.checks.lists import LIFT, ROUTE
from siteapp.dispatch.looks import unknown_finding, unseen
from siteapp.dispatch.models import Crate, Dispatch
from siteapp.dispatch.weights import below_piece
from siteapp.pieces.models import ESTIMATED, WEIGHED
from siteapp.pieces.slots import BACK, DETAILS, EDGES, FRONT, HARDWARE, RAKING, TARGET
from siteapp.pieces.writing import append, refuse_foreign, take_place
from siteapp.store.errors import StoreError
from siteapp.store.revisions import Version, all_bodies, standing_bodies, versions
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry

SLOTS = (FRONT, BACK, EDGES, HARDWARE, DETAILS, TARGET, RAKING)

Dispatched = Version[Dispatch]


class CrateFacts(TypedDict):
    """A crate as typed: outside sizes in mm, gross weight in kg with its origin, hours to acclimatise; None unknown.

    `shock_indicator` and `tilt_indicator` say which one is fitted and at what it trips; None: none is.
    """

    width_mm: float | None
    height_mm: float | None
    depth_mm: float | None
    gross_kg: float | None
    gross_origin: str | None
    way_up: str | None
    shock_indicator: str | None
    tilt_indicator: str | None
    acclimatise_hours: float | None
    note: str | None


def describe_crate(
    session: Session, writer: Writer, *, piece: PieceNow, facts: CrateFacts, revises: str | None = None
) -> str:
    """Say what the piece travels in; returns the entry's id. `revises` is the description it takes the place of.

    Where two machines described it apart, revising one takes the place of both. Raises FieldProblem for a gross
    weight below the piece's own, or without its origin; Superseded when another description stands; StoreError when
    nothing is said, or `revises` is no crate of this piece.
    """
    if all(value is None for value in facts.values()):
        raise StoreError(_("Crate: nothing is filled in. Say at least one thing about it."))
    if (facts["gross_kg"] is None) != (facts["gross_origin"] is None):
        message = _("Where the gross weight comes from: give the weight and say whether it was weighed or estimated.")
        raise FieldProblem("gross_origin", message)
    if facts["gross_origin"] not in (None, WEIGHED, ESTIMATED):
        message = _("Where the gross weight comes from: “%(said)s” is not an answer.", said=facts["gross_origin"])
        raise FieldProblem("gross_origin", message)
    if problem := below_piece(facts["gross_kg"], piece.particulars):
        raise FieldProblem("gross_kg", problem)
    entry_id = take_place(session, writer, piece, "crate", [Crate(**facts)], revises=revises, not_of_it=_not_of_it())
    # Whether it comes in and can be lifted rests on the crate, and is worked out in rooms that this one does not know.
    for calculation in (LIFT, ROUTE):
        checks.refresh(session, writer, piece=piece, calculation=calculation)
    return entry_id


def record_dispatch(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    found: str,
    packed_by: str | None = None,
    note: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Record how a piece looked before it was packed, its photos in `SLOTS`; returns the entry's id.

    A piece may leave more than once; `corrects` names a look that this one puts right. Raises FieldProblem when
    *nothing found* comes without photos of front, back and edges, StoreError and Superseded as `describe_crate`.
    """
    for field, message in (*unknown_finding(found), *unseen(found, {photo.slot for photo in photos})):
        raise FieldProblem(field, message)
    refuse_foreign(session, piece, Dispatch, corrects, _not_of_it())
    body = Dispatch(found=found, packed_by=packed_by, note=note)
    return append(session, writer, piece, "dispatch", body, photos=photos, corrects=corrects)


def crate_now(session: Session, piece_id: str) -> tuple[Entry, Crate] | None:
    """The crate as it was described last, with its entry; None when nobody has."""
    stand = crates(session, piece_id)
    return stand[-1] if stand else None


def crates(session: Session, piece_id: str) -> list[tuple[Entry, Crate]]:
    """Every description of the crate that stands, oldest first: more than one where two machines described it."""
    return standing_bodies(session, Crate, piece_id=piece_id)


def crate_revisions(session: Session, piece_id: str) -> list[tuple[Entry, list[tuple[str, Any, Any]]]]:
    """Every description of the crate, newest first, with what it changed: field, before, after."""
    told: list[tuple[Entry, list[tuple[str, Any, Any]]]] = []
    before: dict[str, Any] = {}
    for entry, crate in all_bodies(session, Crate, piece_id=piece_id):
        after = crate_facts(crate)
        changed = [(name, before[name], value) for name, value in after.items() if before and value != before[name]]
        told.append((entry, changed))
        before = after
    return told[::-1]


def crate_facts(crate: Crate) -> dict[str, Any]:
    """What a description says, by field."""
    return {name.key: getattr(crate, name.key) for name in inspect(Crate).columns if name.key != "entry_id"}


def dispatches(session: Session, piece_id: str) -> list[Dispatched]:
    """The looks before dispatch that stand, the latest first, with their photos by `slot` and earlier versions."""
    return versions(session, Dispatch, piece_id=piece_id)


def _not_of_it() -> str:
    return _("What this corrects was not said of this piece. Open the page again.")
