"""The record from which a condition report is printed: one look, the one before it, and what the piece is.

Built from looks and particulars as they stand; plain values, so that the PDF is made after reading has ended.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.condition.services import look_before, looks, slot_words, slots_of
from siteapp.dispatch.looks import SPOKEN
from siteapp.documents.certificate import records as certificate_records
from siteapp.documents.condition import records as condition_records
from siteapp.documents.condition.records import METALWORK, STRUCTURE, SURFACE
from siteapp.jobs import redaction
from siteapp.jobs.services import job_now
from siteapp.marks.kinds import WORDS as KIND_WORDS
from siteapp.people.services import names
from siteapp.pieces.slots import BACK, EDGES, FRONT, HARDWARE, RAKING, TARGET
from siteapp.web.dates import today
from siteapp.web.i18n import language
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.condition.services import Look
    from siteapp.documents.condition.records import ConditionRecord, LookRecord, Shot, Side, Spot
    from siteapp.marks.models import PhotoMark
    from siteapp.pieces.services import PieceNow

# Named in a report when they were not taken.
WANTED = (FRONT, BACK, EDGES, HARDWARE, RAKING, TARGET)
# Which part of the condition a kind of mark tells of, from memory of how such reports are ordered. A mark on a photo of
# the metalwork tells of the metalwork, whatever its kind; "other" tells of none.
ABOUT = {
    "crack": STRUCTURE,
    "dent": STRUCTURE,
    "loss": STRUCTURE,
    "loose part": STRUCTURE,
    "scratch": SURFACE,
    "abrasion": SURFACE,
    "chip": SURFACE,
    "stain": SURFACE,
    "tarnish or corrosion": METALWORK,
}


def record_of(
    session: Session, *, piece: PieceNow, look_id: str | None = None, invented: bool = False
) -> ConditionRecord | None:
    """What the report on a look prints, the latest look without `look_id`; None when there is no such look.

    The client's name, the address and the ways in are taken out of every text, as on a certificate.
    """
    known = looks(session, piece)
    look = next((one for one in reversed(known) if look_id in (None, one.entry.id)), None)
    if look is None:
        return None
    before = look_before(known, look)
    earlier = known[: known.index(look)]
    people = names(session, [one.entry.by_id for one in known])
    slots = slots_of(look, *([before] if before else []))
    shop = workshop(session).name
    job = job_now(session, piece.job_id)
    said = piece.particulars
    made = condition_records.ConditionRecord(
        piece_number=piece.number,
        title=said.title,
        look=_look(look, people, slots),
        before=_look(before, people, slots) if before else None,
        earlier=tuple(_look(one, people, ()) for one in earlier),
        maker=certificate_records.Maker(shop) if shop else None,
        object_type=said.object_type,
        description=said.description,
        materials=said.materials,
        finish=said.finish,
        made_on=said.made_on,
        sizes=certificate_records.Sizes(said.height_mm, said.width_mm, said.depth_mm),
        weight=certificate_records.Weight(said.mass_kg, said.mass_origin, said.mass_note),
        build_up=tuple(
            certificate_records.Layer(row.material, None, row.thickness_mm, row.mass_kg, row.note)
            for row in piece.build_up
        ),
        hanging_points=tuple(
            certificate_records.HangingPoint(row.label, row.x_mm, row.y_mm, row.hole_mm, row.note)
            for row in piece.hanging_points
        ),
        place=job[1].place if job else None,
        printed_on=today().isoformat(),
        entry_id=look.entry.id,
        entry_digest=look.entry.digest,
        invented=invented,
        language=language(),
    )
    secrets = redaction.secrets_of(session, piece.job_id)
    return condition_records.ConditionRecord.from_json(redaction.redact(made.to_json(), secrets))


def photos_of(record: ConditionRecord) -> list[str]:
    """The photos that the report shows, by SHA-256."""
    shown = [record.look, *([record.before] if record.before else [])]
    return sorted({shot.sha256 for look in shown for side in look.sides for shot in side.shots})


def _look(look: Look, people: Mapping[str, str], slots: Sequence[str]) -> LookRecord:
    marked: set[str] = set()
    return condition_records.LookRecord(
        reason=str(look.words),
        at=_instant(look.at),
        by=people.get(look.entry.by_id or ""),
        found=str(SPOKEN[look.found]),
        indicators=look.indicators,
        light=look.light,
        surroundings=look.surroundings,
        note=look.note,
        advice=look.advice,
        corrected=len(look.replaced),
        corrected_at=_instant(look.entry.happened_at) if look.replaced else None,
        marked_apart=look.marked_apart,
        sides=tuple(_side(look, slot, marked) for slot in dict.fromkeys([*WANTED, *slots])) if slots else (),
    )


def _side(look: Look, slot: str, marked: set[str]) -> Side:
    """The photos of a slot; `marked` holds those whose marks stand already, since one photo may be in two slots."""
    shots = []
    for photo in look.photos:
        if photo.slot == slot:
            marks = () if photo.sha256 in marked else [mark for mark in look.marks if mark.sha256 == photo.sha256]
            marked.add(photo.sha256)
            shots.append(_shot(photo.sha256, photo.caption, slot, marks))
    return condition_records.Side(slot, slot_words(slot), tuple(shots), slot in WANTED)


def _shot(sha256: str, caption: str | None, slot: str, marks: Sequence[PhotoMark]) -> Shot:
    return condition_records.Shot(sha256, caption, tuple(_spot(mark, slot) for mark in marks))


def _spot(mark: PhotoMark, slot: str) -> Spot:
    return condition_records.Spot(
        number=mark.number,
        x=mark.x,
        y=mark.y,
        kind=str(KIND_WORDS.get(mark.kind, mark.kind)) if mark.kind else None,
        note=mark.note,
        about=METALWORK if slot == HARDWARE else ABOUT.get(mark.kind or ""),
    )


def _instant(instant: datetime) -> str:
    return instant.astimezone().isoformat(timespec="minutes")
