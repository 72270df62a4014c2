"""The forms of a finishing session: asked for, brought back to be corrected, kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from flask import abort, render_template, request, url_for

from siteapp.finishing import services
from siteapp.finishing.forms import NAMED, figures_of
from siteapp.finishing.names import same
from siteapp.finishing.state import FRESH_HOURS, for_coat, waits
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.fields import Photos, typed
from siteapp.web.saving import save

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.state import SessionState, Told
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


@dataclass(frozen=True)
class Act:
    """One form of a session: `page` is its template, `told` what of the session it may correct.

    `form(typed, piece, state, corrected)` makes it: from what was typed, else with what is offered or corrected.
    `write(session, writer, form, told)` calls one service; `told` has the piece, the session's id and what is
    corrected. `more()` gives what else its template needs.
    """

    page: str
    told: Callable[[SessionState], Sequence[Told[Any]]]
    form: Callable[[Any, PieceNow, SessionState, Told[Any] | None], Any]
    write: Callable[[Session, Writer, Any, dict[str, Any]], object]
    more: Callable[[], dict[str, Any]] = dict


def ask(act: Act, number: str, session_id: object) -> str:
    """The form, with what is offered, or with what the page was asked to correct."""
    piece, state = piece_and_state(number, session_id)
    wanted = request.args.get("correct", "")
    corrected = next((each for each in act.told(state) if each.entry.id == wanted), None)
    if wanted and corrected is None:
        abort(404)
    form = act.form(None, piece, state, corrected)
    if corrected:
        form.corrects.data = corrected.entry.id
        _bring_photos(form, corrected)
    return _page(act, piece, state, form)


def keep(act: Act, number: str, session_id: object) -> Response:
    """Save what was typed; leads to the session's page."""
    piece, state = piece_and_state(number, session_id)
    form = act.form(typed(), piece, state, None)

    def write(session: Session, writer: Writer) -> str:
        corrects = [form.corrects.data] if form.corrects.data else []
        act.write(session, writer, form, {"piece": piece, "session_id": str(session_id), "corrects": corrects})
        return url_for("finishing.one", number=piece.number, session_id=session_id)

    return save(form, write, lambda: _page(act, *piece_and_state(number, session_id), form))


def piece_and_state(number: str, session_id: object) -> tuple[PieceNow, SessionState]:
    """The piece and its session, or the page that says there is none."""
    piece = piece_or_404(number)
    state = services.session_state(current.reading(), piece.piece_id, str(session_id))
    if state is None:
        abort(404)
    return piece, state


def _page(act: Act, piece: PieceNow, state: SessionState, form: Any) -> str:
    return render_template(
        f"finishing/{act.page}.html",
        piece=piece,
        state=state,
        form=form,
        held=for_coat(state, None),
        waits=waits(state),
        now=datetime.now(UTC),
        fresh_hours=FRESH_HOURS,
        figures_of=figures_of,
        named=NAMED,
        closed=state.close is not None and not form.corrects.data,
        **act.more(),
    )


def _bring_photos(form: Any, corrected: Told[Any]) -> None:
    """Each photo into the field of its zone and slot; one that has none there into the form's own."""
    fields = [field for field in form if isinstance(field, Photos)]
    of_zones = {} if not hasattr(form, "zones") else {photos.name: zone.shown for zone, photos in form.zones()}
    for photo in corrected.photos:
        here = [field for field in fields if same(of_zones.get(field.name, ""), photo.caption or "")]
        here += [field for field in fields if field.slot == photo.slot and field.name not in of_zones]
        (here or [form.photos])[0].take(photo.sha256)
