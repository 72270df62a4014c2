"""The pages of snags: raised, cleared, accepted, refused with everything typed still there."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from PIL import Image

from siteapp.marks.services import Mark
from siteapp.snags import services
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece without snags, beside one with an open one."""
    with store.write() as session:
        services.raise_snag(session, factories.a_writer(session), piece=noise.piece, words="of the other piece")
        return factories.a_piece(session)


def a_photo(colour: str = "#664422") -> tuple[io.BytesIO, str]:
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), colour).save(stream, "JPEG")
    stream.seek(0)
    return stream, "photo.jpg"


def raised(store: Store, piece: PieceNow, **facts: Any) -> str:
    """A snag on a photo with a mark; returns its page."""
    with store.write() as session:
        sha = factories.a_photo(session, store)
        said = {"words": "Chip at the corner", "place": "lower left", "photos": [PhotoUse(sha, "snag")]}
        said |= {"marks": [Mark(sha, 0.1, 0.9, "chip", "4 mm")]} | facts
        snag_id = services.raise_snag(session, factories.a_writer(session), piece=piece, **said)
    return f"/p/{piece.number}/snags/{snag_id}"


def of(store: Store, piece: PieceNow) -> list[SnagNow]:
    with store.read() as session:
        return services.snags(session, piece.piece_id)


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    answer = stranger.get(f"/p/{piece.number}/snags")
    assert answer.status_code == 303
    assert answer.location.startswith("/sign-in")


def test_a_snag_with_two_photos_and_marks_is_kept_and_shown(fitter: Browser, store: Store, piece: PieceNow) -> None:
    fields = {
        "what": "Chip <large>\nat the edge مرحبا",
        "place": "left wing",
        "photos": [a_photo(), a_photo("#224466")],
        "marks-0-photo": "2",
        "marks-0-of": "2",
        "marks-0-x_percent": "43.2",
        "marks-0-y_percent": "7",
        "marks-0-kind": "chip",
        "marks-5-photo": "1",
        "marks-5-x_percent": "0",
        "marks-5-y_percent": "100",
    }
    answer = fitter.post(f"/p/{piece.number}/snags", fields)
    (snag,) = of(store, piece)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/snags/{snag.entry.id}")
    assert (snag.said.words, snag.said.place) == ("Chip <large>\nat the edge مرحبا", "left wing")
    one, two = (photo.sha256 for photo in snag.photos)
    assert [(mark.sha256, mark.x, mark.y, mark.kind) for mark in snag.marks] == [
        (two, 0.432, 0.07, "chip"),
        (one, 0.0, 1.0, None),
    ]
    page = fitter.get(answer.location).get_data(as_text=True)
    assert "Chip &lt;large&gt;\nat the edge مرحبا" in page
    assert f'<img src="/photos/{two}/1280" alt="Photo 2. Marks: 1 chip, upper middle"' in page
    assert "Fitter" in page
    listing = fitter.get(f"/p/{piece.number}/snags").get_data(as_text=True)
    assert "One to put right" in listing
    assert f"/photos/{one}/320" in listing
    assert "of the other piece" not in listing
    assert 'name="what"' not in listing


WRONG = (
    ({"what": ""}, "What is to be put right: this is needed."),
    ({"what": "x" * 2001}, "2 001 characters are too many. Give at most 2 000."),
    ({"what": "a \x00 b"}, "the character at place 3 (U+0000) cannot be kept"),
    ({"place": "x" * 201}, "Where: 201 characters are too many. Give at most 200."),
    ({"marks-0-photo": "2", "marks-0-x_percent": "1", "marks-0-y_percent": "1"}, "is not among these photos"),
    ({"marks-0-photo": "1", "marks-0-x_percent": "101", "marks-0-y_percent": "1"}, "“101” is not taken"),
    (
        {"marks-0-photo": "1", "marks-0-of": "2", "marks-0-x_percent": "1", "marks-0-y_percent": "1"},
        "was set on photo 1 of 2, and now there is one photo",
    ),
)


