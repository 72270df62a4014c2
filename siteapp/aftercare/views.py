"""Aftercare: the piece's page, the forms of what happens to it later, and what is due over all pieces."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from flask import abort, render_template, request, url_for

from siteapp.aftercare import calendar_views, services  # noqa: F401 - views join the room
from siteapp.aftercare.forms import DONE_WORDS, CareDateForm, DaysForm, KeeperForm, MoveForm, VisitForm
from siteapp.aftercare.room import room
from siteapp.aftercare.state import SOON_DAYS
from siteapp.hanging.anchors.services import recheck_on
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current, dates
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _, _l
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.store.revisions import Version
    from siteapp.web.fields import RoomForm

__all__ = ["room"]

HEADINGS = {
    "care_date": (_l("A care date"), _l("Save the care date")),
    "visit": (_l("A later visit"), _l("Save the visit")),
    "move": (_l("Moved to another place"), _l("Save the move")),
    "keeper": (_l("Another keeper"), _l("Save the keeper")),
}


@room.get("/aftercare")
@access(FITTER)
def listing() -> tuple[str, int]:
    """What is due over all pieces, the longest overdue first."""
    form = DaysForm(request.args or None)
    good = form.validate()
    ahead = SOON_DAYS if form.days.data is None else form.days.data
    today = dates.today()
    found = services.due(current.reading(), today, ahead) if good else []
    page = render_template("aftercare/list.html", asked=form, ahead=ahead, due=found, today=today, day_words=_day_words)
    return page, 200 if good else 422


@room.get("/p/<number>/aftercare")
@access(FITTER)
def page(number: str) -> str:
    """The life of a piece after its handover."""
    piece = piece_or_404(number)
    session = current.reading()
    person = current.who()
    maker = person is not None and person.role == "maker"
    care = services.care_dates(session, piece.piece_id)
    visits = services.later_visits(session, piece.piece_id)
    # Who had it before and where, only the maker sees.
    before = {
        "moves": services.moves(session, piece.piece_id) if maker else [],
        "keepers": services.keepers(session, piece.piece_id) if maker else [],
        "dropped": services.dropped_dates(session, piece.piece_id) if maker else [],
    }
    versions: list[Version[Any]] = [*visits, *before["moves"], *before["keepers"]]
    people = names(session, [entry.by_id for one in versions for entry in (one.entry, *one.replaced)])
    return render_template(
        "aftercare/page.html",
        piece=piece,
        handed=services.handed_over(session, piece.piece_id),
        care=care,
        answered={one.entry.id: one.said.what for one in care} | _older_names(care),
        visits=visits,
        keeper=services.keeper_now(session, piece.piece_id),
        place=services.place_now(session, piece.piece_id),
        people=people,
        today=dates.today(),
        day_words=_day_words,
        done_words=DONE_WORDS,
        recheck=_recheck(piece) if maker else None,
        **before,
    )


@room.get("/p/<number>/aftercare/care-date")
@access(MAKER)
def care_date(number: str) -> str:
    """Ask for a care date, or for what is to be said of one from now on."""
    piece = piece_or_404(number)
    known = services.care_dates(current.reading(), piece.piece_id)
    revised = _asked_for([one.version for one in known])
    form = CareDateForm()
    if revised is not None:
        now = next(one for one in known if one.entry.id == revised.entry.id)
        said = revised.said
        # What was done has moved the day on; the revision starts from there.
        form = CareDateForm(
            data={
                "what": said.what,
                "due_on": now.due_on or date.fromisoformat(said.due_on),
                "every_months": said.every_months,
            }
        )
        form.corrects.data = revised.entry.id
    return _ask(piece, form, "care_date")


@room.post("/p/<number>/aftercare/care-date")
@access(MAKER)
def set_care_date(number: str) -> Response:
    """Keep a care date."""
    form = CareDateForm(typed())

    def facts() -> dict[str, Any]:
        return {
            "what": form.what.data,
            "due_on": form.due_on.plain(),
            "every_months": form.every_months.data,
            "dropped": bool(form.dropped.data and form.corrects.data),
        }

    return _save(piece_or_404(number), form, "care_date", services.set_care_date, facts, "dates")


@room.get("/p/<number>/aftercare/visit")
@access(FITTER)
def visit(number: str) -> str:
    """Ask what was done to the piece, or what is right about a visit that was recorded wrong."""
    piece = piece_or_404(number)
    corrected = _asked_for(services.later_visits(current.reading(), piece.piece_id))
    person = current.who()
    if corrected is None:
        form = VisitForm(data={"done_by": person.name if person else None, "done_on": dates.today()})
        form.care_date_id.data = request.args.get("answers") or None
    else:
        said = corrected.said
        form = VisitForm(
            data={name: getattr(said, name) for name in ("what", "done_by", "care_date_id", "found", "note")}
            | {"done_on": date.fromisoformat(said.done_on), "photos": [photo.sha256 for photo in corrected.photos]}
        )
        form.corrects.data = corrected.entry.id
    _offer_care(piece, form)
    if form.care_date_id.data not in {value for value, _words in form.care_date_id.choices}:
        form.care_date_id.data = None
    return _ask(piece, form, "visit")


@room.post("/p/<number>/aftercare/visit")
@access(FITTER)
def record_visit(number: str) -> Response:
    """Keep a visit."""
    piece = piece_or_404(number)
    form = VisitForm(typed())
    _offer_care(piece, form)

    def facts() -> dict[str, Any]:
        return {name: form[name].data for name in ("what", "done_by", "care_date_id", "found", "note")} | {
            "done_on": form.done_on.plain(),
            "photos": photo_uses(form),
        }

    return _save(piece, form, "visit", services.record_visit, facts, "visits")


@room.get("/p/<number>/aftercare/move")
@access(MAKER)
def move(number: str) -> str:
    """Ask where the piece is now."""
    piece = piece_or_404(number)
    corrected = _asked_for(services.moves(current.reading(), piece.piece_id))
    form = MoveForm()
    if corrected is not None:
        form = MoveForm(
            data={name: getattr(corrected.said, name) for name in ("place", "address", "moved_by", "note")}
            | {"moved_on": date.fromisoformat(corrected.said.moved_on)}
        )
        form.corrects.data = corrected.entry.id
    return _ask(piece, form, "move")


@room.post("/p/<number>/aftercare/move")
@access(MAKER)
def record_move(number: str) -> Response:
    """Keep a move."""
    form = MoveForm(typed())

    def facts() -> dict[str, Any]:
        return {name: form[name].data for name in ("place", "address", "moved_by", "note")} | {
            "moved_on": form.moved_on.plain()
        }

    return _save(piece_or_404(number), form, "move", services.record_move, facts, "where")


@room.get("/p/<number>/aftercare/keeper")
@access(MAKER)
def keeper(number: str) -> str:
    """Ask who has the piece now."""
    piece = piece_or_404(number)
    corrected = _asked_for(services.keepers(current.reading(), piece.piece_id))
    form = KeeperForm()
    if corrected is not None:
        form = KeeperForm(
            data={name: getattr(corrected.said, name) for name in ("name", "contact", "note")}
            | {"since": date.fromisoformat(corrected.said.since)}
        )
        form.corrects.data = corrected.entry.id
    return _ask(piece, form, "keeper")


@room.post("/p/<number>/aftercare/keeper")
@access(MAKER)
def record_keeper(number: str) -> Response:
    """Keep who has the piece."""
    form = KeeperForm(typed())

    def facts() -> dict[str, Any]:
        return {name: form[name].data for name in ("name", "contact", "note")} | {"since": form.since.plain()}

    return _save(piece_or_404(number), form, "keeper", services.record_keeper, facts, "where")


def _recheck(piece: PieceNow) -> CareDateForm | None:
    """The look after the first winter of heating as a care date, until there is or was one of that day."""
    session = current.reading()
    day = recheck_on(session, piece)
    if day is None:
        return None
    told = [one.version for one in services.care_dates(session, piece.piece_id)]
    told += services.dropped_dates(session, piece.piece_id)
    if day.isoformat() in {said.due_on for one in told for said in (one.said, *(said for _entry, said in one.earlier))}:
        return None
    return CareDateForm(data={"what": _("Wall, anchors, nut marks and lock after the first winter"), "due_on": day})


def _save(
    piece: PieceNow,
    form: RoomForm,
    what: str,
    service: Callable[..., str],
    facts: Callable[[], dict[str, Any]],
    anchor: str,
) -> Response:
    def write(session: Session, writer: Writer) -> str:
        corrects = [form.corrects.data] if form.corrects.data else []
        service(session, writer, piece=piece, corrects=corrects, **facts())
        return url_for("aftercare.page", number=piece.number, _anchor=anchor)

    return save(form, write, lambda: _ask(piece, form, what))


def _ask(piece: PieceNow, form: RoomForm, what: str) -> str:
    heading, words = HEADINGS[what]
    return render_template(
        "aftercare/edit.html",
        piece=piece,
        form=form,
        what=what,
        heading=heading,
        words=words,
        handed=services.handed_over(current.reading(), piece.piece_id),
    )


def _asked_for(known: Sequence[Version[Any]]) -> Version[Any] | None:
    """What the page was asked to correct, if it stands; else the page that says there is none."""
    wanted = request.args.get("corrects", "")
    found = next((one for one in known if one.entry.id == wanted), None)
    if wanted and found is None:
        abort(404)
    return found


def _offer_care(piece: PieceNow, form: VisitForm) -> None:
    """Offer the care dates that stand; one that a phone named before it was revised is taken too."""
    care = services.care_dates(current.reading(), piece.piece_id)
    sent = form.care_date_id.data
    offered = [
        (one.entry.id, _("%(what)s, %(day)s", what=one.said.what, day=_due_words(one)))
        for one in care
        if one.due_on is not None or one.entry.id == sent
    ]
    older = [(sent, words) for entry_id, words in _older_names(care).items() if entry_id == sent]
    form.care_date_id.choices = [("", _("none")), *offered, *older]


def _due_words(one: services.CareNow) -> str:
    return dates.day_words(one.due_on) if one.due_on else _("done")


def _older_names(care: Sequence[services.CareNow]) -> dict[str, str]:
    return {entry.id: said.what for one in care for entry, said in one.version.earlier}


def _day_words(day: date | str) -> str:
    return dates.day_words(date.fromisoformat(day) if isinstance(day, str) else day)
