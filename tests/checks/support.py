"""What tests of checks do again and again: lists opened, lines answered, lists of the workshop's own."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from PIL import Image

from siteapp.checks import lists, services, shelf
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState, StageState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

HOLD, PLAIN, PHOTO, LEVEL = "anchors-proved", "wall-as-asked", "nuts-marked", "level"
OWN = """stage = "fixed"
name = "Our own wall"
stands = ["on points"]

[[line]]
key = "dry"
words = "The wall is dry."
why = "Because of the damp."
hold = true
second = true

[[line]]
key = "level"
words = "It is level too."
why = "Because of the eye."
"""


def a_photo() -> tuple[io.BytesIO, str]:
    """A real small photo, as a browser sends it."""
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), "#664422").save(stream, "JPEG")
    stream.seek(0)
    return stream, "photo.jpg"


def article(page: str, spot: str) -> str:
    """The part of the page that shows one line."""
    return page[page.index(f'id="check-{spot}"') :].split("</article>", maxsplit=1)[0]


def shipped(key: str) -> lists.ListFile:
    """A list as it ships."""
    file = shelf.FOLDER / f"{key}.toml"
    return lists.read(file.read_bytes(), file.name)


def own_list(store: Store, key: str, text: str = OWN) -> None:
    """Put a list of the workshop's own into its data folder."""
    folder = store.settings.data / shelf.OWN
    folder.mkdir(exist_ok=True)
    (folder / f"{key}.toml").write_text(text, encoding="utf-8")


def open_stage(session: Session, piece: PieceNow, stage: str = "fixed") -> tuple[str, ...]:
    """Open what applies of a stage."""
    return services.open_lists(session, factories.a_writer(session), piece=piece, stage=stage)


def a_piece_with_lists(store: Store, *stages: str, **particulars: Any) -> PieceNow:
    """A piece whose lists of some stages are open, those of the stage fixed if none is named."""
    with store.write() as session:
        piece = factories.a_piece(session, **particulars)
        for stage in stages or ("fixed",):
            open_stage(session, piece, stage)
    return piece


def answered(session: Session, piece: PieceNow, line_key: str, verdict: str = "met", **facts: Any) -> str:
    """Answer the first line with this key in a session; `photo` adds one, `by_id` says who."""
    list_id = facts.pop("list_id", None) or line_in(session, piece, line_key).list_id
    photos = [PhotoUse(factories.a_photo_row(session))] if facts.pop("photo", False) else []
    writer = factories.a_writer(session, by_id=facts.pop("by_id", None))
    return services.answer(
        session, writer, piece=piece, list_id=list_id, line_key=line_key, verdict=verdict, photos=photos, **facts
    )


def say(store: Store, piece: PieceNow, line_key: str = PLAIN, verdict: str = "met", **facts: Any) -> str:
    """Answer a line in a transaction of its own."""
    with store.write() as session:
        return answered(session, piece, line_key, verdict, **facts)


def line_in(session: Session, piece: PieceNow, line_key: str) -> LineState:
    """The first line with this key, of any stage; the first line of all when no list has it."""
    lines = [line for stage in services.states(session, piece) for line in stage.lines]
    return next((line for line in lines if line.key == line_key), lines[0])


def line_of(store: Store, piece: PieceNow, line_key: str = PLAIN) -> LineState:
    """The first line with this key."""
    with store.read() as session:
        return line_in(session, piece, line_key)


def stage_of(store: Store, piece: PieceNow, stage: str = "fixed") -> StageState:
    """Where a stage stands."""
    with store.read() as session:
        return services.state(session, piece, stage)


def holds_of(store: Store, piece: PieceNow) -> list[str | None]:
    """The keys of the open hold points; None for a list that is not open."""
    with store.read() as session:
        return [hold.line_key for hold in services.open_holds(session, piece)]
