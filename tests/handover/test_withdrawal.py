"""Certificates issued again and withdrawn: where each stands, and who is told why."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.handover import issuing
from siteapp.handover.certificates import (
    STANDS,
    SUPERSEDED,
    WITHDRAWN,
    certificates,
    find_certificate,
    latest_certificate,
)
from siteapp.handover.pdf import frozen_record
from siteapp.store.errors import StoreError
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.documents import reading
from tests.handover.support import CHOICES, hand_over, ready

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

CHOSEN = {"maker": "M. Maker (invented)"}
JOB = {"client": "Z. Quillfeather", "address": "77 Nowhere Row", "access_notes": "Key under the blue pot."}
WHY = "Z. Quillfeather found the weight wrong."


def issue(session: Session, piece: PieceNow, why: str | None = None) -> str:
    return issuing.issue_certificate(session, factories.a_writer(session), piece=piece, choices=CHOICES, why=why)


def withdraw(session: Session, piece: PieceNow, number: str, reason: str = WHY) -> str:
    writer = factories.a_writer(session)
    return issuing.withdraw_certificate(session, writer, piece=piece, number=number, reason=reason)


def handed_over(session: Session) -> PieceNow:
    piece = ready(session, job_id=factories.a_job(session, **JOB))
    hand_over(session, piece)
    return piece


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return handed_over(session)


def test_each_certificate_of_a_piece_says_where_it_stands(database: Store) -> None:
    with database.write() as session:
        piece = handed_over(session)
        first, second = issue(session, piece), issue(session, piece, "the finish was left out")
        withdraw(session, piece, first)
        third = issue(session, piece, "and the care")
    with database.read() as session:
        chain = certificates(session, piece.piece_id)
        assert [one.number for one in chain] == [first, second, third]
        assert [one.state for one in chain] == [WITHDRAWN, SUPERSEDED, STANDS]
        assert [one.certificate.why for one in chain] == [None, "the finish was left out", "and the care"]
        assert chain[0].withdrawn
        assert chain[0].withdrawn[1] == WHY
        record = frozen_record(chain[1].certificate)
        assert record.supersedes
        assert (record.supersedes.number, record.supersedes.why) == (first, "the finish was left out")


def test_one_withdrawn_brings_no_earlier_one_back_and_a_new_one_can_be_issued(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first, second = issue(session, piece), issue(session, piece, "the care was left out")
        withdraw(session, piece, second)
        assert latest_certificate(session, piece.piece_id) is None
        assert [one.state for one in certificates(session, piece.piece_id)] == [SUPERSEDED, WITHDRAWN]
        found = find_certificate(session, first)
        assert found
        assert found.newer
        assert found.newer.number == second
        third = issue(session, piece, "withdrawn before")
        latest = latest_certificate(session, piece.piece_id)
        assert latest
        assert latest.number == third


def test_a_certificate_is_withdrawn_once(database: Store) -> None:
    with database.write() as session:
        piece = handed_over(session)
        number = issue(session, piece)
        withdraw(session, piece, number)
        with pytest.raises(StoreError, match="was withdrawn already"):
            withdraw(session, piece, number, "again")


def test_the_certificate_of_another_piece_is_not_withdrawn_here(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        other = handed_over(session)
        number = issue(session, other)
        with pytest.raises(StoreError, match="no certificate"):
            withdraw(session, piece, number)


def test_issuing_again_needs_a_reason_and_the_first_time_none_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        issue(session, piece, "said too early")
        assert [one.certificate.why for one in certificates(session, piece.piece_id)] == [None]
        with pytest.raises(FieldProblem, match="Why a new one"):
            issue(session, piece)


def test_the_form_asks_why_when_one_was_issued_before(maker: Browser, piece: PieceNow, store: Store) -> None:
    path = f"/p/{piece.number}/handover/certificate"
    assert "Why a new one is issued" not in maker.get(path).get_data(as_text=True)
    assert maker.post(path, CHOSEN).status_code == 303
    assert "Why a new one is issued" in maker.get(path).get_data(as_text=True)
    answer = maker.post(path, CHOSEN | {"moral_rights": "kept as typed"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Why a new one: this is needed" in page
    assert "kept as typed" in page
    assert maker.post(path, CHOSEN | {"why": "w" * 1001}).status_code == 422
    with store.read() as session:
        assert len(certificates(session, piece.piece_id)) == 1


def test_a_withdrawn_certificate_says_so_to_everybody_without_naming_the_client(
    maker: Browser, stranger: Browser, piece: PieceNow, store: Store
) -> None:
    with store.write() as session:
        number = issue(session, piece)
    path = f"/p/{piece.number}/handover/certificates/{number}/withdraw"
    answer = maker.post(path, {"reason": " "})
    assert answer.status_code == 422
    assert "this is needed" in answer.get_data(as_text=True)
    assert maker.post(path, {"reason": "r" * 1001}).status_code == 422
    assert maker.post(path, {"reason": WHY}).status_code == 303
    page = stranger.get(f"/c/{number}").get_data(as_text=True)
    assert "This certificate was withdrawn on" in page
    assert "found the weight wrong." in page
    assert "Quillfeather" not in page
    assert "This is the latest certificate" not in page
    page = maker.get(f"/p/{piece.number}/handover").get_data(as_text=True)
    assert WHY in page
    assert "Issue a new certificate" in page
    assert "Open the certificate (PDF)" not in page
    again = maker.post(path, {"reason": "again"})
    assert again.status_code == 422
    assert "was withdrawn already" in again.get_data(as_text=True)


def test_the_pdf_of_a_withdrawn_one_is_marked_and_not_given_as_the_latest(
    maker: Browser, piece: PieceNow, store: Store
) -> None:
    with store.write() as session:
        number = issue(session, piece)
    pdf = f"/p/{piece.number}/certificate.pdf"
    assert "Withdrawn" not in reading.text(maker.get(pdf).data)
    with store.write() as session:
        withdraw(session, piece, number)
    answer = maker.get(pdf)
    assert answer.status_code == 404
    assert f"The certificate {number} was withdrawn." in answer.get_data(as_text=True)
    assert maker.get(f"/p/{piece.number}/certificate.json").status_code == 404
    said = reading.text(maker.get(f"{pdf}?number={number}").data)
    assert "Withdrawn." in said
    assert "found the weight wrong." in said
    assert "Quillfeather found" not in said
    assert maker.get(f"{pdf}?number={number[:-1]}").status_code == 404
    assert maker.get(f"/p/{piece.number}/certificate.json?number={number.lower()}").status_code == 200


def test_another_piece_s_certificate_is_not_here(maker: Browser, piece: PieceNow, store: Store) -> None:
    with store.write() as session:
        number = issue(session, handed_over(session))
    assert maker.get(f"/p/{piece.number}/certificate.pdf?number={number}").status_code == 404
    path = f"/p/{piece.number}/handover/certificates/{number}/withdraw"
    assert maker.get(path).status_code == 404
    assert maker.post(path, {"reason": "none"}).status_code == 404


def test_a_certificate_is_saved_to_a_stick_when_asked(fitter: Browser, piece: PieceNow, store: Store) -> None:
    with store.write() as session:
        number = issue(session, piece)
    said = fitter.get(f"/p/{piece.number}/certificate.pdf?download=1").headers["Content-Disposition"]
    assert said == f'attachment; filename="certificate-{number}.pdf"'
