"""The pages of what is kept, as a maker meets them."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from siteapp.jobs.services import job_now
from siteapp.store.models import Erasure
from tests import factories
from tests.handover.support import answer_all, arrive, file_of, hand_over, issued

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

JOB = {"client": "Zephyrine Quillfeather", "address": "77 Nowhere Row"}


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        made = factories.a_piece(session, job_id=factories.a_job(session, **JOB))
        arrive(session, made)
        answer_all(session, made)
        hand_over(session, made, signed_name=JOB["client"])
    return made


def test_the_page_says_what_a_quick_look_found_and_the_keys_fingerprint(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    page = maker.get("/keeping").get_data(as_text=True)
    assert "There is none yet" in page
    assert maker.get("/keeping/key").status_code == 404
    number = issued(store, piece)
    page = maker.get("/keeping").get_data(as_text=True)
    from siteapp.store import signing

    key = signing.load(store.settings)
    assert key.fingerprint[:8] in page
    assert key.fingerprint[-8:] in maker.get("/keeping/key").get_data(as_text=True)
    assert key.fingerprint[:8] in maker.get(f"/c/{number}").get_data(as_text=True)


def test_tables_are_saved_under_a_plain_name(maker: Browser, piece: PieceNow) -> None:
    answer = maker.get(f"/keeping/tables/pieces.csv?job={piece.job_id}")
    assert re.fullmatch(r'attachment; filename="pieces-\d{4}-\d\d-\d\d\.csv"', answer.headers["Content-Disposition"])
    assert answer.content_type == "text/csv; charset=utf-8"
    assert maker.get("/keeping/tables/nothing.csv").status_code == 404
    assert maker.get("/keeping/tables/pieces.csv?job=00000000-0000-4000-8000-00000000dead").status_code == 404


def test_erasing_shows_what_would_go_and_asks_before_it_does(maker: Browser, store: Store, piece: PieceNow) -> None:
    path = f"/jobs/{piece.job_id}/erase"
    page = maker.get(path).get_data(as_text=True)
    assert "Zephyrine Quillfeather" in page
    assert "Handed over (1)" in page
    said = {"phrases": "Zephyrine Quillfeather\n77 Nowhere Row", "reason": "the client, by letter"}
    answer = maker.post(path, said)
    assert answer.status_code == 422
    assert "Nothing has gone yet" in answer.get_data(as_text=True)
    assert "the client, by letter" in answer.get_data(as_text=True)
    with store.read() as session:
        assert session.query(Erasure).count() == 0
    answer = maker.post(path, said | {"sure": "y"})
    assert (answer.status_code, answer.location) == (303, f"/jobs/{piece.job_id}/erased")
    page = maker.get(answer.location).get_data(as_text=True)
    assert "the files were cleared" in page
    assert "backups made before" in page
    with store.read() as session:
        job = job_now(session, piece.job_id)
        assert job
        assert job[1].client == "[…]"
    for address in ("/", f"/p/{piece.number}", f"/p/{piece.number}/handover", f"/p/{piece.number}/arrival", "/jobs"):
        answer = maker.get(address)
        assert answer.status_code == 200
        assert "Quillfeather" not in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"phrases": "ab"}, "“ab” is too short. Give at least 3 letters"),
        ({"phrases": "\n".join(f"word{place}" for place in range(201))}, "at most 200 lines"),
        ({"reason": ""}, "this is needed"),
        ({"reason": "Zephyrine Quillfeather asked"}, "this keeps “Zephyrine Quillfeather”, which is to go"),
        ({"phrases": "no such words"}, "there is nothing to erase"),
    ],
)
def test_what_cannot_be_erased_is_said_with_everything_still_there(
    maker: Browser, store: Store, piece: PieceNow, change: dict[str, str], told: str
) -> None:
    said = {"phrases": "Zephyrine Quillfeather", "reason": "the client, by letter", "sure": "y"} | change
    answer = maker.post(f"/jobs/{piece.job_id}/erase", said)
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert told in page
    assert said["phrases"].splitlines()[0] in page
    with store.read() as session:
        assert session.query(Erasure).count() == 0


def test_an_erased_certificate_is_not_handed_out_and_its_page_says_why(
    maker: Browser, stranger: Browser, store: Store, piece: PieceNow
) -> None:
    number = issued(store, piece)
    copy = file_of(store, number)
    said = {"phrases": "Zephyrine Quillfeather", "reason": "the client, by letter", "sure": "y"}
    assert maker.post(f"/jobs/{piece.job_id}/erase", said).status_code == 303
    for name in ("certificate.pdf", "certificate.json"):
        answer = maker.get(f"/p/{piece.number}/{name}")
        assert answer.status_code == 410
        assert "was let go" in answer.get_data(as_text=True)
    page = stranger.get(f"/c/{number}").get_data(as_text=True)
    assert "own copy was let go" in page
    answer = stranger.post("/verify", {"file": (io.BytesIO(copy), "a.pdf")})
    assert "As issued, and it stands" in answer.get_data(as_text=True)


def test_an_erased_photo_is_not_taken_in_again(maker: Browser, store: Store, piece: PieceNow) -> None:
    made = io.BytesIO()
    Image.new("RGB", (40, 30), (1, 2, 3)).save(made, "JPEG")
    with store.write() as session:
        sha = factories.a_photo(session, store, made.getvalue())
        from siteapp.snags.services import raise_snag
        from siteapp.store.entries import PhotoUse

        raise_snag(session, factories.a_writer(session), piece=piece, words="a scratch", photos=[PhotoUse(sha)])
    said = {"phrases": "", "reason": "the client, by letter", "sure": "y", "photos": sha}
    assert maker.post(f"/jobs/{piece.job_id}/erase", said).status_code == 303
    assert maker.get(f"/photos/{sha}/320").status_code == 404
    answer = maker.post("/photos", {"photo": (io.BytesIO(made.getvalue()), "again.jpg")})
    assert answer.status_code == 422
    assert "erased at somebody" in answer.get_json()["message"]
