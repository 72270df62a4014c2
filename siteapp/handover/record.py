"""Everything a certificate prints, taken together once and frozen. Read from the record, never from a form."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.checks.services import states as check_states
from siteapp.documents.certificate import records
from siteapp.documents.records import Section
from siteapp.finishing.services import sessions
from siteapp.handover import finished, gathered, hung
from siteapp.handover.site_photos import photo_uses
from siteapp.jobs import redaction
from siteapp.snags.services import snags
from siteapp.store.models import ChainHead
from siteapp.web.dates import now
from siteapp.web.i18n import _
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.handover.models import Handover
    from siteapp.handover.signed import Signed
    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import Entry
    from siteapp.store.signing import Key


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
    inscriptions: str | None = None
    distinguishing: str | None = None
    subject: str | None = None
    tools: str | None = None
    touch_up: str | None = None
    fire_condition: str | None = None
    expected_wear: str | None = None
    inspections: str | None = None
    copyright_line: str | None = None
    moral_rights: str | None = None
    site_photos: bool = False
    invented: bool = False
    paper: str = "A4"


def freeze(
    session: Session,
    *,
    piece: PieceNow,
    handed: Signed,
    number: str,
    choices: Choices,
    supersedes: records.Supersedes | None = None,
    key: Key | None = None,
) -> dict[str, Any]:
    """The record as plain JSON values, with the client's contacts and ways in left out.

    The site's address is no part of it, nor is anything the job says: title, client, brief. `key` is what the file will
    be signed with.
    """
    stages = check_states(session, piece)
    states = sessions(session, piece.piece_id)
    people = gathered.people_in(session, stages, states)
    secrets = redaction.secrets_of(session, piece.job_id)
    said = piece.particulars
    maker = records.Maker(choices.maker, choices.workshop, choices.place, _lines(choices.contact))
    head, handover = handed.entry, handed.said
    base = workshop(session).link_base
    frozen = records.CertificateRecord(
        number=number,
        piece_number=piece.number,
        title=said.title,
        maker=maker,
        issued_on=gathered.day_of(now()),
        invented=choices.invented,
        link=f"{base}/c/{number}" if base else None,
        object_id=records.ObjectId(
            type_of_object=said.object_type,
            materials_and_techniques=said.materials,
            measurements=_measurements(piece),
            inscriptions_and_markings=choices.inscriptions,
            distinguishing_features=choices.distinguishing,
            subject=choices.subject,
            title=said.title,
            date_or_period=said.made_on,
            maker=choices.maker,
            description=said.description,
        ),
        made_on=said.made_on,
        hung_on=choices.hung_on,
        handed_over_on=gathered.day_of(head.happened_at),
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
        tools=_lines(choices.tools),
        **hung.told(session, piece),
        agreed=gathered.agreed(session, piece.piece_id, states, secrets),
        conditions=tuple(row.words for row in handed.conditions),
        finish=_lines(said.finish),
        touch_up=choices.touch_up,
        kit=finished.kit_told(session, piece.piece_id),
        colours=finished.colours_told(session, piece.piece_id),
        coats=tuple(gathered.coat(state, told, people) for state in states for told in state.coats),
        fire=records.Fire(
            fire_class=said.fire_class,
            evidence=said.fire_evidence,
            covers=said.fire_covers,
            heat_limit_c=said.heat_limit_c,
            condition=choices.fire_condition,
            **finished.fire_told(session, piece),
        ),
        keep_away=_lines(said.keep_away),
        arrival=gathered.arrival(session, piece),
        checks=tuple(gathered.answer(line, people) for line in gathered.lines_told(stages)),
        releases=gathered.releases(stages, people),
        snags=gathered.snags_left(session, piece.piece_id, secrets),
        left_open=tuple(gathered.left_open(stages, snags(session, piece.piece_id))),
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
            at=gathered.instant_of(head.happened_at),
            image_sha256=handover.signature_sha256,
        ),
        further_signatures=tuple(
            records.Signature(
                name=row.name,
                at=gathered.instant_of(head.happened_at),
                capacity=row.capacity,
                image_sha256=row.signature_sha256,
            )
            for row in handed.signatures
        ),
        supersedes=supersedes,
        proof=_proof(session, head, key),
        paper=choices.paper,
        sections=_note(handover),
    )
    return redaction.redact(frozen.to_json(), secrets)


def _proof(session: Session, head: Entry, key: Key | None) -> records.Proof:
    last = session.scalars(select(ChainHead).where(ChainHead.chain == head.chain)).one()
    if key is None:
        how = (
            _("The record is a text file, canonical JSON (RFC 8785); ask for it where this certificate was issued."),
            _("The digest is its SHA-256. Any program that works out a SHA-256 gives the same one for the same file."),
        )
    else:
        how = (
            _("The file of this certificate is signed as a whole. Any reader of PDFs that checks signatures shows it."),
            _("The record it was made from is attached to it: canonical JSON (RFC 8785). The digest is its SHA-256."),
            _("What is printed on paper can be altered without a trace: compare it with the file."),
        )
    return records.Proof(
        chain=last.chain,
        chain_seq=last.seq,
        chain_head=last.digest,
        how=how,
        signed_by=key.name if key else None,
        key_fingerprint=key.fingerprint if key else None,
    )


def _note(handover: Handover) -> tuple[Section, ...]:
    if not handover.note:
        return ()
    return (Section(_("Noted at handover"), key="handover-note", paragraphs=_lines(handover.note)),)


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
