"""Hold points released by a maker, whole lists set aside, and both taken back: services of this room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.checks import reading
from siteapp.checks.models import CheckRelease
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState, ListState, Release
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


def release(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    list_id: str,
    line_key: str | None,
    reason: str,
    corrects: Sequence[str] = (),
    released: bool = True,
    seen: Collection[str] | None = None,
) -> str:
    """Let the work go on although a hold point is not met, or, without `line_key`, set a whole list aside.

    `reason` says why; `corrects` are the releases that stand so far; `released` is False to take one back. `seen` are
    the answers that whoever decides has looked at, all that stand if None: any other brings the hold point back.
    Returns the entry's id. Raises Superseded when somebody answered or decided meanwhile, StoreError when the list is
    not this piece's, the line is no hold point, or there is nothing to take back.
    """
    entries.keep_others_out(session, writer, piece.job_id)
    found, line = _hold(session, piece, list_id, line_key)
    before = line.releases if line else found.releases
    if not {one.entry_id for one in before}.issuperset(corrects):
        raise StoreError(_("What this corrects is not a release of this hold point. Open the page again."))
    standing = {one.entry_id for one in before if one.stands}
    if not released and not standing:
        raise StoreError(_("There is no release to take back. Open the page again."))
    lines = [line] if line else found.lines
    stand = {one.entry_id for each in lines for one in each.standing}
    overtaken = (stand - set(seen) if seen is not None else set()) | (standing - set(corrects))
    if overtaken:
        raise Superseded(list_id, tuple(sorted(overtaken)))
    entry = entries.append(
        session,
        writer,
        kind="check_release",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            CheckRelease(
                list_id=list_id, line_key=line_key, released=released, reason=reason, seen=" ".join(sorted(stand))
            )
        ],
        corrects=corrects,
    )
    return entry.id


def releases(session: Session, piece_id: str) -> tuple[Release, ...]:
    """Every release of a piece, of lines and of whole lists, and every one taken back, oldest first."""
    stages = reading.states(session, [piece_id])[piece_id]
    found = [one for stage in stages for opened in stage.lists for one in (*opened.releases, *_of_lines(opened))]
    return tuple(sorted(found, key=lambda one: (one.at, one.entry_id)))


def _hold(session: Session, piece: PieceNow, list_id: str, line_key: str | None) -> tuple[ListState, LineState | None]:
    opened = [one for stage in reading.states(session, [piece.piece_id])[piece.piece_id] for one in stage.lists]
    found = next((one for one in opened if one.list_id == list_id), None)
    if found is None:
        raise StoreError(_("This list is not one of the piece's. Open the page again."))
    if line_key is None:
        return found, None
    line = next((one for one in found.lines if one.key == line_key), None)
    if line is None or not line.hold:
        raise StoreError(_("This check is no hold point of the piece. Open the page again."))
    return found, line


def _of_lines(opened: ListState) -> list[Release]:
    return [one for line in opened.lines for one in line.releases]
