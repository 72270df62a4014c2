"""Pieces handed over. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.checks.services import open_holds
from siteapp.handover.models import Handover, HandoverCondition, HandoverSignature
from siteapp.handover.signed import says_no_fire
from siteapp.heat.condition import NO_FIRE, untested
from siteapp.pieces.writing import refuse_foreign
from siteapp.snags.services import open_snags
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.revisions import standing_bodies
from siteapp.web.dates import instant_words
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.state import OpenHold
    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow
    from siteapp.store.entries import Writer


@dataclass(frozen=True)
class FurtherSignature:
    """Somebody else who signs: as what, and their drawn signature's photo, None for a typed name alone."""

    name: str
    capacity: str | None = None
    sha256: str | None = None


def hand_over(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    signed_name: str,
    said: str,
    note: str | None,
    signature_sha256: str | None,
    conditions: Sequence[str] = (),
    further: Sequence[FurtherSignature] = (),
    snags_seen: Collection[str] | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep the client's acceptance; returns its entry's id. `said` are the words that `signed_name` agreed to.

    The snags that are open are named at the end of the words. `snags_seen` are the ids of those that were named when
    they were read out; None leaves that to the caller. What is kept by a correction is `said` as it is.

    Raises FieldProblem on `conditions` when heat is close, no heat test is met, and the condition that no fire is lit
    until tested is not among them. Raises StoreError while a hold point is open, naming it (a list not opened yet
    counts as one), when a snag is open that was not named, and when the piece has been handed over already, unless
    `corrects` names that handover; Superseded when that was corrected meanwhile.
    """
    words = _("What this corrects is not a handover of this piece. Open the page again.")
    refuse_foreign(session, piece, Handover, corrects, words)
    # From here on no other writer of this laptop changes what the words must name.
    entries.keep_others_out(session, writer, piece.job_id)
    if not corrects:
        still_open = open_snags(session, piece.piece_id)
        _refuse_unnamed(still_open, snags_seen)
        said = with_snags(said, still_open)
    entry = entries.append(
        session,
        writer,
        kind="handover",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            Handover(signed_name=signed_name, said=said, note=note, signature_sha256=signature_sha256),
            *(HandoverCondition(position=place, words=words) for place, words in enumerate(conditions)),
            *(
                HandoverSignature(position=place, name=one.name, capacity=one.capacity, signature_sha256=one.sha256)
                for place, one in enumerate(further)
            ),
        ],
        corrects=corrects,
    )
    # What is raised here takes the entry with it.
    if untested(session, piece) and not says_no_fire(conditions):
        raise FieldProblem("conditions", _untested())
    holds = open_holds(session, piece)
    if holds:
        raise StoreError(refusal(holds))
    before = [one for one in standing_bodies(session, Handover, piece_id=piece.piece_id) if one[0].id != entry.id]
    if before and not corrects:
        head, told = before[-1]
        message = _(
            "This piece was handed over already: %(name)s signed on %(when)s.",
            name=told.signed_name,
            when=instant_words(head.happened_at),
        )
        raise StoreError(message)
    return entry.id


def _untested() -> str:
    return _(
        "Conditions in writing: heat is close and no heat test is met, so “%(words)s” has to stand among them. Put it "
        "back word for word, or make the heat test first.",
        words=str(NO_FIRE),
    )


def with_snags(said: str, still_open: Sequence[SnagNow]) -> str:
    """The words to agree to with every snag that is open named below them."""
    if not still_open:
        return said
    return "\n".join([said, _("Still to be put right:"), *(f"– {snag_words(one)}" for one in still_open)])


def snag_words(snag: SnagNow) -> str:
    """A snag in one line: what, and where."""
    place = f" ({snag.said.place})" if snag.said.place else ""
    return " ".join(f"{snag.said.words}{place}".split())


def refusal(holds: Iterable[OpenHold]) -> str:
    """Why a piece cannot be handed over, naming every hold point that is open."""
    told = "; ".join(f"“{hold.words}” ({_(hold.verdict)})" for hold in holds)
    return _("Not to be handed over while a hold point is open: %(holds)s", holds=told)


def _refuse_unnamed(still_open: Sequence[SnagNow], seen: Collection[str] | None) -> None:
    unnamed = [one for one in still_open if seen is not None and one.entry.id not in seen]
    if unnamed:
        told = "; ".join(f"“{snag_words(one)}”" for one in unnamed)
        message = _("Raised since these words were read: %(snags)s. Now named too: read them again.", snags=told)
        raise StoreError(message)
