"""A crate described through the room's own service, and photos as a browser sends them."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from PIL import Image

from siteapp.dispatch.services import CrateFacts, describe_crate
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow


def describe(session: Session, piece: PieceNow, *, revises: str | None = None, **facts: Any) -> str:
    """Describe the crate: nothing of it but `facts`. Returns the entry's id."""
    said = CrateFacts(**{**dict.fromkeys(CrateFacts.__annotations__), **facts})
    return describe_crate(session, factories.a_writer(session), piece=piece, facts=said, revises=revises)


def a_photo(colour: str = "#664422") -> tuple[io.BytesIO, str]:
    """A small photo of one colour, as a part of a form."""
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), colour).save(stream, "JPEG")
    stream.seek(0)
    return stream, "photo.jpg"
