"""Files held against the page's own limits and written all or nothing."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event, func, select

from siteapp.pieces import services
from siteapp.pieces.bringing import examples
from siteapp.pieces.bringing.judged import judge
from siteapp.pieces.bringing.writing import bring_in, form_id_of
from siteapp.store import entries
from siteapp.store.errors import Superseded
from siteapp.store.models import Entry
from siteapp.trade.piece_number import new_number
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.bringing.judged import Judged
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece with a photo, beside one of another job."""
    with store.write() as session:
        made = factories.a_piece(session)
        photo = factories.a_photo_row(session)
        said = services.said_now(made)
        facts: services.PieceFacts = {
            "fields": {**said.fields, "title": "Heron (invented)"},
            "build_up": [dict(row) for row in said.build_up],
            "hanging_points": [dict(row) for row in said.hanging_points],
            "photos": [entries.PhotoUse(photo, slot="piece", caption="as it left")],
        }
        writer = factories.a_writer(session)
        services.revise_particulars(session, writer, piece=made, revises=made.revision.id, facts=facts)
        found = services.find(session, made.number)
        assert found is not None
        return found


def judged(store: Store, job_id: str, text: str) -> Judged:
    with store.read() as session:
        return judge(session, job_id, text)


def words(found: Judged) -> list[str]:
    return [str(problem) for problem in found.problems]


def brought(store: Store, job_id: str, text: str) -> list[PieceNow]:
    found = judged(store, job_id, text)
    assert words(found) == []
    with store.write() as session:
        numbers = bring_in(session, factories.a_writer(session), job_id=job_id, judged=found)
        there = services.find_all(session, numbers)
        return [there[number] for number in numbers]


@pytest.mark.parametrize("write", [examples.as_toml, examples.as_csv])
def test_the_examples_come_in_as_they_say(database: Store, write: Any) -> None:
    with database.write() as session:
        job = factories.a_job(session)
    heron, overmantel = brought(database, job, write(examples.EXAMPLE))
    said = heron.particulars
    assert (said.title, said.width_mm, said.mass_kg, said.mass_origin) == (
        "Example heron (invented)",
        1200.0,
        31.4,
        "weighed",
    )
    assert (said.stands, said.near_heat, said.take_down) == (
        "on points",
        False,
        "Lift 12 mm, then towards you.\nTwo people.",
    )
    assert [(row.material, row.thickness_mm, row.mass_kg) for row in heron.build_up] == [
        ("gypsum shell", 12.0, 22.5),
        ("steel frame", None, 8.9),
    ]
    assert [(point.label, point.x_mm, point.hole_mm) for point in heron.hanging_points] == [
        ("A", 150.0, 6.5),
        ("B", 1050.0, 6.5),
    ]
    assert (overmantel.particulars.near_heat, overmantel.particulars.stands) == (True, "on rails")
    assert overmantel.job_id == job


def test_a_piece_with_its_number_changes_only_what_the_file_names(store: Store, piece: PieceNow) -> None:
    text = f"number;title;width_mm;care;row;material\n{piece.number.lower()};;1 250,5;-;;\n;;;;build-up;brass\n"
    found = judged(store, piece.job_id, text)
    (draft,) = found.revised
    assert [(one.words, one.before, one.after) for one in draft.changed.fields] == [
        ("Width", "1\u202f200 mm", "1\u202f250.5 mm"),
        ("Care", "Dust with a dry brush.", None),
    ]
    (now,) = brought(store, piece.job_id, text)
    assert (now.number, now.piece_id) == (piece.number, piece.piece_id)
    assert (now.particulars.title, now.particulars.width_mm, now.particulars.care) == (
        "Heron (invented)",
        1250.5,
        None,
    )
    assert [row.material for row in now.build_up] == ["brass"]
    assert [point.label for point in now.hanging_points] == ["A", "B"]
    assert [(photo.sha256, photo.slot, photo.caption) for photo in now.photos] == [
        (piece.photos[0].sha256, "piece", "as it left")
    ]


def test_a_file_that_says_what_is_there_writes_nothing(store: Store, piece: PieceNow) -> None:
    text = f"number,title,mass_kg\n{piece.number},Heron (invented),31.4\n"
    found = judged(store, piece.job_id, text)
    assert (len(found.unchanged), found.revised, found.made) == (1, (), ())
    with store.read() as session:
        count = session.scalar(select(func.count()).select_from(Entry))
    (now,) = brought(store, piece.job_id, text)
    assert now.revision.id == piece.revision.id
    with store.read() as session:
        assert session.scalar(select(func.count()).select_from(Entry)) == count


