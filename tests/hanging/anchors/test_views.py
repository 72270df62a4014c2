"""Anchors as a fitter meets them on a page: recorded, refused with everything still there, counted down."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

from siteapp.aftercare import services as aftercare
from siteapp.hanging.anchors import services, state
from siteapp.hanging.loads.services import loads_now
from siteapp.web.dates import day_words, today
from siteapp.web.parts import figure
from tests.hanging import hung
from tests.hanging.anchors import support

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests import factories
    from tests.web_support import Browser

TYPED = {
    "label": "A",
    "anchor_kind": "resin",
    "product": support.PRODUCT,
    "batch": "L-204",
    "expires_on": "2099-12-31",
    "drilled_mm": "12",
    "embedment_mm": "92",
    "cleaned": "yes",
    "cleaning": "Kept words",
    "wall_c": "12,5",
    "set_at": "",
    "curing": "5 °C: 4 h\n10 120\n20: 60 min",
    "set_by": "F. Fitter (invented)",
}
PULLED = {
    "label": "A",
    "asked_kn": "1.5",
    "load_kn": "1.5",
    "held_s": "60",
    "movement_mm": "0.1",
    "allowed_mm": "0.5",
    "gauge": "Kept words",
    "calibrated_until": "2099-12-31",
    "tested_by": "T. Tester (invented)",
}
TURNED = {"labels": "A", "torque_nm": "20", "marked": "yes", "locked": "yes", "done_by": "Kept words"}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that hangs on A and B, beside another with anchors of its own."""
    with store.write() as session:
        support.set_anchor(session, noise.piece, product="Noise (invented)")
        return support.a_piece(session)


def a_jpeg() -> io.BytesIO:
    made = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 90, 60)).save(made, "JPEG")
    made.seek(0)
    return made


def test_anchors_are_set_pulled_and_turned_up_from_the_page(fitter: Browser, store: Store, piece: PieceNow) -> None:
    home = f"/p/{piece.number}/anchors"
    page = fitter.get(home).get_data(as_text=True)
    assert f'href="{home}/set?label=A">Record anchor A</a>' in page
    answer = fitter.post(f"{home}/set", TYPED | {"photos": (a_jpeg(), "hole.jpg")})
    assert (answer.status_code, answer.location) == (303, home)
    page = fitter.get(home).get_data(as_text=True)
    for words in ("A: nothing on it before", "120 min after", "from 10 °C up", "the wall read 12.5 °C"):
        assert words in page
    assert re.search(r'data-not-before="[0-9T:.+-]+"', page)
    assert "Noise" not in page
    # The next anchor's form brings what was used, and nothing that is measured.
    form = fitter.get(f"{home}/set?label=B").get_data(as_text=True)
    for words in (f'value="{support.PRODUCT}"', 'value="L-204"', "5 240\n10 120\n20 60", 'value="2099-12-31"'):
        assert words in form
    assert 'value="12.5"' not in form
    assert 'name="embedment_mm" value=""' in form
    early = fitter.post(f"{home}/prove", PULLED)
    assert early.status_code == 422
    assert "why it was done all the same" in early.get_data(as_text=True)
    with store.write() as session:
        (made,) = state.recorded(session, piece).sets
        support.set_anchor(session, piece, "A", corrects=[made.entry.id])
        support.set_anchor(session, piece, "B")
    for label in ("A", "B"):
        assert fitter.post(f"{home}/prove", PULLED | {"label": label}).status_code == 303
    assert fitter.post(f"{home}/tighten", TURNED | {"labels": "A\nB"}).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    assert "not resistance" not in page
    assert "It does not show what it, or the wall, can carry." in page
    assert 'class="verdict not-met"' not in page
    assert 'class="verdict cannot-tell"' not in page
    with store.read() as session:
        found = services.judged(session, piece)
    assert (found.set.verdict, found.proved.verdict) == ("met", "met")


BAD: list[tuple[str, dict[str, str], dict[str, str], str]] = [
    ("set", TYPED, {"label": ""}, "Anchor: this is needed."),
    ("set", TYPED, {"anchor_kind": "magnet"}, "Kind: “magnet” is not taken."),
    ("set", TYPED, {"drilled_mm": "12 l"}, "Drill: “12 l” is not taken. Give a number from 1 to 200 mm."),
    ("set", TYPED, {"embedment_mm": "nan"}, "Embedment: “nan” is not taken."),
    ("set", TYPED, {"wall_c": "-41"}, "Wall at its coldest: “-41” is not taken. Give a number from "),
    ("set", TYPED, {"set_at": "2199-01-01 10:00"}, "Set at: “2199-01-01 10:00” is not taken."),
    ("set", TYPED, {"curing": "5 240\nten 120"}, "Curing table of the sheet, line 2: “ten 120” is not taken."),
    ("set", TYPED, {"curing": "5 120\n10 240"}, "time is 240 min at 10 °C; allowed is at most the 120 min"),
    ("set", TYPED, {"curing": "5 1\n" * 21}, "21 lines are too many. Give at most 20."),
    ("prove", PULLED, {"label": "Q"}, "Anchor: none is recorded at “Q”."),
    ("prove", PULLED, {"load_kn": ""}, "Load reached: this is needed."),
    ("prove", PULLED, {"held_s": "-1"}, "Held for: “-1” is not taken. Give a number from 0 to 86"),
    ("prove", PULLED, {"movement_mm": "1e999"}, "Moved: “1e999” is not taken."),
    ("prove", PULLED, {"calibrated_until": "31/12/2027"}, "Gauge calibrated until: “31/12/2027” is not taken."),
    ("tighten", TURNED, {"labels": "A\nX"}, "there is no anchor “X”. Known are: A, B."),
    ("tighten", TURNED, {"torque_nm": "0"}, "Torque: “0” is not taken."),
    ("tighten", TURNED, {"locked": "maybe"}, "Locked against lifting off: “maybe” is not taken."),
]


