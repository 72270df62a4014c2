"""Handover and certificate as maker, fitter and stranger meet them."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from siteapp.handover.certificates import latest_certificate
from siteapp.handover.models import Certificate, Handover
from siteapp.handover.signed import signed_now
from siteapp.workshop.services import Workshop, set_workshop
from tests import factories
from tests.handover.support import SAID, answer_all, arrive, ready

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

SIGNED = {"signed_name": "A. Client (invented)", "said": SAID}
CHOSEN = {"maker": "M. Maker (invented)"}
JOB = {"client": "Z. Quillfeather", "address": "77 Nowhere Row", "access_notes": "Key under the blue pot."}


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        job_id = factories.a_job(session, **JOB)
        return ready(session, job_id=job_id)


def test_the_client_signs_on_the_makers_device_and_the_certificate_follows(
    maker: Browser, piece: PieceNow, store: Store
) -> None:
    page = maker.get(f"/p/{piece.number}/handover").get_data(as_text=True)
    assert "Dust with a dry brush." in page
    drawn = io.BytesIO()
    Image.new("RGBA", (300, 100)).save(drawn, "PNG")
    drawn.seek(0)
    answer = maker.post(f"/p/{piece.number}/handover", SIGNED | {"drawn": (drawn, "signature.png")})
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/handover")
    page = maker.get(answer.location).get_data(as_text=True)
    assert "Issue the certificate" in page
    with store.read() as session:
        assert session.query(Handover).one().signature_sha256 in page
    assert maker.get(f"/p/{piece.number}/certificate.pdf").status_code == 404
    assert maker.post(f"/p/{piece.number}/handover/certificate", CHOSEN).status_code == 303
    with store.read() as session:
        number = session.query(Certificate).one().number
    assert number in maker.get(answer.location).get_data(as_text=True)


def test_a_name_is_always_asked_for(maker: Browser, piece: PieceNow, store: Store) -> None:
    for name, told in (("", "this is needed"), ("n" * 201, "at most 200")):
        answer = maker.post(f"/p/{piece.number}/handover", SIGNED | {"signed_name": name, "note": "kept as typed"})
        assert answer.status_code == 422
        assert told in answer.get_data(as_text=True)
        assert "kept as typed" in answer.get_data(as_text=True)
    with store.read() as session:
        assert session.query(Handover).count() == 0


def test_an_open_hold_point_is_named_before_and_after_sending(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        answer_all(session, piece, but="anchors-proved")
    page = maker.get(f"/p/{piece.number}/handover").get_data(as_text=True)
    assert "Not to be handed over while a hold point is open" in page
    assert "The anchors in the wall were pulled and held" in page
    assert 'name="signed_name"' not in page
    answer = maker.post(f"/p/{piece.number}/handover", SIGNED)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "The anchors in the wall were pulled and held" in page
    assert 'value="A. Client (invented)"' in page


def test_a_piece_that_has_not_arrived_is_sent_to_its_arrival(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    page = maker.get(f"/p/{piece.number}/handover").get_data(as_text=True)
    assert "are not open yet" in page
    assert f'href="/p/{piece.number}/arrival"' in page


def test_a_fitter_looks_and_does_not_sign(fitter: Browser, piece: PieceNow, store: Store) -> None:
    page = fitter.get(f"/p/{piece.number}/handover")
    assert page.status_code == 200
    assert 'name="signed_name"' not in page.get_data(as_text=True)
    assert fitter.post(f"/p/{piece.number}/handover", SIGNED).status_code == 403
    assert fitter.post(f"/p/{piece.number}/handover/certificate", CHOSEN).status_code == 403
    with store.read() as session:
        assert session.query(Handover).count() == 0


def test_what_was_recorded_wrong_is_corrected(maker: Browser, piece: PieceNow, store: Store) -> None:
    assert maker.get(f"/p/{piece.number}/handover/correct").status_code == 404
    maker.post(f"/p/{piece.number}/handover", SIGNED | {"signed_name": "A. Cleint"})
    with store.read() as session:
        first = session.query(Handover).one().entry_id
    page = maker.get(f"/p/{piece.number}/handover/correct").get_data(as_text=True)
    assert f'name="corrects" value="{first}"' in page
    assert maker.post(f"/p/{piece.number}/handover", SIGNED | {"corrects": first}).status_code == 303
    with store.read() as session:
        found = signed_now(session, piece.piece_id)
        assert found
        assert found.said.signed_name == "A. Client (invented)"


def test_the_public_page_of_a_certificate_names_nobody(
    maker: Browser, stranger: Browser, piece: PieceNow, store: Store
) -> None:
    maker.post(f"/p/{piece.number}/handover", SIGNED | {"signed_name": "Z. Quillfeather"})
    for why in ("", "the weight was wrong"):
        answer = maker.post(f"/p/{piece.number}/handover/certificate", CHOSEN | {"why": why})
        assert answer.status_code == 303
    with store.read() as session:
        newest = latest_certificate(session, piece.piece_id)
        assert newest
        (old,) = [one for one in session.query(Certificate) if one.number != newest.number]
    page = stranger.get(f"/c/{old.number.lower()}").get_data(as_text=True)
    assert "superseded" in page
    assert newest.number in page
    assert old.record_digest[:8] in page
    assert f"/p/{piece.number}" in page
    for secret in ("Quillfeather", "Nowhere", "blue pot", "M. Maker"):
        assert secret not in page
    assert "superseded" not in stranger.get(f"/c/{newest.number}").get_data(as_text=True)
    assert stranger.get(f"/p/{piece.number}/certificate.pdf").status_code == 303


@pytest.mark.parametrize("number", ["C-ZZZZZZZZ", "C-0000", "nothing", "C-ZH3HFANT"])
def test_a_number_that_names_no_certificate_is_not_found(stranger: Browser, number: str) -> None:
    assert stranger.get(f"/c/{number}").status_code == 404


def test_a_lasting_address_leads_to_the_certificate(maker: Browser, piece: PieceNow, store: Store) -> None:
    with store.write() as session:
        set_workshop(session, Workshop("A workshop (invented)", "https://workshop.example"))
    maker.post(f"/p/{piece.number}/handover", SIGNED)
    page = maker.get(f"/p/{piece.number}/handover/certificate").get_data(as_text=True)
    assert 'value="A workshop (invented)"' in page
    maker.post(f"/p/{piece.number}/handover/certificate", CHOSEN)
    with store.read() as session:
        certificate = session.query(Certificate).one()
        assert f'"link":"https://workshop.example/c/{certificate.number}"' in certificate.record
