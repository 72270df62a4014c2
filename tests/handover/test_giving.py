"""The certificate by a link on the hotspot: for an hour, to whoever has the link, and to nobody else."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from typing import TYPE_CHECKING

import pypdf
import pytest
import zxingcpp
from PIL import Image
from sqlalchemy import select, text

from siteapp.handover import giving, issuing
from siteapp.handover.certificates import certificates, latest_certificate
from siteapp.handover.models import GivenLink
from siteapp.phones.services import note_addresses
from siteapp.store.errors import StoreError
from siteapp.web.current import EXTENSION
from tests import factories
from tests.handover.support import CHOICES, hand_over, ready

if TYPE_CHECKING:
    from flask import Flask
    from sqlalchemy.orm import Session
    from werkzeug.test import TestResponse

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

SECRET = b"a secret of a test, thirty-two b."
BY = "00000000-0000-4000-8000-000000000001"


def now() -> datetime:
    return datetime.now(UTC)


def with_certificate(session: Session) -> PieceNow:
    piece = ready(session)
    hand_over(session, piece)
    issuing.issue_certificate(session, factories.a_writer(session), piece=piece, choices=CHOICES)
    return piece


def give(session: Session, piece: PieceNow, at: datetime | None = None) -> str:
    """Make a link; returns its token."""
    latest = latest_certificate(session, piece.piece_id)
    digest = giving.give(session, piece=piece, certificate=latest, by_id=BY, secret=SECRET, now=at or now())
    (link,) = [one for one in giving.links(session, piece.piece_id) if one.digest == digest]
    return link.token(SECRET)


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return with_certificate(session)


def test_a_link_gives_its_certificate_for_an_hour(database: Store) -> None:
    with database.write() as session:
        piece = with_certificate(session)
        token = give(session, piece)
        giving.count(session, token)
    with database.read() as session:
        found = giving.open_link(session, token=token, now=now())
        (one,) = certificates(session, piece.piece_id)
        assert found
        assert found.number == one.number
        assert giving.open_link(session, token=token, now=now() + timedelta(minutes=59)) is found
        assert giving.open_link(session, token=token, now=now() + timedelta(minutes=61)) is None
        assert [link.opened for link in giving.links(session, piece.piece_id, living_at=now())] == [1]


def test_a_token_has_160_bits_and_only_its_digest_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        at = now()
        tokens = {give(session, piece, at + timedelta(microseconds=number)) for number in range(50)}
        assert len(tokens) == 50
        assert all(re.fullmatch("[a-z2-7]{32}", token) for token in tokens)  # base 32: five bits a letter
    with store.read() as session:
        tables = session.scalars(text("SELECT name FROM sqlite_master WHERE type = 'table'")).all()
        kept = "".join(str(row) for table in tables for row in session.execute(text(f'SELECT * FROM "{table}"')))
        assert not any(token in kept for token in tokens)


def test_a_wrong_token_gives_nothing(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        right = give(session, piece)
        for token in ("", "a" * 32, right.upper(), right[:-1], right + "a", "../../etc/passwd", "0" * 64, "é" * 32):
            assert giving.open_link(session, token=token, now=now()) is None, token


def test_a_link_ended_early_gives_nothing_and_ending_it_twice_is_no_harm(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        token, other = give(session, piece), give(session, piece, now() + timedelta(seconds=1))
        for _twice in range(2):
            giving.end(session, piece=piece, digest=giving.digest_of(token), now=now())
        assert giving.open_link(session, token=token, now=now()) is None
        assert giving.open_link(session, token=other, now=now())


def test_the_link_of_another_piece_is_not_ended_here(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        other = with_certificate(session)
        token = give(session, other)
        with pytest.raises(StoreError, match="no such link"):
            giving.end(session, piece=piece, digest=giving.digest_of(token), now=now())
        assert giving.open_link(session, token=token, now=now())


def test_a_certificate_that_is_withdrawn_is_given_no_more(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        token = give(session, piece)
        (one,) = certificates(session, piece.piece_id)
        writer = factories.a_writer(session)
        issuing.withdraw_certificate(session, writer, piece=piece, number=one.number, reason="The weight was wrong.")
        assert giving.open_link(session, token=token, now=now()) is None
        with pytest.raises(StoreError, match="nothing to give"):
            give(session, piece)


@pytest.fixture
def served(app: Flask) -> None:
    """The laptop is started for phones and has one address."""
    program = app.extensions[EXTENSION]
    settings = program.settings.with_(lan=True, host="0.0.0.0", port=8000)
    app.extensions[EXTENSION] = replace(program, settings=settings)
    with program.store.write() as session:
        note_addresses(session, laptop_id=program.laptop_id, addresses=["192.168.4.1"], now=now())


def addresses(page: TestResponse) -> list[str]:
    return re.findall(r'<a href="http://192\.168\.4\.1:8000(/give/[a-z2-7]{32})">', page.get_data(as_text=True))


@pytest.mark.usefixtures("served")
def test_a_maker_gives_a_link_and_a_stranger_reads_the_pdf(
    maker: Browser, stranger: Browser, piece: PieceNow, store: Store
) -> None:
    path = f"/p/{piece.number}/handover/give"
    assert maker.post(path).status_code == 303
    page = maker.get(path)
    (address,) = addresses(page)
    answer = stranger.get(address)
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/pdf")
    assert answer.headers["Cache-Control"] == "no-store"
    assert pypdf.PdfReader(BytesIO(answer.data)).pages
    assert stranger.client.head(address).status_code == 200
    stranger.get(address)
    with store.read() as session:
        assert session.scalars(select(GivenLink.opened)).all() == [2]
    assert "opened 2 times" in maker.get(path).get_data(as_text=True)
    code = re.search(r'src="(/p/[^"]+\.png)"', page.get_data(as_text=True))
    assert code
    with Image.open(BytesIO(maker.get(code[1]).data)) as image:
        large = image.convert("L").resize((image.width * 8, image.height * 8), Image.Resampling.NEAREST)
    assert [found.text for found in zxingcpp.read_barcodes(large)] == [f"http://192.168.4.1:8000{address}"]


@pytest.mark.usefixtures("served")
def test_a_link_that_gives_nothing_says_so_in_plain_words(
    maker: Browser, stranger: Browser, piece: PieceNow, store: Store
) -> None:
    path = f"/p/{piece.number}/handover/give"
    maker.post(path)
    (address,) = addresses(maker.get(path))
    with store.read() as session:
        digest = session.scalars(select(GivenLink.token_digest)).one()
    assert maker.post(f"{path}/{digest}/end").status_code == 303
    for wrong in (address, "/give/" + "a" * 32):
        answer = stranger.get(wrong)
        assert answer.status_code == 404
        assert "This link gives nothing any more" in answer.get_data(as_text=True)
    assert addresses(maker.get(path)) == []
    answer = maker.post(f"{path}/{'0' * 64}/end")
    assert answer.status_code == 422
    assert "no such link" in answer.get_data(as_text=True)


def test_where_nobody_reaches_the_laptop_the_page_says_so(maker: Browser, piece: PieceNow) -> None:
    page = maker.get(f"/p/{piece.number}/handover/give").get_data(as_text=True)
    assert "No other machine reaches this laptop now." in page
    assert "A link on this hotspot for an hour" not in page
    assert "Download (to a stick)" in page


def test_only_a_maker_makes_a_link_and_only_of_a_certificate_that_stands(
    maker: Browser, fitter: Browser, piece: PieceNow, store: Store
) -> None:
    path = f"/p/{piece.number}/handover/give"
    assert fitter.post(path).status_code == 403
    with store.write() as session:
        without = ready(session)
    answer = maker.post(f"/p/{without.number}/handover/give")
    assert answer.status_code == 422
    assert "nothing to give" in answer.get_data(as_text=True)
    with store.read() as session:
        assert session.scalars(select(GivenLink)).all() == []
