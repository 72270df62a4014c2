"""Everything a certificate prints, taken together once and frozen. Read from the record, never from a form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.arrival.rules import indicators_in_words
from siteapp.arrival.services import arrivals
from siteapp.checks.services import state as check_state
from siteapp.documents import records
from siteapp.finishing.services import sessions
from siteapp.handover import redaction
from siteapp.handover.site_photos import photo_uses
from siteapp.people.services import names
from siteapp.store.models import ChainHead
from siteapp.trade.verdicts import MET
from siteapp.web.dates import now
from siteapp.web.i18n import _
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState, StageState
    from siteapp.finishing.models import Coat
    from siteapp.finishing.state import SessionState, Told
    from siteapp.handover.models import Handover
    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import Entry


@dataclass(frozen=True)
class Choices:
    """What only the maker can say when a certificate is issued. `hung_on` is a day, ISO 8601.

    `site_photos` says that the photos taken at the site may stand on it: somebody looked that none shows the client's
    rooms. `invented` marks a certificate of the demo.
    """

    maker: str
    workshop: str | None = None
    place: str | None = None
    contact: str | None = None
    hung_on: str | None = None
    touch_up: str | None = None
    fire_condition: str | None = None
    expected_wear: str | None = None
    inspections: str | None = None
    copyright_line: str | None = None
    moral_rights: str | None = None
    site_photos: bool = False
    invented: bool = False


def freeze(
    session: Session, *, piece: PieceNow, handed: tuple[Entry, Handover], number: str, choices: Choices
) -> dict[str, Any]:
    """The record as plain JSON values, with the client's contacts and ways in left out.

    The site's address is no part of it, nor is anything the job says: title, client, brief.
    """
    checks = check_state(session, piece)
    states = sessions(session, piece.piece_id)
    people = names(session, _people(checks, states))
    said = piece.particulars
    maker = records.Maker(choices.maker, choices.workshop, choices.place, _lines(choices.contact))
    head, handover = handed
    base = workshop(session).link_base
    frozen = records.CertificateRecord(
        number=number,
        piece_number=piece.number,
        title=said.title,
        maker=maker,
        issued_on=_day(now()),
        invented=choices.invented,
        link=f"{base}/c/{number}" if base else None,
        object_id=records.ObjectId(
            type_of_object=said.object_type,
            materials_and_techniques=said.materials,
            measurements=_measurements(piece),
            title=said.title,
            date_or_period=said.made_on,
            maker=choices.maker,
            description=said.description,
        ),
        made_on=said.made_on,
        hung_on=choices.hung_on,
        handed_over_on=_day(head.happened_at),
        sizes=records.Sizes(said.height_mm, said.width_mm, said.depth_mm),
        build_up=tuple(
            records.Layer(row.material, None, row.thickness_mm, row.mass_kg, row.note) for row in piece.build_up
        ),
        weight=records.Weight(said.mass_kg, said.mass_origin, said.mass_note),
        people_to_lift=None if said.lift_people is None else str(said.lift_people),
        way_up=said.way_up,
        hanging_points=tuple(
            records.HangingPoint(row.label, row.x_mm, row.y_mm, row.hole_mm, row.note) for row in piece.hanging_points
        ),
        taking_down=_lines(said.take_down),
        agreed=_agreed(states),
        finish=_lines(said.finish),
        touch_up=choices.touch_up,
        coats=tuple(_coat(state, told, people) for state in states for told in state.coats),
        fire=records.Fire(
            fire_class=said.fire_class,
            evidence=said.fire_evidence,
            covers=said.fire_covers,
            heat_limit_c=said.heat_limit_c,
            condition=choices.fire_condition,
        ),
        keep_away=_lines(said.keep_away),
        arrival=_arrival(session, piece),
        checks=tuple(_answer(line, people) for line in checks.lines),
        left_open=tuple(left_open(checks)),
        care_do=_lines(said.care),
        care_never=_lines(said.care_never),
        expected_wear=_lines(choices.expected_wear),
        inspections=_lines(choices.inspections),
        hazards=_lines(said.hazards),
        who_to_call=_lines(said.who_to_ask),
        copyright_line=choices.copyright_line,
        moral_rights=choices.moral_rights,
        photos=photo_uses(session, piece, states, at_site=choices.site_photos),
        signature=records.Signature(
            name=handover.signed_name,
            said=handover.said,
            at=_instant(head.happened_at),
            image_sha256=handover.signature_sha256,
        ),
        proof=_proof(session, head),
        sections=_note(handover),
    )
    return redaction.redact(frozen.to_json(), redaction.secrets_of(session, piece.job_id))


def left_open(checks: StageState) -> list[str]:
    """The checks that are not met, in words, hold points first."""
    lines = sorted(checks.lines, key=lambda line: not line.hold)
    return [f"{line.words} ({_(line.verdict)})" for line in lines if line.verdict != MET]


def _people(checks: StageState, states: tuple[SessionState, ...]) -> list[str | None]:
    answered = [one.by_id for line in checks.lines for one in line.standing]
    return [*answered, *(told.entry.by_id for state in states for told in state.coats)]


def _coat(state: SessionState, told: Told[Coat], people: Mapping[str, str]) -> records.Coat:
    coat = told.said
    known = (*state.climates, *(one for one in state.corrected if one.entry.kind == "climate"))
    read: Any = next((one.said for one in known if one.entry.id == coat.climate_id), None)
    climate = {
        name: getattr(read, name)
        for name in ("air_c", "relative_humidity", "surface_c", "dew_point_c", "margin_c", "limits_source")
        if read is not None
    }
    return records.Coat(
        product=coat.product,
        area=coat.zone,
        number=coat.number,
        batch=coat.batch,
        at=_instant(told.at),
        by=people.get(told.entry.by_id or ""),
        wet_um=coat.wet_um,
        verdict=coat.climate_verdict,
        reason=coat.reason,
        note=coat.note,
        **climate,
    )


def _agreed(states: tuple[SessionState, ...]) -> tuple[records.Agreed, ...]:
    return tuple(
        records.Agreed(_("Finish of %(zone)s", zone=state.begun.said.zone), _day(told.at), told.said.client_words)
        for state in states
        for told in state.closes
        if told.said.client_words
    )


def _arrival(session: Session, piece: PieceNow) -> records.Arrival:
    found = arrivals(session, piece.piece_id)
    if not found:
        return records.Arrival()
    last = found[0]
    by = names(session, [last.entry.by_id]).get(last.entry.by_id or "")
    return records.Arrival(
        _instant(last.entry.happened_at), last.said.found, indicators_in_words(last.said), last.said.note, by
    )


def _answer(line: LineState, people: Mapping[str, str]) -> records.Answer:
    answer = line.answer
    return records.Answer(
        line=line.words,
        verdict=line.verdict,
        list_name=line.list_name,
        reading=(answer.measured or None) if answer else None,
        by=people.get(answer.by_id or "") if answer else None,
        at=_instant(answer.at) if answer else None,
        hold_point=line.hold,
    )


def _proof(session: Session, head: Entry) -> records.Proof:
    last = session.scalars(select(ChainHead).where(ChainHead.chain == head.chain)).one()
    how = (
        _("The record is a text file, canonical JSON (RFC 8785); ask for it where this certificate was issued."),
        _("The digest is its SHA-256. Any program that works out a SHA-256 gives the same one for the same file."),
        _("A digest shows that a record is unaltered, not that it is true, nor who owns the piece."),
    )
    return records.Proof(chain=last.chain, chain_seq=last.seq, chain_head=last.digest, how=how)


def _note(handover: Handover) -> tuple[records.Section, ...]:
    if not handover.note:
        return ()
    return (records.Section(_("Noted at handover"), key="handover-note", paragraphs=_lines(handover.note)),)


def _measurements(piece: PieceNow) -> str | None:
    said = piece.particulars
    told = [
        _("%(what)s %(size)s mm", what=what, size=f"{size:g}")
        for what, size in (
            (_("height"), said.height_mm),
            (_("width"), said.width_mm),
            (_("depth"), said.depth_mm),
        )
        if size is not None
    ]
    return ", ".join(told) or None


def _lines(text: str | None) -> tuple[str, ...]:
    return tuple(line.strip() for line in (text or "").splitlines() if line.strip())


def _day(instant: datetime) -> str:
    return instant.astimezone().date().isoformat()


def _instant(instant: datetime) -> str:
    return instant.astimezone().isoformat(timespec="minutes")
