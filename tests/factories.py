"""Invented jobs, pieces and people, written through the program's own services. Nobody and nothing here is real."""

from __future__ import annotations

import hashlib
import itertools
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING, Any

from argon2 import PasswordHasher

from siteapp.jobs.services import JobFacts, make_job
from siteapp.people.models import Credential, Person
from siteapp.store import entries
from siteapp.store.identity import LAPTOP
from siteapp.store.models import Photo, Setting
from siteapp.store.photos import PhotoFolder

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from siteapp.store.entries import Writer

MARK = "(invented)"
_numbers = itertools.count(1)


def a_writer(session: Session, **overrides: Any) -> Writer:
    """A writer on the laptop that this database says it is; nobody in particular."""
    facts: dict[str, Any] = {"laptop_id": session.get_one(Setting, LAPTOP).value, "device": f"phone {MARK}"}
    return entries.Writer(**(facts | overrides))


def a_job(session: Session, writer: Writer | None = None, **overrides: Any) -> str:
    """A job; returns its id."""
    facts: JobFacts = {
        "title": f"Relief for a stair {next(_numbers)} {MARK}",
        "client": f"A. Client {MARK}",
        "place": "a library in a small town",
        "address": f"1 Nowhere Row {MARK}",
        "access_notes": "Goods lift at the back, keys at the desk.",
        "brief": None,
    }
    facts.update(overrides)  # type: ignore[typeddict-item]
    return make_job(session, writer or a_writer(session), facts)


def a_person(session: Session, writer: Writer | None = None, **overrides: Any) -> str:
    """A person without a passphrase (making one takes long on purpose); returns their id."""
    writer = writer or a_writer(session)
    person_id = writer.new_id("person")
    facts = {"name": f"Person {next(_numbers)} {MARK}", "role": "fitter", "active": True, "person_id": person_id}
    facts |= overrides
    entries.append(session, writer, kind="person", bodies=[Person(**facts)])
    return str(facts["person_id"])


@cache
def a_hash(passphrase: str) -> str:
    """A hash of a passphrase as the program keeps it, made with little work: whoever signs in pays as little again."""
    return PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(passphrase)


def a_person_who_signs_in(session: Session, *, name: str, role: str, passphrase: str) -> str:
    """A person with a passphrase; returns their id. `people.services` makes one with all the work that is due."""
    person_id = a_person(session, name=name, role=role)
    session.add(Credential(person_id=person_id, passphrase_hash=a_hash(passphrase)))
    return person_id


def a_piece(session: Session, writer: Writer | None = None, *, job_id: str | None = None, **overrides: Any) -> PieceNow:
    """A piece with two build-up lines and two hanging points; `overrides` are fields of its particulars."""
    from siteapp.pieces.services import find, make_piece

    writer = writer or a_writer(session)
    fields: dict[str, Any] = {
        "title": f"Shoal {next(_numbers)} {MARK}",
        "object_type": "wall relief",
        "description": "Folded sheet over a plywood frame.",
        "width_mm": 1200.0,
        "height_mm": 800.0,
        "depth_mm": 95.5,
        "mass_kg": 31.4,
        "mass_origin": "weighed",
        "mass_note": "floor scales, ±0.1 kg",
        "lift_people": 2,
        "finish": "hard wax oil",
        "care": "Dust with a dry brush.",
    }
    number = make_piece(
        session,
        writer,
        job_id=job_id or a_job(session, writer),
        facts={
            "fields": fields | overrides,
            "build_up": [
                {"material": "copper sheet", "thickness_mm": 0.7, "mass_kg": 6.1, "note": None},
                {"material": "birch plywood", "thickness_mm": 18.0, "mass_kg": None, "note": "frame only"},
            ],
            "hanging_points": [
                {"label": "A", "x_mm": 150.0, "y_mm": 740.0, "hole_mm": 6.5, "note": None},
                {"label": "B", "x_mm": 1050.0, "y_mm": 740.0, "hole_mm": 6.5, "note": None},
            ],
            "photos": (),
        },
    )
    piece = find(session, number)
    assert piece is not None
    return piece


def a_photo_row(session: Session, sha256: str | None = None, **overrides: Any) -> str:
    """A photo on record, without its file; returns its SHA-256."""
    sha256 = sha256 or hashlib.sha256(f"no such photo {next(_numbers)}".encode()).hexdigest()
    facts = {"media_type": "image/jpeg", "bytes": 1, "width": 4, "height": 3, "recorded_at": datetime.now(UTC)}
    session.merge(Photo(sha256=sha256, **(facts | overrides)))
    session.flush()
    return sha256


def a_photo(session: Session, store: Store, data: bytes | None = None) -> str:
    """Bytes on disk (no picture) and on record as a photo; returns their SHA-256."""
    data = data or f"not really a photo {next(_numbers)} {MARK}".encode()
    settings = store.settings
    sha256 = PhotoFolder(settings.photos, settings.cache).put(data)
    return a_photo_row(session, sha256, bytes=len(data))


@dataclass(frozen=True)
class Noise:
    """What lies beside a test's own rows."""

    job_id: str
    person_id: str
    piece: PieceNow


def noise(store: Store) -> Noise:
    """Another job with a piece of its own, another person, an odd entry about neither."""
    with store.write() as session:
        writer = a_writer(session)
        job_id = a_job(session, writer)
        entries.append(session, writer, kind="noise")
        return Noise(job_id, a_person(session, writer), a_piece(session, writer, job_id=job_id))
