"""Fills an empty database with the demo, through the same services that the pages use."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import NAMESPACE_URL, uuid5

from seed_demo import scenario
from seed_demo.drawing import light, things
from seed_demo.drawing import pieces as drawing
from siteapp.arrival.services import record_arrival
from siteapp.checks import services as checks
from siteapp.finishing import services as finishing
from siteapp.handover import services as handover
from siteapp.handover.record import Choices
from siteapp.jobs.services import make_job
from siteapp.people.services import add_person, nobody_yet
from siteapp.pieces import services as pieces
from siteapp.pieces import slots
from siteapp.store.entries import PhotoUse, Writer
from siteapp.store.errors import StoreError
from siteapp.store.images import inspect
from siteapp.store.models import Photo
from siteapp.store.photos import PhotoFolder
from siteapp.workshop.services import Workshop, set_workshop

if TYPE_CHECKING:
    from collections.abc import Callable

    from PIL import Image
    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

SIGN_IN = scenario.SIGN_IN
DEVICE = "demo"


def build(store: Store, settings: Settings, progress: Callable[[int, int, str], None]) -> None:
    """Fill the database with people, two jobs and three pieces. Raises StoreError when it is not empty."""
    with store.read() as session:
        if not nobody_yet(session):
            message = "the demo fills only an empty database, and this one has people in it"
            raise StoreError(message)
    filling = _Filling(store, settings, progress)
    filling.people()
    filling.readied("handed over", filling.job("birds"), scenario.DUNLINS, drawing.relief(1, 3), drawing.back(11))
    filling.whole_journey()
    filling.readied("arrived", filling.jobs["birds"], scenario.CURLEW, drawing.relief(2, 1), drawing.back(12))
    filling.as_far_as_the_hold_point()
    glow = drawing.relief(3, 2, (214, 204, 186), glow=True)
    filling.readied("made ready", filling.job("hearth"), scenario.OVERMANTEL, glow, drawing.back(13))


class _Filling:
    """One run: counts its steps, keeps who writes and what was made."""

    STEPS = 26

    def __init__(self, store: Store, settings: Settings, progress: Callable[[int, int, str], None]) -> None:
        self.store = store
        self.photos = PhotoFolder(settings.photos, settings.cache)
        self.progress = progress
        self.done = 0
        self.laptop = store.begin_laptop()
        self.by: dict[str, str] = {}
        self.jobs: dict[str, str] = {}
        self.numbers: dict[str, str] = {}
        # The invented days end a few hours ago, whenever the demo is filled.
        self.clock = datetime.now(UTC) - timedelta(days=2, hours=4)

    def people(self) -> None:
        for name, role, passphrase in SIGN_IN:
            writer = self._writer(f"person {name}", None)

            def add(
                session: Session, writer: Writer = writer, who: tuple[str, str, str] = (name, role, passphrase)
            ) -> str:
                return add_person(session, writer, name=who[0], role=who[1], passphrase=who[2])

            self.by[role] = self._run(f"people: {name}", add)
        self._run("workshop", lambda session: set_workshop(session, Workshop(scenario.WORKSHOP, scenario.LINK_BASE)))

    def job(self, key: str) -> str:
        writer = self._writer(f"job {key}", "maker")
        self.jobs[key] = self._run(f"job: {key}", lambda session: make_job(session, writer, scenario.JOBS[key]))
        return self.jobs[key]

    def readied(self, key: str, job_id: str, facts: dict[str, Any], front: Image.Image, back: Image.Image) -> None:
        writer = self._writer(f"piece {key}", "maker")
        photos = [
            PhotoUse(self._photo(front), "piece", "the piece from the front"),
            PhotoUse(self._photo(back), "piece", "the back with its metalwork and label"),
        ]
        said = pieces.PieceFacts(**facts, photos=photos)
        self.numbers[key] = self._run(
            f"piece: {facts['fields']['title']}",
            lambda session: pieces.make_piece(session, writer, job_id=job_id, facts=said),
        )

    def whole_journey(self) -> None:
        key = "handed over"
        self._arrive(key, 21)
        for line_key, facts in scenario.ALL_ANSWERS:
            self._answer(key, line_key, facts)
        self._finish(key)
        writer = self._writer("handover", "maker", hours=2)
        self._run(
            "handover",
            lambda session: handover.hand_over(
                session, writer, piece=self._piece(session, key), signature_sha256=None, **scenario.HANDOVER
            ),
        )
        issuing = self._writer("certificate", "maker")
        choices = Choices(**scenario.CERTIFICATE, invented=True)
        self._run(
            "certificate",
            lambda session: handover.issue_certificate(
                session, issuing, piece=self._piece(session, key), choices=choices
            ),
        )

    def as_far_as_the_hold_point(self) -> None:
        self._arrive("arrived", 31)
        for line_key, facts in scenario.FIRST_ANSWERS:
            self._answer("arrived", line_key, facts)

    def _arrive(self, key: str, seed: int) -> None:
        writer = self._writer(f"arrival {key}", "fitter", hours=3)
        photos = [
            PhotoUse(self._photo(things.crate(seed)), slots.CRATE, "the crate off the van, indicators not tripped"),
            PhotoUse(
                self._photo(drawing.relief(seed + 1, 3 if seed < 30 else 1)), slots.FRONT, "unwrapped, from the front"
            ),
            PhotoUse(self._photo(drawing.back(seed + 2)), slots.BACK, "the back on arrival"),
            PhotoUse(self._photo(drawing.edge(seed + 3)), slots.EDGES, "the lower edge on arrival"),
        ]
        self._run(
            "arrival",
            lambda session: record_arrival(
                session, writer, piece=self._piece(session, key), photos=photos, **scenario.ARRIVAL
            ),
        )

    def _answer(self, key: str, line_key: str, facts: dict[str, Any]) -> None:
        writer = self._writer(f"answer {key} {line_key}", "fitter", hours=0.2)
        photos = (
            [PhotoUse(self._photo(things.meter(len(line_key), facts["meter"])), "answer")] if "meter" in facts else []
        )
        said = {name: value for name, value in facts.items() if name != "meter"}

        def work(session: Session) -> str:
            piece = self._piece(session, key)
            list_id = checks.state(session, piece).lines[0].list_id
            return checks.answer(
                session, writer, piece=piece, list_id=list_id, line_key=line_key, photos=photos, **said
            )

        self._run(f"check: {line_key}", work)

    def _finish(self, key: str) -> None:
        begun = self._writer("session", "maker", hours=1)
        before = [PhotoUse(self._photo(drawing.spray(40)), "before", "before the first coat")]
        session_id = self._run(
            "finishing session",
            lambda session: finishing.start_session(
                session, begun, piece=self._piece(session, key), photos=before, **scenario.FINISHING
            ),
        )
        for number, (climate, digits, coat) in enumerate(scenario.COATS):
            reading = self._writer(f"climate {number}", "maker", hours=0.3)
            shown = [PhotoUse(self._photo(things.meter(50 + number, digits)), "meter", "the meter at the wall")]
            self._run(
                "climate",
                lambda session, reading=reading, climate=climate, shown=shown: finishing.record_climate(
                    session,
                    reading,
                    piece=self._piece(session, key),
                    session_id=session_id,
                    facts=climate,
                    photos=shown,
                ),
            )
            coating = self._writer(f"coat {number}", "maker", hours=0.5)
            self._run(
                "coat",
                lambda session, coating=coating, coat=coat: finishing.apply_coat(
                    session, coating, piece=self._piece(session, key), session_id=session_id, facts=coat
                ),
            )
        closing = self._writer("close", "maker", hours=1)
        after = [PhotoUse(self._photo(drawing.relief(60, 3, (226, 218, 200))), "after", "after the last coat")]
        self._run(
            "finishing session ended",
            lambda session: finishing.close_session(
                session, closing, piece=self._piece(session, key), session_id=session_id, photos=after, **scenario.CLOSE
            ),
        )

    def _piece(self, session: Session, key: str) -> PieceNow:
        return pieces.find(session, self.numbers[key])  # type: ignore[return-value]

    def _photo(self, drawn: Image.Image) -> str:
        data = light.jpeg(drawn)
        facts = inspect(data)
        sha = self.photos.put(data)

        def record(session: Session) -> None:
            if session.get(Photo, sha) is None:
                row = Photo(
                    sha256=sha, media_type=facts.media_type, bytes=len(data), width=facts.width, height=facts.height
                )
                row.recorded_at, row.by_id = datetime.now(UTC), self.by.get("maker")
                session.add(row)

        self.store.transact(record)
        return sha

    def _writer(self, what: str, role: str | None, hours: float = 0.1) -> Writer:
        self.clock += timedelta(hours=hours)
        return Writer(
            laptop_id=self.laptop,
            by_id=self.by.get(role) if role else None,
            device=DEVICE,
            at=self.clock,
            form_id=str(uuid5(NAMESPACE_URL, f"siteapp demo {what}")),
        )

    def _run(self, what: str, work: Callable[[Session], Any]) -> Any:
        made = self.store.transact(work)
        self.done = min(self.done + 1, self.STEPS)
        self.progress(self.done, self.STEPS, what)
        return made
