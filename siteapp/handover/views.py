"""Handover: what the client reads, and their acceptance."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import abort, render_template, url_for

from siteapp.arrival.services import arrivals
from siteapp.checks.services import open_holds
from siteapp.checks.services import states as check_states
from siteapp.finishing.services import sessions
from siteapp.handover import (  # noqa: F401 - views join the room
    certificate_views,
    gathered,
    giving_views,
    services,
    verify_views,
)
from siteapp.handover.certificates import STANDS, certificates
from siteapp.handover.forms import FURTHER, WORDS_TO_AGREE, HandoverForm
from siteapp.handover.room import room
from siteapp.handover.services import FurtherSignature
from siteapp.handover.signed import conditions_to_offer, signed_now
from siteapp.people.services import names
from siteapp.pieces.services import agreed_of
from siteapp.pieces.views import piece_or_404
from siteapp.snags.services import snags
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.dates import day_words
from siteapp.web.fields import typed
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

__all__ = ["room"]


@room.get("/p/<number>/handover")
@access(FITTER)
def page(number: str) -> str:
    """What the client reads, and the form they sign."""
    piece = piece_or_404(number)
    offered = [{"words": words} for words in conditions_to_offer(current.reading(), piece)]
    return _page(piece, HandoverForm(data={"said": str(WORDS_TO_AGREE), "conditions": offered}))


@room.post("/p/<number>/handover")
@access(MAKER)
def hand_over(number: str) -> Response:
    """Keep the client's acceptance."""
    piece = piece_or_404(number)
    form = HandoverForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.hand_over(
            session,
            writer,
            piece=piece,
            signed_name=form.signed_name.data,
            said=form.said.data,
            note=form.note.data,
            signature_sha256=form.drawn.sha,
            conditions=[row["words"] for row in form.conditions.rows()],
            further=_further(form),
            snags_seen=(form.stands.data or "").split(),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("handover.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/handover/correct")
@access(MAKER)
def correct(number: str) -> str:
    """Ask what is right about a handover that was recorded wrong."""
    piece = piece_or_404(number)
    signed = signed_now(current.reading(), piece.piece_id)
    if signed is None:
        abort(404)
    form = HandoverForm(data=HandoverForm.offer(signed))
    form.corrects.data = signed.entry.id
    form.take(signed)
    return _page(piece, form)


def _further(form: HandoverForm) -> list[FurtherSignature]:
    return [
        FurtherSignature(form[f"{which}_name"].data, form[f"{which}_capacity"].data, form[f"{which}_drawn"].sha)
        for which in FURTHER
        if form[f"{which}_name"].data
    ]


def _page(piece: PieceNow, form: HandoverForm) -> str:
    session = current.reading()
    handed = signed_now(session, piece.piece_id)
    chain = certificates(session, piece.piece_id)
    stages = check_states(session, piece)
    found = snags(session, piece.piece_id)
    still_open = [one for one in found if one.open]
    # Named in the words of the page that is now shown, whatever an earlier one showed.
    form.stands.typed = form.stands.data = " ".join(one.entry.id for one in still_open)
    let_go = gathered.let_go(stages)
    people = [
        *(one.by_id for _list, _line, one in let_go),
        *(one.entry.by_id for one in chain),
        handed.entry.by_id if handed else None,
    ]
    return render_template(
        "handover/page.html",
        piece=piece,
        form=form,
        handed=handed,
        correcting=bool(form.corrects.data),
        chain=chain,
        issued=next((one for one in chain if one.state == STANDS), None),
        holds=open_holds(session, piece),
        left_open=gathered.left_open(stages, found),
        checks_open=any(stage.opened for stage in stages),
        agreed=agreed_of(session, piece.piece_id),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        still_open=still_open,
        left=[one for one in found if one.left],
        named=[services.snag_words(one) for one in still_open],
        released=let_go,
        arrived=arrivals(session, piece.piece_id)[:1],
        states=sessions(session, piece.piece_id),
        people=names(session, people),
    )
