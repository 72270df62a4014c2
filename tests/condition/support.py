"""Looks at pieces, written through the rooms' own services, and real photos to look at."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from PIL import Image, ImageDraw

from siteapp.arrival.services import record_arrival
from siteapp.condition import services
from siteapp.dispatch.services import record_dispatch
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

ALL_SIDES = ("front", "back", "edges")


def uses(session: Session, slots: Sequence[str]) -> list[PhotoUse]:
    return [PhotoUse(factories.a_photo_row(session), slot) for slot in slots]


def dispatched(session: Session, piece: PieceNow, slots: Sequence[str] = ALL_SIDES, **facts: Any) -> str:
    said = {"found": "nothing found", "photos": uses(session, slots), **facts}
    return record_dispatch(session, writer(session, said.pop("at", None)), piece=piece, **said)


def arrived(session: Session, piece: PieceNow, slots: Sequence[str] = ALL_SIDES, **facts: Any) -> str:
    said = {"found": "something found", "photos": uses(session, slots), **facts}
    return record_arrival(session, writer(session, said.pop("at", None)), piece=piece, **said)


def looked(session: Session, piece: PieceNow, slots: Sequence[str] = ALL_SIDES, **facts: Any) -> str:
    said = {"occasion": "handover", "found": "something found", "photos": uses(session, slots), **facts}
    return services.record_look(session, writer(session, said.pop("at", None)), piece=piece, **said)


def writer(session: Session, at: datetime | None = None) -> Any:
    return factories.a_writer(session, at=at)


def a_picture(
    width: int = 80, height: int = 60, *, dot: tuple[float, float] | None = None, orientation: int | None = None
) -> bytes:
    """A grey JPEG; with `dot` a red spot at these fractions, with `orientation` the tag that says how it was held."""
    image = Image.new("RGB", (width, height), (150, 150, 150))
    if dot:
        x, y = dot[0] * width, dot[1] * height
        ImageDraw.Draw(image).ellipse([x - 8, y - 8, x + 8, y + 8], fill=(255, 0, 0))
    exif = Image.Exif()
    if orientation:
        exif[274] = orientation
    made = io.BytesIO()
    image.save(made, "JPEG", quality=95, exif=exif)
    return made.getvalue()


def a_file(colour: str = "#664422") -> tuple[io.BytesIO, str]:
    """A photo as a form sends it."""
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), colour).save(stream, "JPEG")
    stream.seek(0)
    return stream, "photo.jpg"
