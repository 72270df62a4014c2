"""The pages of looks at the condition: recorded, refused, put right, laid side by side, printed."""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.condition import services
from siteapp.marks.services import Mark, set_marks
from tests import factories
from tests.condition.support import a_file, arrived, dispatched, looked
from tests.documents import reading

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

NOBODY = "00000000-0000-4000-8000-000000000000"


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece at which nobody has looked, beside one that was looked at."""
    with store.write() as session:
        looked(session, noise.piece, note="of the other piece")
        return factories.a_piece(session)


def send(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    said = {"occasion": "handover", "found": "something found", **fields}
    return browser.post(f"/p/{piece.number}/condition/new", said)


def of(store: Store, piece: PieceNow) -> list[services.Look]:
    with store.read() as session:
        return services.looks(session, piece)


@pytest.mark.parametrize("path", ["condition", "condition/new", f"condition/{NOBODY}", "condition.pdf"])
def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow, path: str) -> None:
    answer = stranger.get(f"/p/{piece.number}/{path}")
    assert answer.status_code == 303
    assert answer.location.startswith("/sign-in")


def test_before_the_first_look_the_page_says_what_comes_first(fitter: Browser, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/condition").get_data(as_text=True)
    assert "Nobody has looked this piece over yet" in page
    assert f'href="/p/{piece.number}/condition/new"' in page
    assert "of the other piece" not in page


def test_a_look_with_its_photos_is_kept_and_shown_with_where_to_mark_compare_and_print_it(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        dispatched(session, piece)
    photos = {"front": a_file(), "back": a_file("#224466"), "edges": a_file("#446622"), "raking": a_file("#666666")}
    said = {"found": "nothing found", "note": "Dust <grey> مرحبا", "light": "lamp", "advice": "look again"}
    answer = send(fitter, piece, **photos, **said)
    _before, look = of(store, piece)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/condition#look-{look.entry.id}")
    assert look.slots() == ["front", "back", "edges", "raking light"]
    page = fitter.get(answer.location).get_data(as_text=True)
    for words in ("Dust &lt;grey&gt; مرحبا", "Fitter", "lamp", "look again", "Raking light", "Before dispatch"):
        assert words in page
    for path in (f"condition/{look.entry.id}", f"condition.pdf?look={look.entry.id}", f"marks/{look.entry.id}"):
        assert f"/p/{piece.number}/{path}" in page
    assert "of the other piece" not in page


def test_nothing_found_without_every_side_is_refused_and_no_photo_need_be_chosen_again(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = send(fitter, piece, found="nothing found", front=a_file(), note="dry", occasion="later visit")
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert "Back: nothing found needs a photo of it." in page
    assert "Edges: nothing found needs a photo of them." in page
    assert re.search(r'name="front_sha" value="[0-9a-f]{64}" checked', page)
    assert re.search(r'value="nothing found" checked', page)
    assert re.search(r'value="later visit" checked', page)
    assert re.search(r">\s*dry</textarea>", page)
    assert of(store, piece) == []


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        ({"found": ""}, "What was found: choose one."),
        ({"occasion": ""}, "Occasion: choose one."),
        ({"occasion": "arrival"}, "Choose one of: Handover, Later visit."),
        ({"found": "fine"}, "Choose one of: nothing found, something found, not looked at yet."),
        ({"note": "x" * 10_001}, "10,001 characters are too many"),
        ({"light": "a\x00b"}, "cannot be kept"),
        ({"details": (io.BytesIO(b"%PDF-1.7 not a photo"), "details.jpg")}, "details-error"),
        ({"corrects": NOBODY}, "not such a look at this piece"),
    ],
    ids=["no finding", "no occasion", "odd occasion", "odd finding", "long", "control", "no photo", "corrects nothing"],
)
def test_what_cannot_be_kept_is_refused_by_name_and_the_rest_stays_typed(
    fitter: Browser, store: Store, piece: PieceNow, fields: dict[str, Any], message: str
) -> None:
    answer = send(fitter, piece, **{"advice": "by October", **fields})
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert message in page.replace("\u202f", ",").replace("&nbsp;", ",")
    assert re.search(r">\s*by October</textarea>", page)
    assert of(store, piece) == []


def test_a_look_is_put_right_from_what_it_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece, front=a_file(), note="one", surroundings="a stove")
    (first,) = of(store, piece)
    page = fitter.get(f"/p/{piece.number}/condition/new?corrects={first.entry.id}").get_data(as_text=True)
    assert f'name="corrects" value="{first.entry.id}"' in page
    assert f'name="front_sha" value="{first.slot("front")[0]}" checked' in page
    assert re.search(r">\s*one</textarea>", page)
    assert re.search(r">\s*a stove</textarea>", page)
    assert re.search(r'value="handover" checked', page)
    answer = send(fitter, piece, front_sha=first.slot("front")[0], note="two", corrects=first.entry.id)
    assert answer.status_code == 303
    (now,) = of(store, piece)
    assert (now.note, now.slot("front"), now.at) == ("two", first.slot("front"), first.at)
    assert "corrected once" in fitter.get(answer.location).get_data(as_text=True)


def test_an_arrival_is_not_put_right_here(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        arrival = arrived(session, piece)
    page = fitter.get(f"/p/{piece.number}/condition/new?corrects={arrival}").get_data(as_text=True)
    assert f'name="corrects" value="{arrival}"' not in page
    page = fitter.get(f"/p/{piece.number}/condition").get_data(as_text=True)
    assert f'href="/p/{piece.number}/arrival"' in page
    assert f"corrects={arrival}" not in page


def test_a_correction_that_comes_second_is_told_and_goes_after_the_first(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    send(fitter, piece, note="one")
    (first,) = of(store, piece)
    send(fitter, piece, note="two", corrects=first.entry.id)
    answer = send(maker, piece, note="mine", corrects=first.entry.id)
    assert answer.status_code == 409
    page = answer.get_data(as_text=True)
    assert "Somebody else changed this" in page
    assert re.search(r">\s*mine</textarea>", page)
    named = re.search(r'name="corrects" value="([0-9a-f-]{36})"', page)
    assert named
    assert send(maker, piece, note="mine", corrects=named[1]).status_code == 303
    assert [look.note for look in of(store, piece)] == ["mine"]


def test_two_looks_stand_side_by_side_with_both_tables_of_marks_and_no_claim_of_what_is_new(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = arrived(session, piece, ("front", "back"), note="before")
        second = looked(session, piece, ("front", "hardware"), note="after")
        for entry_id, kind, note in ((first, "chip", "old chip"), (second, "crack", "new crack")):
            look = next(one for one in services.looks(session, piece) if one.entry.id == entry_id)
            mark = Mark(look.photos[0].sha256, 0.5, 0.5, kind, note)
            set_marks(session, factories.a_writer(session), piece=piece, of_id=entry_id, marks=[mark])
    page = fitter.get(f"/p/{piece.number}/condition/{second}").get_data(as_text=True)
    assert "What changed is not worked out" in page
    assert page.index("old chip") < page.index("new crack")
    order = [page.index(f">{words}</h2>") for words in ("Front", "Back", "Hanging points and metalwork")]
    assert order == sorted(order)
    assert page.count("not taken") == 2
    assert f"condition.pdf?look={second}" in page
    alone = fitter.get(f"/p/{piece.number}/condition/{first}").get_data(as_text=True)
    assert "There is no look before this one" in alone


def test_a_look_at_another_piece_is_not_shown_here(
    fitter: Browser, store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    (foreign,) = of(store, noise.piece)
    assert fitter.get(f"/p/{piece.number}/condition/{foreign.entry.id}").status_code == 404
    assert fitter.get(f"/p/{piece.number}/condition.pdf?look={foreign.entry.id}").status_code == 404


def test_the_report_is_a_pdf_of_the_look_that_is_asked_for(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert fitter.get(f"/p/{piece.number}/condition.pdf").status_code == 404
    with store.write() as session:
        first = arrived(session, piece, note="as it came")
    send(fitter, piece, front=a_file(), note="as it is now")
    answer = fitter.get(f"/p/{piece.number}/condition.pdf?sheet=Letter")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/pdf")
    assert f"condition-{piece.number}-" in answer.headers["Content-Disposition"]
    assert reading.sizes_mm(answer.data) == {(215.9, 279.4)}
    said = reading.text(answer.data)
    assert "as it is now" in said
    assert "Compared with the look before" in said
    before = fitter.get(f"/p/{piece.number}/condition.pdf?look={first}")
    assert reading.sizes_mm(before.data) == {(210.0, 297.0)}
    assert "as it is now" not in reading.text(before.data)


@pytest.mark.parametrize(("query", "status"), [("sheet=A3", 400), ("look=nothing", 404), (f"look={NOBODY}", 404)])
def test_a_report_that_cannot_be_made_says_why(
    fitter: Browser, store: Store, piece: PieceNow, query: str, status: int
) -> None:
    with store.write() as session:
        looked(session, piece)
    assert fitter.get(f"/p/{piece.number}/condition.pdf?{query}").status_code == status
