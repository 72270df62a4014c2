"""Hanging points on their page: from the front, from the back, refused in words, drawn."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import pytest

from siteapp.pieces import services
from siteapp.pieces.bringing.judged import judge
from siteapp.pieces.points import reading
from siteapp.trade.survey import Hole
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

SVG = "{http://www.w3.org/2000/svg}"
A = {"label": "A", "x_mm": "150", "y_mm": "740", "hole_mm": "13", "bolt_mm": "12", "holds": "bolt"}
B = {"label": "B", "x_mm": "1050", "y_mm": "740,5", "hole_mm": "13", "bolt_mm": "12", "holds": "bolt"}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, title="Heron (invented)")


def now(store: Store, piece: PieceNow) -> PieceNow:
    with store.read() as session:
        found = services.find(session, piece.number)
        assert found is not None
        return found


def send(browser: Browser, piece: PieceNow, *rows: dict[str, str], **fields: Any) -> Any:
    typed = {"measured_from": "front", "revises": piece.revision.id, **fields}
    for number, row in enumerate(rows):
        typed |= {f"hanging_points-{number}-{name}": value for name, value in row.items()}
    return browser.post(f"/p/{piece.number}/points", typed)


def text(answer: Any) -> str:
    return html.unescape(answer.get_data(as_text=True)).replace("\u202f", " ")


def drawings(answer: Any) -> list[ET.Element]:
    return [ET.fromstring(one) for one in re.findall(r"<svg xmlns.*?</svg>", answer.get_data(as_text=True), re.DOTALL)]


def test_what_is_typed_from_the_front_is_kept_as_it_is(maker: Browser, store: Store, piece: PieceNow) -> None:
    slot = {"label": "C", "x_mm": "600", "y_mm": "60", "hole_mm": "13", "bolt_mm": "12", "holds": "slot"}
    slot |= {"slot_mm": "20", "slot_deg": "90", "edge_mm": "25", "fails_with": "lower strip", "note": "5 mm plate"}
    assert send(maker, piece, A, {}, B, slot).status_code == 303
    found = now(store, piece)
    assert [(point.label, point.x_mm, point.y_mm) for point in found.hanging_points] == [
        ("A", 150, 740),
        ("B", 1050, 740.5),
        ("C", 600, 60),
    ]
    third = found.hanging_points[2]
    assert (third.slot_mm, third.slot_deg, third.edge_mm, third.fails_with) == (20, 90, 25, "lower strip")
    assert found.particulars.points_from == "front"
    # All the rest of the particulars stays.
    assert found.title == piece.title
    assert [layer.material for layer in found.build_up] == [layer.material for layer in piece.build_up]


def test_from_the_back_left_and_right_change_over(maker: Browser, store: Store, piece: PieceNow) -> None:
    slot = {"label": "C", "x_mm": "100", "y_mm": "60", "hole_mm": "13", "holds": "slot", "slot_mm": "20"}
    assert send(maker, piece, A, slot | {"slot_deg": "30"}, measured_from="back").status_code == 303
    found = now(store, piece)
    assert found.particulars.points_from == "back"
    # By hand: the piece is 1200 wide, so 150 from the left behind is 1050 from the left in front; a slot that rises to
    # the right from behind rises to the left in front.
    assert [(point.label, point.x_mm, point.y_mm) for point in found.hanging_points] == [
        ("A", 1050, 740),
        ("C", 1100, 60),
    ]
    assert found.hanging_points[1].slot_deg == -30
    page = maker.get(f"/p/{piece.number}/points")
    words = text(page)
    # Shown again as it was measured, so that saving it once more changes nothing.
    assert 'name="hanging_points-0-x_mm" value="150"' in words
    assert 'name="measured_from" value="back" checked' in words
    assert "C is on the right from the front, and on the left from the back." in words
    assert send(maker, found, A, slot | {"slot_deg": "30"}, measured_from="back").status_code == 303
    assert reading.places(now(store, piece)) == reading.places(found)


def test_both_sides_are_drawn_and_mirror_each_other(maker: Browser, piece: PieceNow) -> None:
    front, back = drawings(maker.get(f"/p/{piece.number}/points"))
    assert "seen from the front" in ET.tostring(front, "unicode")
    assert "seen from the back" in ET.tostring(back, "unicode")

    def circles(whole: ET.Element) -> list[float]:
        points = next(one for one in whole.iter(f"{SVG}g") if one.get("class") == "plan-points")
        rect = next(one for one in whole.iter(f"{SVG}rect"))
        return [float(one.get("cx") or 0) - float(rect.get("x") or 0) for one in points.iter(f"{SVG}circle")]

    wide = float(next(one for one in front.iter(f"{SVG}rect")).get("width") or 0)
    assert circles(back) == pytest.approx([wide - x for x in circles(front)], abs=0.01)


def test_without_a_width_nothing_can_be_measured_from_the_back(maker: Browser, store: Store, noise: Any) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, width_mm=None)
    answer = send(maker, piece, A, measured_from="back")
    assert answer.status_code == 422
    assert "which needs the width of the piece" in text(answer)
    assert "Without its width the piece cannot be drawn from the back." in text(maker.get(f"/p/{piece.number}/points"))
    assert send(maker, piece, A).status_code == 303


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([A, A | {"x_mm": "300"}], "Label: “A” is there twice, first in line 1."),
        ([A, A | {"label": " a ", "x_mm": "300"}], "is there twice, first in line 1."),
        ([A, B | {"x_mm": "150.4", "y_mm": "740"}], "x, y: B is where A is, 0.4 mm apart."),
        ([A | {"x_mm": "10 m"}], "x: 10 000 mm lies more than 500 mm outside the piece, which measures 1 200 mm."),
        ([A | {"y_mm": "-501"}], "y: −501 mm lies more than 500 mm outside the piece, which measures 800 mm."),
        ([A | {"hole_mm": "10"}], "Hole: 10 mm is narrower than its bolt. Give at least 12 mm."),
        ([A | {"holds": "slot"}], "what holds as a slot needs this"),
        ([A | {"slot_mm": "12"}], "say how the slot lies"),
        ([A | {"hole_mm": "", "slot_mm": "12", "slot_deg": "0"}], "Hole: a slot needs its width too."),
        ([A | {"edge_mm": "6.5"}], "would let the hole run over the edge. Give more than 6.5 mm."),
        ([A | {"x_mm": "left"}], "x, to the right: “left” is not taken. Give a number from −20 000 to 20 000 mm."),
        ([A | {"x_mm": "150 kg"}], "x, to the right: “150 kg” is not taken."),
        ([A | {"x_mm": "nan"}], "x, to the right: “nan” is not taken."),
        ([A | {"holds": "glue"}], "Holds as: “glue” is not taken."),
        ([A | {"label": ""}], "line 1: Label: this is needed."),
        ([A | {"label": "A" * 21}], "Label: 21 characters are too many."),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_stays_as_typed(
    maker: Browser, store: Store, piece: PieceNow, rows: list[dict[str, str]], said: str
) -> None:
    answer = send(maker, piece, *rows)
    words = text(answer)
    assert answer.status_code == 422
    assert said in words.replace("&#39;", "'")
    for name, value in rows[-1].items():
        assert (f'value="{value}"' if name != "holds" or value in {"bolt", "slot"} else "") in words
    assert now(store, piece).revision.id == piece.revision.id


def test_two_hundred_points_are_taken_and_one_more_is_not(maker: Browser, store: Store, piece: PieceNow) -> None:
    many = [{"label": f"P{n}", "x_mm": str(10 + 5 * n), "y_mm": "400"} for n in range(201)]
    answer = send(maker, piece, *many)
    assert answer.status_code == 422
    assert "201 lines are too many. Give at most 200." in text(answer)
    assert send(maker, piece, *many[:200]).status_code == 303
    assert len(reading.places(now(store, piece))) == 200
    assert maker.get(f"/p/{piece.number}/points").status_code == 200


def test_inches_are_read_and_no_points_at_all_is_an_answer(maker: Browser, store: Store, piece: PieceNow) -> None:
    assert send(maker, piece, A | {"x_mm": "6 in"}).status_code == 303
    assert now(store, piece).hanging_points[0].x_mm == pytest.approx(152.4)
    assert send(maker, now(store, piece)).status_code == 303
    assert now(store, piece).hanging_points == ()


def test_who_comes_second_is_told_and_loses_nothing(maker: Browser, store: Store, piece: PieceNow) -> None:
    assert send(maker, piece, A).status_code == 303
    answer = send(maker, piece, B)
    assert answer.status_code == 409
    assert 'value="740,5"' in text(answer)
    assert [point.label for point in now(store, piece).hanging_points] == ["A"]


def test_another_pieces_revision_is_refused(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        other = factories.a_piece(session)
    assert send(maker, piece, A, revises=other.revision.id).status_code == 422
    assert now(store, other).revision.id == other.revision.id


def test_the_particulars_page_keeps_the_points_and_where_they_were_measured_from(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, A, measured_from="back").status_code == 303
    found = now(store, piece)
    fields = {"title": "Heron again (invented)", "object_type": "wall relief", "revises": found.revision.id}
    assert maker.post(f"/p/{piece.number}/edit", fields).status_code == 303
    after = now(store, piece)
    assert after.title == "Heron again (invented)"
    assert reading.places(after) == reading.places(found)
    assert after.particulars.points_from == "back"
    history = text(maker.get(f"/p/{piece.number}/particulars"))
    assert "Hanging points were measured from" in history


def test_what_points_say_to_others(maker: Browser, store: Store, piece: PieceNow) -> None:
    rows = [
        A | {"fails_with": "upper batten"},
        B | {"holds": "hook", "fails_with": "upper batten"},
        {"label": "C", "x_mm": "600", "y_mm": "60", "holds": "rail"},
        {"label": "D", "x_mm": "900", "y_mm": "60"},
        A | {"label": "E", "y_mm": "100", "holds": "slot", "slot_mm": "20", "slot_deg": "0"},
        A | {"label": "F", "y_mm": "200", "holds": "slot", "slot_mm": "20", "slot_deg": "-90"},
        A | {"label": "G", "y_mm": "300", "holds": "slot", "slot_mm": "20", "slot_deg": "45"},
        A | {"label": "H", "y_mm": "400", "holds": "bolt", "slot_mm": "3", "slot_deg": "177"},
    ]
    assert send(maker, piece, *rows).status_code == 303
    found = now(store, piece)
    ways = {one.label: (one.across, one.up, one.down, one.pull) for one in reading.supports(found)}
    assert ways == {
        "A": (True, True, True, True),
        "B": (True, True, False, True),
        "C": (False, True, False, True),
        "E": (False, True, True, True),  # a level slot lets it slide to the side
        "F": (True, False, False, True),
        "G": (False, False, False, True),  # askew: counted on neither way
        "H": (False, True, True, True),  # a bolt's hole that was drawn out is a slot
    }
    assert reading.unsaid(found) == ("D",)
    assert reading.groups(found) == {"upper batten": ("A", "B")}
    assert [hole.label for hole in reading.holes(found)] == ["A", "B", "E", "F", "G", "H"]
    assert reading.holes(found)[2] == Hole("E", 150, 100, 12, 13, 20, 0)


def test_a_file_is_held_against_the_same_rules_and_gives_its_points_from_the_front(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, A, measured_from="back").status_code == 303
    rows = "label;x_mm;y_mm;holds;hole_mm;bolt_mm"

    def text_of(second: str) -> str:
        number = piece.number
        return f"number;row;{rows}\n{number};;;;;;;\n;hanging point;A;150;740;bolt;13;12\n;hanging point;{second}\n"

    with store.read() as session:
        wrong = judge(session, piece.job_id, text_of("B;150;740,2;bolt;10;12"))
        assert [problem.line for problem in wrong.problems] == [4, 4]
        said = " ".join(str(problem) for problem in wrong.problems)
        assert "B is where A is" in said
        assert "Hole: 10 mm is narrower than its bolt" in said
        (draft,) = judge(session, piece.job_id, text_of("B;1050;740;Hook;13;12")).revised
    assert draft.facts["fields"]["points_from"] == "front"
    assert [row["holds"] for row in draft.facts["hanging_points"]] == ["bolt", "hook"]
