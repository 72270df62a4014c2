"""What every write into a finishing session goes through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.finishing.state import session_state
from siteapp.store.errors import StoreError
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.state import SessionState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Base


def open_session(
    session: Session, piece: PieceNow, session_id: str, body: type[Base], corrects: Sequence[str]
) -> SessionState:
    """The session, unless it has ended. Asked before an entry is written, and again after.

    Only once the entry is written does its chain keep other writers out on PostgreSQL.
    """
    state = session_state(session, piece.piece_id, session_id)
    if state is None:
        raise StoreError(no_session())
    for entry_id in corrects:
        said = session.get(body, entry_id)
        if said is None or said.session_id != session_id:  # type: ignore[attr-defined]
            raise StoreError(not_of_session())
    if state.close is not None and not corrects:
        raise StoreError(ended())
    return state


def no_session() -> str:
    """The message for a session that this piece has not."""
    return _("This piece has no such finishing session. Open the page again.")


def not_of_session() -> str:
    """The message for a correction of what belongs elsewhere."""
    return _("What this corrects is not part of this session. Open the page again.")


def ended() -> str:
    """The message for a session that takes nothing more."""
    return _("This finishing session has ended. Correct what was recorded, or begin a new session.")
