"""What was agreed with the client: kept, put right, refused, read by the crew."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

from siteapp.pieces import services
from siteapp.store.errors import StoreError
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

LATER = (datetime.now(UTC) + timedelta(days=3)).date().isoformat()
FACTS: services.AgreedFacts = {
    "about": "stage",
    "what": "clay model",
    "agreed_on": "2026-03-04",
    "agreed_by": None,
    "said": None,
    "evidence": None,
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece beside one about which something was agreed too."""
    with store.write() as session:
        services.agree(session, factories.a_writer(session), piece=noise.piece, facts={**FACTS, "what": "of the other"})
        return factories.a_piece(session)


def a_photo() -> tuple[io.BytesIO, str]:
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), "#664422").save(stream, "JPEG")
    stream.seek(0)
    return stream, "letter.jpg"


def send(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    usual = {"about": "stage", "what": "Clay model", "agreed_on": "2026-03-04"}
    return browser.post(f"/p/{piece.number}/agreed/new", {**usual, **fields})


def of(store: Store, piece: PieceNow) -> list[services.AgreedNow]:
    with store.read() as session:
        return services.agreed_of(session, piece.piece_id)


def test_stages_and_changes_stand_in_order_of_their_day(database: Store) -> None:
    with database.write() as session:
        piece, other = factories.a_piece(session), factories.a_piece(session)
        writer = factories.a_writer(session)
        late = services.agree(session, writer, piece=piece, facts={**FACTS, "agreed_on": "2026-05-04", "what": "late"})
        services.agree(session, writer, piece=piece, facts={**FACTS, "what": "early"})
        theirs = services.agree(session, writer, piece=other, facts=FACTS)
        services.agree(session, writer, piece=piece, facts={**FACTS, "what": "put right"}, corrects=[late])
        with pytest.raises(StoreError, match="not agreed about this piece"):
            services.agree(session, writer, piece=piece, facts=FACTS, corrects=[theirs])
        assert [one.said.what for one in services.agreed_of(session, piece.piece_id)] == ["early", "put right"]


def test_what_was_agreed_is_kept_with_what_shows_it_and_read_by_the_crew(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    fields = {"about": "change", "what": "Wing <shorter>", "agreed_by": "A. Client (invented)", "said": "Yes, do."}
    answer = send(maker, piece, **fields, evidence="signed drawing 3", photos=a_photo())
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/agreed")
    (one,) = of(store, piece)
    assert (one.said.about, one.said.agreed_on, len(one.photos)) == ("change", "2026-03-04", 1)
    page = fitter.get(answer.location).get_data(as_text=True)
    for words in ("4 Mar 2026", "Wing &lt;shorter&gt;", "Yes, do.", "signed drawing 3", one.photos[0].sha256, "Maker"):
        assert words in page
    assert "of the other" not in page
    assert "Correct this" not in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"about": ""}, "It is about: choose one."),
        ({"about": "price"}, "It is about: “price” is not taken. Choose one of: A stage of making"),
        ({"what": " "}, "What was agreed: this is needed."),
        ({"what": "x" * 2001}, "Give at most 2\u202f000."),
        ({"agreed_on": ""}, "Agreed on: this is needed."),
        ({"agreed_on": "04/03/2026"}, "Agreed on: “04/03/2026” is not taken. Give a date from"),
        ({"agreed_on": LATER}, f"Agreed on: “{LATER}” is not taken. Give a date from 1 Jan 1900 to today"),
        ({"photos": (io.BytesIO(b"no photo"), "a.jpg")}, "not a photo"),
        ({"corrects": "00000000-0000-4000-8000-000000000000"}, "What this corrects was not agreed about this piece."),
    ],
)
def test_what_cannot_have_been_agreed_is_refused_and_stays_as_typed(
    maker: Browser, store: Store, piece: PieceNow, fields: dict[str, Any], words: str
) -> None:
    answer = send(maker, piece, **{"said": "kept as typed", **fields})
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert words in page
    assert "kept as typed" in page
    assert of(store, piece) == []


def test_a_correction_begins_with_what_was_said_and_the_second_one_is_told(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    send(maker, piece, said="Yes", photos=a_photo())
    (first,) = of(store, piece)
    page = maker.get(f"/p/{piece.number}/agreed/new?corrects={first.entry.id}").get_data(as_text=True)
    assert f'name="corrects" value="{first.entry.id}"' in page
    assert f'name="photos_sha" value="{first.photos[0].sha256}" checked' in page
    assert re.search(r'name="about" value="stage" checked', page)
    assert 'value="2026-03-04"' in page
    assert send(maker, piece, what="Wax model", corrects=first.entry.id).status_code == 303
    late = send(maker, piece, what="Mine", corrects=first.entry.id)
    assert late.status_code == 409
    assert "Mine" in late.get_data(as_text=True)
    assert [one.said.what for one in of(store, piece)] == ["Wax model"]
    assert maker.get(f"/p/{piece.number}/agreed/new?corrects={first.entry.id}").status_code == 404


def test_strangers_and_fitters_write_nothing_agreed(stranger: Browser, fitter: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/agreed").status_code == 303
    assert send(fitter, piece).status_code == 403