def test_numbers_of_another_job_unknown_wrong_or_twice_are_refused(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    unknown = new_number(b"an invented number")
    wrong = unknown[:-1] + ("7" if unknown[-1] != "7" else "8")
    lines = [noise.piece.number, unknown, wrong, piece.number, f"{piece.number[:4]}-{piece.number[4:]}"]
    found = judged(store, piece.job_id, "number;width_mm\n" + ";0\n".join(lines))
    others = [line for line in words(found) if "Width" in line]
    assert [line.partition(":")[0] for line in others] == ["Line 2", "Line 3", "Line 4", "Line 5"]
    other, missing, bad, twice = [line for line in words(found) if line not in others]
    assert other.startswith("Line 2: Piece number: “")
    assert "is no piece of this job" in other
    assert missing.startswith("Line 3: Piece number: “")
    assert bad.startswith("Line 4: Piece number: ")
    assert twice.startswith("Line 6: Piece number: “")
    assert "named twice, first in line 5" in twice
    assert found.drafts == ()


def test_limits_are_the_pages_own_and_each_problem_has_its_line(store: Store, piece: PieceNow) -> None:
    text = """[[piece]]
title = "Heron"
width_mm = "-5 mm"
mass_kg = 31
lift_people = 2.5
stands = "by magic"
fire_class = "B-s1, d0"

[[piece]]
object_type = "relief"
made_on = "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx"
[[piece.hanging_points]]
label = "A"
x_mm = "1,234"
y_mm = 1
hole_mm = 0.5
[[piece.hanging_points]]
label = "B"
"""
    told = [one.replace("\u202f", " ") for one in words(judged(store, piece.job_id, text))]
    points = "Hanging points, as seen from the front, line"
    both = "It can be read in two ways: write 1234 or 1.234."
    carried = "Not known, On points, On rails, Free-standing, Suspended"
    assert told == [
        "Line 1: Heron: Type of object: this is needed.",
        "Line 1: Heron: Where the weight comes from: say whether it was weighed or estimated.",
        "Line 1: Heron: Evidence for it: a fire class needs the report that shows it.",
        "Line 3: Heron: Width: “-5 mm” is not taken. Give a number from 1 to 20 000 mm.",
        "Line 5: Heron: People to lift it: “2.5” is not taken. Give a whole number from 1 to 20.",
        f"Line 6: Heron: How it is carried: “by magic” is not taken. Choose one of: {carried}.",
        "Line 9: Title: this is needed.",
        "Line 11: Made: 41 characters are too many. Give at most 40.",
        f"Line 14: {points} 1: x, to the right: “1,234” is not taken. {both} Give a number from −20 000 to 20 000 mm.",
        f"Line 16: {points} 1: Hole: “0.5” is not taken. Give a number from 1 to 100 mm.",
        f"Line 17: {points} 2: x, to the right: this is needed.",
        f"Line 17: {points} 2: y, upwards: this is needed.",
    ]


@pytest.mark.parametrize(
    ("said", "kept"),
    [("On points", "on points"), ("FREE-STANDING", "free-standing"), ("Not known", None), ("suspended", "suspended")],
)
def test_choices_are_taken_by_their_words(store: Store, piece: PieceNow, said: str, kept: str | None) -> None:
    text = f"title;object_type;stands;Heat close to it\nA;relief;{said};Yes\n"
    (draft,) = judged(store, piece.job_id, text).made
    assert (draft.facts["fields"]["stands"], draft.facts["fields"]["near_heat"]) == (kept, True)


def test_what_looks_like_a_formula_is_text(store: Store, piece: PieceNow) -> None:
    (now,) = brought(store, piece.job_id, 'title,object_type,care\n"=1+1",+relief,@SUM(A1)\n')
    assert (now.particulars.title, now.particulars.object_type, now.particulars.care) == (
        "=1+1",
        "+relief",
        "@SUM(A1)",
    )
    assert "“=1+1” is not taken" in words(judged(store, piece.job_id, "title,object_type,width_mm\na,b,=1+1"))[0]


def test_fifty_problems_are_listed_and_the_rest_counted(store: Store, piece: PieceNow) -> None:
    found = judged(store, piece.job_id, "title;object_type\n" + ";relief\n" * 60)
    assert (len(found.problems), found.left_off, found.drafts) == (50, 10, ())
    assert words(found)[0] == "Line 2: Title: this is needed."


def test_a_piece_revised_meanwhile_stops_the_whole_file(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
    text = f"number;title;object_type\n;New;relief\n{piece.number};Mine;\n"
    found = judged(database, piece.job_id, text)
    with database.write() as session:
        facts: services.PieceFacts = {
            "fields": {"title": "Theirs", "object_type": "relief"},
            "build_up": [],
            "hanging_points": [],
            "photos": [],
        }
        writer = factories.a_writer(session)
        services.revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
    writer = entries.Writer(laptop_id=piece.revision.chain.partition(":")[0])
    with pytest.raises(Superseded):
        database.transact(lambda session: bring_in(session, writer, job_id=piece.job_id, judged=found))
    with database.read() as session:
        assert [said.title for _id, _number, said in services.pieces_of(session, piece.job_id)] == ["Theirs"]
    assert judged(database, piece.job_id, text).seen() != found.seen()


def test_a_file_with_problems_is_never_written(store: Store, piece: PieceNow) -> None:
    found = judged(store, piece.job_id, "title\n\nx")
    with store.write() as session, pytest.raises(ValueError, match="not brought in"):
        bring_in(session, factories.a_writer(session), job_id=piece.job_id, judged=found)


def test_the_same_text_has_the_same_id_however_its_lines_end(store: Store, piece: PieceNow, noise: Any) -> None:
    one = form_id_of(piece.job_id, "title\nx\n")
    assert one == form_id_of(piece.job_id, "\ufefftitle\r\nx")
    assert one != form_id_of(piece.job_id, "title\ny")
    assert one != form_id_of(noise.job_id, "title\nx\n")


def test_five_hundred_pieces_are_judged_with_a_handful_of_queries(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        numbers = [factories.a_piece(session, job_id=piece.job_id).number for _count in range(20)]
    asked: list[str] = []
    begun = time.monotonic()
    with store.read() as session:
        bind = session.get_bind()
        event.listen(bind, "before_cursor_execute", lambda *arguments: asked.append(arguments[2]))
        text = "number;title;object_type\n" + "".join(f"{number};A;b\n" for number in numbers) + ";New;relief\n" * 480
        found = judge(session, piece.job_id, text)
    assert (len(found.made), len(found.revised)) == (480, 20)
    assert len(asked) < 10, asked
    assert time.monotonic() - begun < 60
