"""The form of the fixing pack that came back: recorded, read. The only code that writes its rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import services as checks
from siteapp.checks.lists import FORM_BACK
from siteapp.hanging.pack.models import PackBack
from siteapp.hanging.pack.working import back_now, backs
from siteapp.hanging.template.models import FixingTemplate
from siteapp.pieces.writing import refuse_foreign, take_place
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = ["FORM_SLOT", "BackFacts", "back_now", "backs", "record"]

FORM_SLOT = "form"


class BackFacts(TypedDict):
    """Who filled the form in and when (day, ISO 8601), and the template, by entry id, that stands on it."""

    filled_by: str
    filled_on: str
    template_id: str
    note: str | None


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: BackFacts,
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record that the form came back, its photos in the slot `FORM_SLOT`; returns the entry's id.

    `revises` is the record it takes the place of; where two machines recorded one apart, revising one takes the place
    of both. The check of it is worked out again. Raises StoreError when the template or `revises` is none of this
    piece's, Superseded when another record stands.
    """
    no_template = _("The template that the form answers is none of this piece's. Open the page again.")
    refuse_foreign(session, piece, FixingTemplate, [facts["template_id"]], no_template)
    not_of_it = _("What this revises is no form of this piece. Open the page again.")
    entry_id = take_place(
        session, writer, piece, "pack_back", [PackBack(**facts)], revises=revises, not_of_it=not_of_it, photos=photos
    )
    checks.refresh(session, writer, piece=piece, calculation=FORM_BACK)
    return entry_id