def test_a_snag_that_cannot_be_is_refused_and_its_photo_need_not_be_chosen_again(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    for wrong, words in WRONG:
        fields = {"what": "Chip", "place": "left wing", "photos": a_photo(), **wrong}
        answer = fitter.post(f"/p/{piece.number}/snags", fields)
        assert answer.status_code == 422, words
        page = answer.get_data(as_text=True).replace("\u202f", " ")
        assert words in page
        assert re.search(r'name="photos_sha" value="[0-9a-f]{64}" checked', page)
        assert f'name="place" value="{fields["place"]}"' in page
        if "marks-0-x_percent" in wrong:
            assert f'name="marks-0-x_percent" value="{wrong["marks-0-x_percent"]}"' in page
    assert of(store, piece) == []


def test_what_is_no_photo_moves_no_mark_to_another_photo(fitter: Browser, store: Store, piece: PieceNow) -> None:
    bad = (io.BytesIO(b"no photo at all"), "broken.jpg")
    marks = {"marks-0-photo": "2", "marks-0-of": "2", "marks-0-x_percent": "10", "marks-0-y_percent": "20"}
    answer = fitter.post(f"/p/{piece.number}/snags", {"what": "Chip", "photos": [bad, a_photo()], **marks})
    assert answer.status_code == 422
    shas = re.findall(r'name="photos_sha" value="([0-9a-f]{64})"', answer.get_data(as_text=True))
    again = {"what": "Chip", "photos_sha": shas, **marks}
    answer = fitter.post(f"/p/{piece.number}/snags", again)
    assert answer.status_code == 422
    assert "was set on photo 2 of 2, and now there is one photo" in answer.get_data(as_text=True)
    answer = fitter.post(f"/p/{piece.number}/snags", again | {"marks-0-photo": "1", "marks-0-of": ""})
    assert answer.status_code == 303
    (snag,) = of(store, piece)
    assert [(mark.sha256, mark.x) for mark in snag.marks] == [(shas[0], 0.1)]


def test_from_anywhere_the_form_is_open_and_knows_where(fitter: Browser, store: Store, piece: PieceNow) -> None:
    raised(store, piece)
    page = fitter.get(f"/p/{piece.number}/snags?place=left wing").get_data(as_text=True)
    assert 'name="place" value="left wing"' in page
    assert 'name="what"' in page
    assert 'name="what"' in fitter.get(f"/p/{piece.number}/snags?raise=1").get_data(as_text=True)
    page = fitter.get(f"/p/{piece.number}/snags?place={'x' * 3000}").get_data(as_text=True)
    assert "x" * 201 not in page


def test_a_snag_is_cleared_with_a_photo_and_what_was_done(fitter: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    answer = fitter.post(where, {"done": "Filled and <coated>", "photos": a_photo()})
    assert (answer.status_code, answer.location) == (303, where)
    (snag,) = of(store, piece)
    assert snag.ended is not None
    assert snag.ended.how == "cleared"
    page = fitter.get(where).get_data(as_text=True)
    assert "Filled and &lt;coated&gt;" in page
    assert f"/photos/{snag.end_photos[0].sha256}/1280" in page
    assert 'name="done"' not in page
    listing = fitter.get(f"/p/{piece.number}/snags").get_data(as_text=True)
    assert "Nothing is left to put right." in listing
    assert "cleared" in listing


def test_clearing_without_a_photo_or_words_is_refused(fitter: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    for fields, words in (
        ({"done": "Filled"}, "Photos of how it is now: a photo is needed."),
        ({"photos": a_photo()}, "What was done: this is needed."),
        ({"photos": a_photo(), "done": "x" * 2001}, "characters are too many"),
    ):
        answer = fitter.post(where, fields)
        assert answer.status_code == 422, words
        page = answer.get_data(as_text=True)
        assert words in page
        assert str(fields.get("done", "")) in page
    assert of(store, piece)[0].open


def test_a_maker_records_that_the_client_accepts_it_as_it_is(maker: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    fields = {"accepted_by": "A. Client (invented)", "client_words": "It may <stay>."}
    answer = maker.post(f"{where}/accepted", fields)
    assert (answer.status_code, answer.location) == (303, where)
    (snag,) = of(store, piece)
    assert snag.left
    page = maker.get(where).get_data(as_text=True)
    assert "left as it is, accepted by the client" in page
    assert "It may &lt;stay&gt;." in page
    assert "A. Client (invented)" in page


def test_an_acceptance_without_name_or_words_is_refused(maker: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    for fields, words in (
        ({"accepted_by": "A. Client (invented)"}, "What they said: this is needed."),
        ({"client_words": "It may stay."}, "Name of the client: this is needed."),
        ({"client_words": "It may stay.", "accepted_by": "x" * 201}, "201 characters are too many"),
    ):
        answer = maker.post(f"{where}/accepted", fields)
        assert answer.status_code == 422, words
        page = answer.get_data(as_text=True)
        assert words in page
        assert "<details open>" in page
        assert all(value in page for value in fields.values())
    assert of(store, piece)[0].open
    assert maker.get(f"{where}/accepted").location == where


def test_only_makers_may_say_that_the_client_accepts(fitter: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    assert "accepted_by" not in fitter.get(where).get_data(as_text=True)
    answer = fitter.post(f"{where}/accepted", {"accepted_by": "A", "client_words": "B"})
    assert answer.status_code == 403
    assert of(store, piece)[0].open


def test_ending_a_snag_that_has_ended_is_refused_with_everything_typed(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    where = raised(store, piece)
    assert fitter.post(where, {"done": "Filled", "photos": a_photo()}).status_code == 303
    answer = fitter.post(where, {"done": "Filled once more", "photos": a_photo("#224466")})
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "This snag has ended already." in page
    assert "Filled once more" in page
    (snag,) = of(store, piece)
    assert snag.ended is not None
    assert snag.ended.said == "Filled"


def test_what_ended_may_be_raised_anew_with_its_words(fitter: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece)
    fitter.post(where, {"done": "Filled", "photos": a_photo()})
    (link,) = re.findall(r'href="([^"]*again=[^"]*)"', fitter.get(where).get_data(as_text=True))
    page = fitter.get(link.replace("&amp;", "&")).get_data(as_text=True)
    assert re.search(r'name="what"[^>]*>\nChip at the corner</textarea>', page)
    assert 'name="place" value="lower left"' in page
    answer = fitter.post(f"/p/{piece.number}/snags", {"what": "Chip at the corner"})
    assert answer.status_code == 303
    assert [snag.open for snag in of(store, piece)] == [False, True]


def test_a_snag_that_a_check_raised_leads_to_the_check(fitter: Browser, store: Store, piece: PieceNow) -> None:
    where = raised(store, piece, list_id=str(uuid4()), line_key="level")
    assert f'href="/p/{piece.number}/checks/level"' in fitter.get(where).get_data(as_text=True)


def test_open_snags_come_first_and_what_ended_last_comes_next(fitter: Browser, store: Store, piece: PieceNow) -> None:
    words = ("first", "second", "third", "fourth")
    pages = [raised(store, piece, words=f"the {one}") for one in words]
    for where in (pages[0], pages[2]):
        fitter.post(where, {"done": "Filled", "photos": a_photo()})
    listing = fitter.get(f"/p/{piece.number}/snags").get_data(as_text=True)
    assert re.findall(r"the (first|second|third|fourth)", listing) == ["second", "fourth", "third", "first"]


def test_a_snag_of_another_piece_has_no_page_here(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    foreign = of(store, noise.piece)[0].entry.id
    for snag_id in (foreign, uuid4()):
        where = f"/p/{piece.number}/snags/{snag_id}"
        assert fitter.get(where).status_code == 404
        assert fitter.post(where, {"done": "Filled", "photos": a_photo()}).status_code == 404
        assert maker.post(f"{where}/accepted", {"accepted_by": "A", "client_words": "B"}).status_code == 404
    assert of(store, noise.piece)[0].open
