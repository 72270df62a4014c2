"""How the demo is written: through the program's own services, one transaction a step, on a clock of its own."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import NAMESPACE_URL, uuid5

from seed_demo.shots import Darkroom
from siteapp.pieces.services import find
from siteapp.store.entries import PhotoUse, Writer
from siteapp.store.images import inspect
from siteapp.store.models import Photo
from siteapp.store.photos import PhotoFolder

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

DEVICE = "demo"
BEGAN = timedelta(hours=20)  # every invented hour lies within the day, so that no page wonders at a device's clock


class Filling:
    """One run: counts its steps, keeps who writes and what was made."""

    STEPS = 318

    def __init__(
        self, store: Store, settings: Settings, progress: Callable[[int, int, str], None], size: tuple[int, int]
    ) -> None:
        self.store = store
        self.settings = settings
        self.progress = progress
        self.laptop = store.begin_laptop()
        self.by: dict[str, str] = {}
        self.jobs: dict[str, str] = {}
        self.numbers: dict[str, str] = {}
        self.clock = datetime.now(UTC) - BEGAN
        self.folder = PhotoFolder(settings.photos, settings.cache)
        self._darkroom = Darkroom(size)
        self._shas: dict[str, str] = {}
        self._done = 0

    def close(self) -> None:
        """Draw nothing more."""
        self._darkroom.close()

    def at(self, hours_ago: float) -> None:
        """Set the invented clock."""
        self.clock = datetime.now(UTC) - timedelta(hours=hours_ago)

    def write(
        self, what: str, service: Callable[..., Any], /, *, by: str = "maker", minutes: float = 4, **given: Any
    ) -> Any:
        """Call one service in a transaction of its own; returns what it returns. `given` goes to the service."""
        self.clock += timedelta(minutes=minutes)
        writer = Writer(
            laptop_id=self.laptop,
            by_id=self.by.get(by),
            device=DEVICE,
            at=min(self.clock, datetime.now(UTC)),
            form_id=str(uuid5(NAMESPACE_URL, f"siteapp demo {self._done} {what}")),
        )
        made = self.store.transact(lambda session: service(session, writer, **given))
        self._step(what)
        return made

    def of_piece(self, key: str, what: str, service: Callable[..., Any], /, **given: Any) -> Any:
        """The same for a service that takes the piece as it is now."""

        def with_piece(session: Session, writer: Writer, **more: Any) -> Any:
            return service(session, writer, piece=self.piece(session, key), **more)

        return self.write(f"{key}: {what}", with_piece, **given)

    def piece(self, session: Session, key: str) -> PieceNow:
        """A piece of the demo by its key."""
        return find(session, self.numbers[key])  # type: ignore[return-value]

    def photos(self, *uses: tuple[str, str] | tuple[str, str, str]) -> list[PhotoUse]:
        """Photos by name, each with its slot and perhaps a caption."""
        return [PhotoUse(self.photo(name), slot, *caption) for name, slot, *caption in uses]

    def photo(self, name: str) -> str:
        """The SHA-256 of a photo that is on disk and on record."""
        if name not in self._shas:
            data = self._darkroom.photo(name)
            facts, sha = inspect(data), self.folder.put(data)
            row = {"media_type": facts.media_type, "bytes": len(data), "width": facts.width, "height": facts.height}

            def record(session: Session) -> None:
                session.merge(Photo(sha256=sha, recorded_at=datetime.now(UTC), by_id=self.by.get("maker"), **row))

            self.store.transact(record)
            self._shas[name] = sha
        return self._shas[name]

    def _step(self, what: str) -> None:
        self._done = min(self._done + 1, self.STEPS)
        self.progress(self._done, self.STEPS, what)

    def finish(self) -> None:
        """Say that it is whole."""
        self.progress(self.STEPS, self.STEPS, "done")
