"""The page of the climate before unwrapping: kept and shown, refused, put right."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.arrival import services
from tests import factories
from tests.arrival.support import send
from tests.dispatch.support import a_photo, describe

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that has not arrived, beside another."""
    with store.write() as session:
        return factories.a_piece(session)


def unwrap(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    page = browser.get(f"/p/{piece.number}/arrival/unwrap").get_data(as_text=True)
    named = re.search(r'name="arrival_id" value="([^"]*)"', page)
    assert named
    read = {"piece_c": "18", "air_c": "20", "relative_humidity": "50", "instrument": "meter no. 3"}
    return browser.post(f"/p/{piece.number}/arrival/unwrap", {"arrival_id": named[1], **read, **fields})


def test_the_climate_before_unwrapping_is_shown_with_everything_it_came_from(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        describe(session, piece, acclimatise_hours=12.0)
    send(fitter, piece)
    answer = unwrap(fitter, piece, piece_c="64.4 °F", photos=a_photo())
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/arrival#unwrapping")
    page = fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
    told = ("18", "64.4 °F", "meter no. 3", "Dew point", "9.3", "Alduchov", "the coldest part of the piece was read")
    for words in (*told, "safe_to_unwrap 1", "asks for 12 h to acclimatise", "data-not-before=", "not met"):
        assert words in page
    with store.read() as session:
        (reading,) = services.unwraps(session, piece.piece_id)
    assert reading.said.piece_c == pytest.approx(18.0)
    assert f"/photos/{reading.slot('meter')[0]}/320" in page


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"piece_c": "cold"}, "piece_c", "“cold” is not taken. Give a number from −40 to 120 °C."),
        ({"air_c": "51"}, "air_c", "Give a number from −40 to 50 °C."),
        ({"relative_humidity": "0"}, "relative_humidity", "Give a number from 0.1 to 100 %."),
        ({"relative_humidity": "101"}, "relative_humidity", "“101” is not taken"),
        ({"instrument": "x" * 201}, "instrument", "201 characters are too many"),
        ({"photos": (io.BytesIO(b"no photo"), "meter.jpg")}, "photos", ""),
    ],
)
def test_a_reading_that_cannot_be_is_refused_and_what_was_typed_stays(
    fitter: Browser, store: Store, piece: PieceNow, fields: dict[str, Any], field: str, words: str
) -> None:
    send(fitter, piece)
    answer = unwrap(fitter, piece, **fields)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert f'id="{field}-error"' in page
    assert words in page
    kept = "meter no. 3" if field != "instrument" else 'value="18"'
    assert kept in page
    with store.read() as session:
        assert services.unwraps(session, piece.piece_id) == []


def test_no_climate_is_read_of_a_piece_that_has_not_arrived(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert "has not arrived yet" in fitter.get(f"/p/{piece.number}/arrival/unwrap").get_data(as_text=True)
    answer = unwrap(fitter, piece)
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "Record the arrival first" in page
    assert 'value="meter no. 3"' in page


def test_a_reading_is_put_right_from_what_it_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece)
    unwrap(fitter, piece, photos=a_photo())
    with store.read() as session:
        (first,) = services.unwraps(session, piece.piece_id)
    page = fitter.get(f"/p/{piece.number}/arrival/unwrap?corrects={first.entry.id}").get_data(as_text=True)
    assert 'name="piece_c" value="18"' in page
    assert f'name="photos_sha" value="{first.slot("meter")[0]}" checked' in page
    assert f'name="corrects" value="{first.entry.id}"' in page
    assert unwrap(fitter, piece, piece_c="8", corrects=first.entry.id).status_code == 303
    with store.read() as session:
        (now,) = services.unwraps(session, piece.piece_id)
    assert (now.said.verdict, now.first.id) == ("not met", first.entry.id)
    assert "Corrected once" in fitter.get(f"/p/{piece.number}/arrival").get_data(as_text=True)
