"""Who may take a piece over, and what a certificate freezes."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest
import rfc8785
from sqlalchemy import select
from stdnum.iso7064 import mod_37_36

from siteapp.checks import services as checks
from siteapp.documents.certificate.records import CertificateRecord
from siteapp.handover import certificates, issuing
from siteapp.handover.models import Certificate, Handover
from siteapp.handover.signed import signed_now
from siteapp.jobs.redaction import LEFT_OUT
from siteapp.jobs.services import revise_job
from siteapp.pieces.services import find, revise_particulars
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.revisions import standing_bodies
from tests import factories
from tests.handover.support import CHOICES, SAID, answer_all, arrive, finish, hand_over, ready

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def issued(session: Session, piece: PieceNow, why: str | None = None, **choices: Any) -> tuple[str, dict[str, Any]]:
    number = issuing.issue_certificate(
        session, factories.a_writer(session), piece=piece, choices=replace(CHOICES, **choices), why=why
    )
    certificate = session.scalars(select(Certificate).where(Certificate.number == number)).one()
    return number, json.loads(certificate.record)


def test_a_piece_with_every_hold_point_met_is_handed_over(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
        sha = factories.a_photo_row(session)
        hand_over(session, piece, signature_sha256=sha, note="Scratch at the lower edge stays.")
    with database.read() as session:
        found = signed_now(session, piece.piece_id)
        assert found
        told = found.said
        assert (told.signed_name, told.said, told.signature_sha256) == ("A. Client (invented)", SAID, sha)


def test_an_open_hold_point_refuses_the_handover_by_name_and_leaves_nothing(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        hold = next(line for line in checks.state(session, piece).lines if line.hold)
        answer_all(session, piece, but=hold.key)
    with pytest.raises(StoreError) as refused, database.write() as session:
        hand_over(session, piece)
    assert hold.words in str(refused.value)
    assert "cannot tell" in str(refused.value)
    with database.read() as session:
        assert session.scalars(select(Handover)).all() == []


def test_a_piece_that_never_arrived_cannot_be_handed_over(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    with pytest.raises(StoreError, match="are not open yet"), store.write() as session:
        hand_over(session, piece)


def test_a_line_that_is_no_hold_point_stops_nothing_and_is_named_as_left_open(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        loose = next(line for line in checks.state(session, piece).lines if not line.hold)
        answer_all(session, piece, but=loose.key)
        hand_over(session, piece)
        _number, record = issued(session, piece)
        assert record["left_open"] == [f"{loose.words} (cannot tell)"]


def test_a_piece_is_handed_over_once_and_who_signed_is_named(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        hand_over(session, piece)
    with pytest.raises(StoreError, match=r"A\. Client \(invented\) signed on"), store.write() as session:
        hand_over(session, piece, signed_name="B. Other (invented)")
    with store.read() as session:
        assert len(session.scalars(select(Handover)).all()) == 1


def test_a_handover_recorded_wrong_is_corrected_once(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        first = hand_over(session, piece, signed_name="A. Cleint (invented)")
        hand_over(session, piece, corrects=[first])
        ((_entry, told),) = standing_bodies(session, Handover, piece_id=piece.piece_id)
        assert told.signed_name == "A. Client (invented)"
        with pytest.raises(Superseded):
            hand_over(session, piece, corrects=[first])


def test_the_handover_of_another_piece_cannot_be_corrected_here(store: Store) -> None:
    with store.write() as session:
        one, other = ready(session), ready(session)
        foreign = hand_over(session, other)
        with pytest.raises(StoreError, match="not a handover of this piece"):
            hand_over(session, one, corrects=[foreign])


def test_there_is_no_certificate_before_the_handover(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        with pytest.raises(StoreError, match="hand the piece over first"):
            issued(session, piece)


def test_a_certificate_freezes_the_record_with_its_digest(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
        hand_over(session, piece)
        number, _record = issued(session, piece, hung_on="2026-11-20")
    with database.read() as session:
        found = certificates.find_certificate(session, number)
        assert found
        assert (found.piece_number, found.newer) == (piece.number, None)
        certificate = found.now.certificate
        plain = json.loads(certificate.record)
        # SHA-256 of the canonical text by hashlib; the text is canonical when RFC 8785 gives it back unchanged.
        assert rfc8785.dumps(plain) == certificate.record.encode()
        assert hashlib.sha256(certificate.record.encode()).hexdigest() == certificate.record_digest
        record = CertificateRecord.from_json(plain)
        assert record.to_json() == plain
        assert (record.title, record.hung_on) == (piece.title, "2026-11-20")
        assert [layer.material for layer in record.build_up] == ["copper sheet", "birch plywood"]
        assert {answer.verdict for answer in record.checks} == {"met"}
        (coat,) = record.coats
        assert (coat.verdict, coat.air_c, coat.limits_source) == ("met", 20.0, "data sheet of March 2026 (invented)")
        assert record.agreed[0].said == "Yes, gladly."
        assert record.signature
        assert record.signature.said == SAID


def test_a_certificate_number_carries_its_check_character(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        hand_over(session, piece)
        number, _record = issued(session, piece)
    assert number.startswith("C-")
    assert mod_37_36.is_valid(number[2:])  # python-stdnum, ISO/IEC 7064
    assert certificates.parse_certificate_number(f" c-{number[2:6].lower()} {number[6:].lower()} ") == number


def test_later_revisions_never_change_an_issued_certificate(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
        hand_over(session, piece)
        number, before = issued(session, piece)
    with database.write() as session:
        facts = {
            "fields": {"title": "Renamed (invented)", "object_type": "wall relief", "mass_kg": None},
            "build_up": [],
            "hanging_points": [],
            "photos": (),
        }
        revise_particulars(
            session,
            factories.a_writer(session),
            piece=piece,
            revises=piece.revision.id,
            facts=facts,  # type: ignore[arg-type]
        )
        newer = find(session, piece.number)
        assert newer
        later, after = issued(session, newer, "the title changed")
    with database.read() as session:
        old = certificates.find_certificate(session, number)
        assert old
        assert json.loads(old.now.certificate.record) == before
        assert old.newer
        assert old.newer.number == later
        latest = certificates.latest_certificate(session, piece.piece_id)
        assert latest
        assert (latest.number, after["title"]) == (later, "Renamed (invented)")


def test_names_are_frozen_with_the_certificate(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        by_id = factories.a_person(session, name="F. Fitter (invented)")
        answer_all(session, piece, by_id=by_id)
        hand_over(session, piece)
        _number, record = issued(session, piece)
        assert {answer["by"] for answer in record["checks"]} == {"F. Fitter (invented)"}


SECRET = {
    "title": "Relief for the Quillfeather stair",
    "client": "Z. Quillfeather",
    "place": "a small town",
    "address": "Hollow House, 77 Nowhere Row\nSomewhere",
    "access_notes": "Key under the blue pot.",
    "brief": "Costs no more than 12 000.",
}


def test_nothing_the_job_says_of_the_client_is_on_a_certificate(store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, **SECRET)
        piece = factories.a_piece(session, job_id=job_id, description="Made for z.  QUILLFEATHER of 77 Nowhere Row.")
        arrive(session, piece, note="Key under the blue pot. Crate sound.")
        answer_all(session, piece)
        finish(session, piece)
        hand_over(session, piece, signed_name="Z. Quillfeather")
        _number, record = issued(session, piece)
    assert record["signature"].pop("name") == "Z. Quillfeather"
    text = json.dumps(record, ensure_ascii=False).casefold()
    for secret in ("quillfeather", "nowhere row", "hollow house", "blue pot", "12 000"):
        assert secret not in text
    assert record["object_id"]["description"] == f"Made for {LEFT_OUT} of {LEFT_OUT}."
    assert record["arrival"]["note"] == f"{LEFT_OUT} Crate sound."
    assert "site_address" not in record


def test_what_an_earlier_revision_of_the_job_said_is_left_out_too(store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, **SECRET)
        piece = factories.a_piece(session, job_id=job_id, care="Ask Z. Quillfeather.")
        from siteapp.jobs.services import job_now

        found = job_now(session, job_id)
        assert found
        facts: Any = SECRET | {"client": "Y. Other (invented)"}
        revise_job(session, factories.a_writer(session), job_id=job_id, revises=found[0].id, facts=facts)
        arrive(session, piece)
        answer_all(session, piece)
        hand_over(session, piece)
        _number, record = issued(session, piece)
        assert record["care_do"] == [f"Ask {LEFT_OUT}."]


def test_words_of_the_trade_are_not_torn_by_a_short_name(store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, client="Li")
        piece = factories.a_piece(session, job_id=job_id, materials="Lime and linen, by Li's own recipe")
        arrive(session, piece)
        answer_all(session, piece)
        hand_over(session, piece)
        _number, record = issued(session, piece)
        assert record["object_id"]["materials_and_techniques"].startswith("Lime and linen")


def test_photos_from_the_site_are_on_it_only_when_somebody_looked(store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        own = factories.a_photo_row(session)
        revise_particulars(
            session,
            factories.a_writer(session),
            piece=piece,
            revises=piece.revision.id,
            facts={
                "fields": {"title": "T (invented)", "object_type": "wall relief"},
                "build_up": [],
                "hanging_points": [],
                "photos": [PhotoUse(own, slot="piece")],
            },
        )
        newest = find(session, piece.number)
        assert newest
        hand_over(session, newest)
        _number, without = issued(session, newest)
        assert [(photo["sha256"], photo["role"]) for photo in without["photos"]] == [(own, "title")]
        _number, with_them = issued(session, newest, "with photos", site_photos=True)
        assert [photo["role"] for photo in with_them["photos"]] == ["title", "arrival", "back", "arrival", "finish"]


def test_certificates_of_other_pieces_supersede_nothing(store: Store) -> None:
    with store.write() as session:
        one, other = ready(session), ready(session)
        hand_over(session, one)
        hand_over(session, other)
        number, _record = issued(session, one)
        issued(session, other)
        found = certificates.find_certificate(session, number)
        assert found
        assert found.newer is None
        last = certificates.last_issued(session)
        assert last
        assert last.number != number
