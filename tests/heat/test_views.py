"""The pages of fire and heat, walked as their users walk them."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

from siteapp.heat.testing.state import heat_tests
from tests import factories
from tests.heat import fires

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, near_heat=True)


def text(browser: Browser, url: str) -> str:
    answer = browser.get(url)
    assert answer.status_code == 200, url
    return answer.get_data(as_text=True)


def test_everything_is_said_to_be_missing_before_anything_is_recorded(maker: Browser, piece: PieceNow) -> None:
    page = text(maker, f"/p/{piece.number}/heat")
    assert "No fire until tested." in page
    assert "Nobody has described it." in page
    for path in ("appliance", "distances", "evidence", "limits", "test"):
        assert "carbon monoxide" in text(maker, f"/p/{piece.number}/heat/{path}")
    page = text(maker, f"/p/{piece.number}")
    assert "No fire until tested" in page
    assert f"/p/{piece.number}/heat" in page


def test_a_stranger_reads_the_condition_on_the_public_page(stranger: Browser, piece: PieceNow) -> None:
    assert "No fire until tested" in text(stranger, f"/p/{piece.number}")


def test_the_appliance_is_typed_from_its_plate_and_no_paper_is_a_stop(maker: Browser, piece: PieceNow) -> None:
    url = f"/p/{piece.number}/heat/appliance"
    fields = {"appliance_kind": "stove", "model": "Ember 5", "fuel": "wood", "output_kw": "5", "plate_above_mm": "450"}
    answer = maker.post(url, fields | {"commissioned": "paper seen"})
    assert answer.status_code == 422
    assert "give its number and day" in answer.get_data(as_text=True)
    answer = maker.post(url, fields | {"output_kw": "5000"})
    assert "Give a number from 0.1 to 500 kW." in answer.get_data(as_text=True)
    assert maker.post(url, fields | {"commissioned": "no paper"}).status_code == 303
    page = text(maker, url)
    assert "No commissioning paper was seen" in page
    assert "450 mm" in page


def test_distances_are_drawn_and_told_thing_by_thing(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        fires.appliance(session, piece, opening_width_mm=800.0, opening_height_mm=700.0)
    url = f"/p/{piece.number}/heat/distances"
    rows = {"things-0-thing": "the piece", "things-0-place": "above", "things-0-distance_mm": "640"}
    rows |= {"things-0-projection_mm": "90", "things-0-combustible": "yes"}
    rows |= {"things-1-thing": "stone", "things-1-place": "left", "things-1-combustible": "no"}
    answer = maker.post(url, rows)
    assert answer.status_code == 422
    assert "how it is known that this cannot burn" in answer.get_data(as_text=True)
    assert maker.post(url, rows | {"things-1-known_from": "limestone"}).status_code == 303
    page = text(maker, url)
    assert "<svg" in page
    assert "640 mm" in page
    assert "140 mm" in page  # to spare
    assert "not asked of what cannot burn" in page


def test_a_class_that_is_none_is_asked_back_and_a_coupon_says_what_was_not_tested(
    maker: Browser, piece: PieceNow
) -> None:
    url = f"/p/{piece.number}/heat/evidence"
    assert "It was a coupon of the material, not the piece" in text(maker, url)
    fields = {"tested": "coupon", "report": "IV-1", "standard": "EN 13501-1", "result": "B-s9,d0", "covers": "shell"}
    fields["covers_not"] = "joints and edges of it"
    answer = maker.post(url, fields)
    assert answer.status_code == 422
    assert "is no class of EN 13501-1" in answer.get_data(as_text=True)
    answer = maker.post(url, fields | {"result": "B-s1,d0", "covers_not": "nothing"})
    assert "a coupon is not the piece" in answer.get_data(as_text=True)
    assert maker.post(url, fields | {"as_written": "yes"}).status_code == 303
    assert "A coupon was tested, not the piece." in text(maker, url)


def test_limits_list_all_five_parts_and_say_where_each_is_from(maker: Browser, piece: PieceNow) -> None:
    url = f"/p/{piece.number}/heat/limits"
    page = text(maker, url)
    assert page.count('value="anchor resin" selected') == 1
    rows = {"limits-0-part": "bond", "limits-0-limit_c": "75"}
    answer = maker.post(url, rows)
    assert "Known from: say where the limit is from" in answer.get_data(as_text=True)
    answer = maker.post(url, rows | {"limits-0-limit_c": "5"})
    assert "At most: “5” is not taken. Give a number from 20 to" in answer.get_data(as_text=True)
    assert maker.post(url, rows | {"limits-0-known_from": "data sheet"}).status_code == 303
    page = text(maker, url)
    assert "the weakest" in page


def test_a_room_in_fahrenheit_is_asked_back_when_a_test_begins(maker: Browser, piece: PieceNow) -> None:
    url = f"/p/{piece.number}/heat/test"
    fields = {"lit_at": "2026-11-20 10:00", "room_c": "60", "margin_c": "10", "probes-0-label": "P1"}
    fields |= {"probes-0-spot": "face", "probes-0-error_c": "1"}
    answer = maker.post(url, fields)
    assert answer.status_code == 422
    assert "reads like °F, which would be 16 °C" in answer.get_data(as_text=True)
    answer = maker.post(url, fields | {"room_c": "20"})
    assert answer.status_code == 303


def test_a_test_is_read_typed_fuelled_shut_down_and_ended(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        fires.limits(session, piece)
        test_id = fires.lit(session, piece)
    url = f"/p/{piece.number}/heat/test/{test_id}"
    answer = maker.post(url, {"minutes": "5"})
    assert answer.status_code == 422
    assert "give at least one reading" in answer.get_data(as_text=True)
    assert "P1: “2000” is not taken." in maker.post(url, {"probe_0": "2000"}).get_data(as_text=True)
    for minutes, face, bond in ((0, "20", "20"), (10, "31,5", "24"), (20, "38", "")):
        assert maker.post(url, {"minutes": str(minutes), "probe_0": face, "probe_1": bond}).status_code == 303
    page = text(maker, url)
    assert "<svg" in page
    assert "P1 31.5 °C" in page
    assert maker.post(f"{url}/event", {"what": "refuelled", "minutes": "30"}).status_code == 303
    assert maker.post(f"{url}/event", {"what": "probe slipped", "minutes": "31"}).status_code == 422
    assert maker.post(f"{url}/event", {"what": "shut down"}).status_code == 303
    assert "Ended now it is not met" in text(maker, f"{url}/end")
    assert maker.post(f"{url}/end", {"note": "Rain came in."}).status_code == 303
    assert maker.post(url, {"minutes": "400", "probe_0": "20"}).status_code == 422
    with store.read() as session:
        (test,) = heat_tests(session, piece.piece_id)
        assert test.end
        assert test.end.said.verdict == "cannot tell"
        # Without minutes it is now, by the device's word: six hours after it was lit.
        assert test.shut_down == pytest.approx(360, abs=5)


def test_what_was_tapped_by_mistake_and_a_file_read_wrong_are_put_right(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        test_id = fires.lit(session, piece)
        shut = fires.happened(session, piece, test_id, "shut down", 30.0)
    url = f"/p/{piece.number}/heat/test/{test_id}"
    page = text(maker, f"{url}?correct={shut}")
    assert "Put right what happened" in page
    assert '<option value="shut down" selected>' in page
    fields = {"what": "other", "minutes": "30", "note": "Tapped by mistake.", "corrects": shut}
    assert maker.post(f"{url}/event", fields).status_code == 303
    chosen = {"text": "min;P1\n0;20\n5;200", "columns-0-column": "P1", "columns-0-probe": "P1"}
    assert maker.post(f"{url}/log", chosen).status_code == 303
    with store.read() as session:
        (test,) = heat_tests(session, piece.piece_id)
        assert test.shut_down is None
        wrong = test.logs[0].entry.id
    assert "5;200" in text(maker, f"{url}/log?correct={wrong}")
    assert maker.post(f"{url}/log", chosen | {"text": "min;P1\n0;20\n5;20", "corrects": wrong}).status_code == 303
    with store.read() as session:
        (test,) = heat_tests(session, piece.piece_id)
        assert test.points()["P1"] == [(0, 20), (5, 20)]
    assert maker.get(f"{url}/log?correct={shut}").status_code == 404


def test_a_reading_past_a_limit_says_stop_in_large_words(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        fires.limits(session, piece)
        test_id = fires.lit(session, piece)
    url = f"/p/{piece.number}/heat/test/{test_id}"
    assert maker.post(url, {"minutes": "5", "probe_1": "79.5"}).status_code == 303
    page = text(maker, url)
    assert "Stop: let the fire go out" in page
    assert "79.5 °C ± 1 was read; anchor resin may get 75 °C" in page


def test_a_loggers_file_is_looked_at_first_and_then_kept(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        test_id = fires.lit(session, piece)
    url = f"/p/{piece.number}/heat/test/{test_id}/log"
    lines = "min;P1;other\n0;20,5;20\n10;31;24\nERR\n20;38;27"
    sent = {"file": (io.BytesIO(lines.encode("utf-16")), "logger.csv")}
    answer = maker.post(url, sent)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Which column is which probe" in page
    assert "line 4: “ERR”" in page
    assert "3 readings" in page
    chosen = {"columns-0-column": "P1", "columns-0-probe": "P1", "columns-1-column": "other", "columns-1-probe": ""}
    answer = maker.post(url, {"text": lines, "file_name": "logger.csv"} | chosen)
    assert answer.status_code == 303
    with store.read() as session:
        (test,) = heat_tests(session, piece.piece_id)
        assert test.points()["P1"] == [(0, 20.5), (10, 31), (20, 38)]
        assert test.points()["P2"] == []
        assert test.logs[0].said.text.startswith("min;P1;other")
        assert test.logs[0].said.file_name == "logger.csv"


@pytest.mark.parametrize(
    ("lines", "why"),
    [("", "choose one, or paste"), ("a;b", "No line of it holds"), ("11/12/2026;22:40;20", "read in two ways")],
)
def test_a_log_that_holds_nothing_says_why(maker: Browser, store: Store, piece: PieceNow, lines: str, why: str) -> None:
    with store.write() as session:
        test_id = fires.lit(session, piece)
    answer = maker.post(f"/p/{piece.number}/heat/test/{test_id}/log", {"text": lines})
    assert answer.status_code == 422
    assert why in answer.get_data(as_text=True)


def test_a_log_in_fahrenheit_asks_for_its_unit(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        test_id = fires.lit(session, piece)
    url = f"/p/{piece.number}/heat/test/{test_id}/log"
    lines = {"text": "min;P1 (°F)\n0;68\n10;86", "columns-0-column": "P1 (°F)", "columns-0-probe": "P1"}
    answer = maker.post(url, lines)
    assert answer.status_code == 422
    assert "the header says °F" in answer.get_data(as_text=True)
    assert maker.post(url, lines | {"unit": "f"}).status_code == 303
    with store.read() as session:
        assert heat_tests(session, piece.piece_id)[0].points()["P1"] == [(0, 20), (10, 30)]


def test_a_log_of_twenty_thousand_lines_goes_through_the_page(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        test_id = fires.lit(session, piece)
    lines = "min;P1;P2\n" + "\n".join(f"{at / 60:.2f};{20 + at / 800:.1f};21,5" for at in range(20_000))
    chosen = {f"columns-{at}-{name}": label for at, label in enumerate(("P1", "P2")) for name in ("column", "probe")}
    url = f"/p/{piece.number}/heat/test/{test_id}"
    assert maker.post(f"{url}/log", {"text": lines} | chosen).status_code == 303
    assert len(text(maker, url)) < 120_000


def test_pages_of_no_test_or_no_reading_are_not_found(maker: Browser, store: Store, piece: PieceNow) -> None:
    nobody = "00000000-0000-4000-8000-000000000009"
    assert maker.get(f"/p/{piece.number}/heat/test/{nobody}").status_code == 404
    assert maker.get(f"/p/{piece.number}/heat/test?correct={nobody}").status_code == 404
    with store.write() as session:
        test_id = fires.lit(session, piece)
        wrong = fires.read(session, piece, test_id, 5, P1=22.5)
    url = f"/p/{piece.number}/heat/test/{test_id}"
    assert maker.get(f"{url}?correct={nobody}").status_code == 404
    assert 'value="22.5"' in text(maker, f"{url}?correct={wrong}")
    assert "Put the beginning right" in text(maker, f"/p/{piece.number}/heat/test?correct={test_id}")


def test_the_overview_is_met_line_by_line_when_everything_is(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        fires.appliance(session, piece)
        fires.distances(session, piece, {"thing": "the piece", "place": "above", "distance_mm": 640.0})
        fires.tested(session, piece)
    page = text(maker, f"/p/{piece.number}/heat")
    assert "A heat test is met" in page
    assert "No fire until tested." not in page
