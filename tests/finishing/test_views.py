"""Finishing as somebody on site meets it."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from PIL import Image

from siteapp.finishing import services
from siteapp.finishing.models import ClimateReading, Coat
from tests import factories
from tests.finishing.support import GOOD, coat

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session)


def begin(device: Browser, piece: PieceNow) -> str:
    answer = device.post(f"/p/{piece.number}/finishing", {"zone": "left wing", "purpose": "two coats"})
    assert answer.status_code == 303, answer.get_data(as_text=True)
    return str(answer.location)


def typed(facts: Any) -> dict[str, str]:
    return {name: str(value) for name, value in facts.items() if value is not None}


def a_jpeg(colour: tuple[int, int, int] = (120, 90, 60)) -> io.BytesIO:
    made = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(made, "JPEG")
    made.seek(0)
    return made


def test_a_fitter_begins_a_session_reads_the_climate_applies_a_coat_and_ends_it(
    fitter: Browser, piece: PieceNow, store: Store
) -> None:
    home = begin(fitter, piece)
    assert "No climate reading yet" in fitter.get(home).get_data(as_text=True)
    answer = fitter.post(f"{home}/climate", typed(GOOD) | {"photos": (a_jpeg(), "meter.jpg")})
    assert (answer.status_code, answer.location) == (303, home)
    page = fitter.get(f"{home}/coat").get_data(as_text=True)
    assert 'value="Matt glaze (invented)"' in page
    assert fitter.post(f"{home}/coat", typed(coat())).status_code == 303
    assert fitter.post(f"{home}/close", {"client_yes": "yes", "client_words": "Yes."}).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    for told in ("Coat 1", "data sheet of March 2026 (invented)", "Alduchov", "Yes.", "has ended"):
        assert told in page
    with store.read() as session:
        (state,) = services.sessions(session, piece.piece_id)
        assert [photo.slot for photo in state.climates[0].photos] == ["meter"]


def test_a_figure_outside_its_limits_is_named_and_everything_typed_stays(
    fitter: Browser, piece: PieceNow, store: Store
) -> None:
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/climate", typed(GOOD) | {"relative_humidity": "140", "instrument": "meter <b>7</b>"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Relative humidity: “140” is not taken. Give a number from 0.1 to 100 %." in page
    assert 'value="140"' in page
    assert "meter &lt;b&gt;7&lt;/b&gt;" in page
    with store.read() as session:
        assert session.query(ClimateReading).count() == 0


@pytest.mark.parametrize("name", ["air_max_c", "surface_max_c", "humidity_max"])
def test_a_highest_below_its_lowest_is_refused(fitter: Browser, piece: PieceNow, name: str) -> None:
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/climate", typed(GOOD) | {name: "1"})
    assert answer.status_code == 422
    assert "is below the lowest" in answer.get_data(as_text=True)


def test_a_margin_under_the_floor_is_refused(fitter: Browser, piece: PieceNow) -> None:
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/climate", typed(GOOD) | {"margin_limit_c": "1"})
    assert answer.status_code == 422
    assert "Give a number from 3 to 30 °C." in answer.get_data(as_text=True)


def test_a_coat_without_climate_asks_for_a_reason_and_keeps_what_was_typed(
    fitter: Browser, piece: PieceNow, store: Store
) -> None:
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/coat", typed(coat(note="rolled")))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "no climate was read in this session" in page
    assert "rolled" in page
    assert fitter.post(f"{home}/coat", typed(coat(reason="Meter lost."))).status_code == 303
    with store.read() as session:
        assert session.query(Coat).one().reason == "Meter lost."


def test_a_coat_sent_twice_is_there_once(fitter: Browser, piece: PieceNow, store: Store) -> None:
    home = begin(fitter, piece)
    fitter.post(f"{home}/climate", typed(GOOD))
    sent = typed(coat()) | {"form_id": str(uuid4())}
    assert [fitter.post(f"{home}/coat", dict(sent)).status_code for _time in range(2)] == [303, 303]
    with store.read() as session:
        assert session.query(Coat).count() == 1


def test_a_coat_is_corrected_from_its_own_page(fitter: Browser, piece: PieceNow, store: Store) -> None:
    home = begin(fitter, piece)
    fitter.post(f"{home}/climate", typed(GOOD))
    fitter.post(f"{home}/coat", typed(coat()))
    fitter.post(f"{home}/close", {})
    with store.read() as session:
        coat_id = session.query(Coat).one().entry_id
    page = fitter.get(f"{home}/coat?correct={coat_id}").get_data(as_text=True)
    assert f'name="corrects" value="{coat_id}"' in page
    assert fitter.post(f"{home}/coat", typed(coat(batch="B-18")) | {"corrects": coat_id}).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    assert "B-18" in page
    assert "1 entry was corrected" in page


def test_a_closed_session_says_so_before_anything_is_typed(fitter: Browser, piece: PieceNow) -> None:
    home = begin(fitter, piece)
    fitter.post(f"{home}/close", {})
    assert "takes nothing more" in fitter.get(f"{home}/coat").get_data(as_text=True)
    answer = fitter.post(f"{home}/climate", typed(GOOD))
    assert answer.status_code == 422
    assert "has ended" in answer.get_data(as_text=True)


def test_sessions_are_found_only_under_their_own_piece(fitter: Browser, piece: PieceNow, store: Store) -> None:
    home = begin(fitter, piece)
    with store.write() as session:
        other = factories.a_piece(session)
    assert fitter.get(home.replace(piece.number, other.number)).status_code == 404
    assert fitter.get(f"{home}/coat?correct=nothing").status_code == 404
    assert fitter.get(f"/p/{piece.number}/finishing/{uuid4()}").status_code == 404


def test_no_page_of_finishing_promises(fitter: Browser, piece: PieceNow) -> None:
    home = begin(fitter, piece)
    fitter.post(f"{home}/climate", typed(GOOD))
    for path in (home, f"{home}/climate", f"{home}/coat", f"{home}/close", f"/p/{piece.number}/finishing", "/products"):
        assert re.findall(r"(?i)\b(?:safe|safely|guaranteed?)\b", fitter.get(path).get_data(as_text=True)) == [], path


def test_a_stranger_sees_no_finishing(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/finishing").status_code == 303
