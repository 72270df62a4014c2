"""The page on which anybody may look at a certificate, and what a certificate's code leads to."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select
from werkzeug.datastructures import FileStorage, MultiDict

from siteapp.handover.forms import VerifyForm
from siteapp.handover.models import Certificate
from tests import factories
from tests.handover.support import answer_all, arrive, file_of, hand_over, issued

if TYPE_CHECKING:
    from flask import Flask

    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def number(store: Store) -> str:
    with store.write() as session:
        made = factories.a_piece(session)
        arrive(session, made)
        answer_all(session, made)
        hand_over(session, made)
    return issued(store, made)


def test_a_stranger_learns_whether_a_file_is_as_issued(stranger: Browser, store: Store, number: str) -> None:
    data = file_of(store, number)
    answer = stranger.post("/verify", {"file": (io.BytesIO(data), "certificate.pdf")})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 200
    assert "As issued, and it stands" in page
    assert number in page
    altered = bytearray(data)
    altered[len(data) // 2] ^= 1
    answer = stranger.post("/verify", {"file": (io.BytesIO(bytes(altered)), "<b>certificate</b>.pdf")})
    page = answer.get_data(as_text=True)
    assert "Altered" in page
    assert "&lt;b&gt;certificate" in page


def test_a_number_leads_to_its_page_and_an_unknown_one_is_named(stranger: Browser, number: str) -> None:
    answer = stranger.post("/verify", {"number": number.lower().replace("c-", "c ")})
    assert (answer.status_code, answer.location) in {(303, f"/c/{number}"), (422, None)}
    answer = stranger.post("/verify", {"number": number})
    assert (answer.status_code, answer.location) == (303, f"/c/{number}")
    answer = stranger.post("/verify", {"number": "hello"})
    assert answer.status_code == 422
    assert 'value="hello"' in answer.get_data(as_text=True)
    answer = stranger.post("/verify", {})
    assert answer.status_code == 422
    assert "Choose the certificate" in answer.get_data(as_text=True)


def test_a_file_that_is_too_large_is_refused_by_name_and_size(app: Flask) -> None:
    sent = FileStorage(io.BytesIO(b"%PDF-1.7" + bytes(31 * 1024**2)), "large.pdf")
    with app.test_request_context():
        form = VerifyForm(MultiDict([("file", sent)]))
        assert not form.validate()
    (said,) = form.file.errors
    assert said == "The certificate's file: the file is larger than 30 MB, the most that is looked at."


def test_the_code_on_the_paper_leads_to_its_page_and_says_whether_it_fits(
    stranger: Browser, store: Store, number: str
) -> None:
    with store.read() as session:
        digest = session.scalars(select(Certificate.record_digest)).one()
    answer = stranger.get(f"/C/{number}/{digest[:32].upper()}")
    assert (answer.status_code, answer.location) == (308, f"/c/{number}/{digest[:32]}")
    page = stranger.get(answer.location).get_data(as_text=True)
    assert "The code on the paper names the record that was issued" in page
    for wrong in ("0" * 32, digest[:8], "z"):
        page = stranger.get(f"/c/{number}/{wrong}").get_data(as_text=True)
        assert "names another record than the one that was issued" in page
    assert stranger.get(f"/C/{number}").location == f"/c/{number}"
    assert stranger.get(f"/c/{number}").status_code == 200


def test_the_leaf_says_where_it_hangs_and_only_a_maker_gets_it(
    maker: Browser, fitter: Browser, store: Store, number: str
) -> None:
    with store.read() as session:
        from siteapp.handover.certificates import find_certificate

        found = find_certificate(session, number)
    assert found
    answer = maker.get(f"/p/{found.piece_number}/address-leaf.pdf")
    assert answer.status_code == 200
    assert answer.data.startswith(b"%PDF")
    assert fitter.get(f"/p/{found.piece_number}/address-leaf.pdf").status_code == 403