def test_bad_input_is_refused_in_words_and_everything_typed_is_still_there(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    for act, typed, changed, words in BAD:
        answer = fitter.post(f"/p/{piece.number}/anchors/{act}", typed | changed)
        page = answer.get_data(as_text=True)
        assert answer.status_code == 422, changed
        assert words in page, changed
        assert "Kept words" in page, changed
    with store.read() as session:
        told = state.recorded(session, piece)
    assert (told.sets, told.proofs, told.tightened) == ([], [], [])


def test_somebody_faster_is_said_and_theirs_stands(fitter: Browser, store: Store, piece: PieceNow) -> None:
    home = f"/p/{piece.number}/anchors/set"
    with store.write() as session:
        first = support.set_anchor(session, piece)
    form = fitter.get(f"{home}?corrects={first}").get_data(as_text=True)
    assert f'name="corrects" value="{first}"' in form
    assert "5 240\n10 120\n20 60" in form
    with store.write() as session:
        support.set_anchor(session, piece, embedment_mm=95.0, corrects=[first])
    answer = fitter.post(home, TYPED | {"corrects": first})
    assert answer.status_code == 409
    assert "Kept words" in answer.get_data(as_text=True)
    with store.read() as session:
        (made,) = state.recorded(session, piece).sets
    assert made.said.embedment_mm == 95


def test_what_is_not_there_or_not_this_pieces_cannot_be_corrected(
    fitter: Browser, store: Store, noise: factories.Noise, piece: PieceNow
) -> None:
    with store.read() as session:
        (theirs,) = state.recorded(session, noise.piece).sets
    for act, typed in (("set", TYPED), ("prove", PULLED), ("tighten", TURNED)):
        refuse_correction(fitter, f"/p/{piece.number}/anchors/{act}", typed, theirs.entry.id)


def refuse_correction(fitter: Browser, path: str, typed: dict[str, str], theirs: str) -> None:
    for wanted in (theirs, "00000000-0000-4000-8000-000000000000", "no id"):
        assert fitter.get(f"{path}?corrects={wanted}").status_code == 404
    answer = fitter.post(path, typed | {"corrects": theirs})
    assert answer.status_code == 422
    assert "Open the page again." in answer.get_data(as_text=True)


def test_what_was_recorded_is_corrected_from_the_page_and_stays_in_the_record(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/anchors"
    with store.write() as session:
        support.all_done(session, piece)
    page = fitter.get(home).get_data(as_text=True)
    links = {
        act: re.search(rf'href="({home}/{act}\?corrects=[0-9a-f-]+)"', page) for act in ("set", "prove", "tighten")
    }
    changes: dict[str, dict[str, Any]] = {"set": {"batch": "L-999"}, "prove": {"gauge": "gauge 9"}, "tighten": {}}
    typed: dict[str, dict[str, str]] = {"set": TYPED, "prove": PULLED, "tighten": TURNED}
    for act, link in links.items():
        assert link, act
        form = fitter.get(link[1]).get_data(as_text=True)
        assert "What it said before stays in the record." in form
        corrects = {"corrects": link[1].rpartition("=")[2]}
        if act == "set":
            corrects["set_at"] = f"{support.SET_AT.astimezone():%Y-%m-%dT%H:%M}"
        assert fitter.post(f"{home}/{act}", typed[act] | changes[act] | corrects).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    assert page.count("corrected once") == 3
    for words in ("L-999", "gauge 9", "What it said before"):
        assert words in page


def test_a_proof_load_below_what_the_loads_put_on_a_point_is_pointed_out(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = hung.ready(session)
        support.template(session, piece, proof_kn=0.1)
        support.set_anchor(session, piece)
    home = f"/p/{piece.number}/anchors"
    assert "By the loads up to" not in fitter.get(home).get_data(as_text=True)
    with store.write() as session:
        hung.tell(session, piece, lean_n=900.0)
        now = loads_now(session, piece)
    assert now is not None
    pull_n = now.by_label["A"].pull_n
    assert pull_n > 100
    page = fitter.get(home).get_data(as_text=True)
    assert f"By the loads up to {figure(pull_n / 1000, 3)} kN pulls at A, with factors" in page
    assert "The proof load asked for, 0.1 kN, is less than that." in page
    with store.write() as session:
        hung.weigh(session, piece)
    assert "By the loads up to" not in fitter.get(home).get_data(as_text=True)


def test_a_maker_sets_the_look_after_the_first_winter_with_one_tap(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    home = f"/p/{piece.number}/aftercare"
    assert 'id="recheck"' not in maker.get(home).get_data(as_text=True)
    with store.write() as session:
        support.all_done(session, piece)
        day = services.recheck_on(session, piece)
    assert day is not None
    assert day > today() + timedelta(days=80)
    assert 'id="recheck"' not in fitter.get(home).get_data(as_text=True)
    page = maker.get(home).get_data(as_text=True)
    assert f"Set it for {day_words(day)}" in page
    offered = dict(re.findall(r'<input type="hidden" name="(what|due_on)" value="([^"]+)">', page))
    answer = maker.post(f"{home}/care-date", offered)
    assert (answer.status_code, answer.location) == (303, f"{home}#dates")
    page = maker.get(home).get_data(as_text=True)
    assert 'id="recheck"' not in page
    assert f"Due on {day_words(day)}" in page
    with store.read() as session:
        (care,) = aftercare.care_dates(session, piece.piece_id)
    assert (care.due_on, care.said.every_months) == (day, None)
