"""What a revision changed, in words."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.pieces import changes, services
from siteapp.pieces.changes import ADDED, CHANGED, TAKEN_OUT, Said, between
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store


def layer(material: str, **more: Any) -> dict[str, Any]:
    return {"material": material, "thickness_mm": None, "mass_kg": None, "note": None, **more}


def point(label: str, x_mm: float = 0.0) -> dict[str, Any]:
    return {"label": label, "x_mm": x_mm, "y_mm": 10.0, "hole_mm": None, "note": None}


def said(**more: Any) -> Said:
    return Said(**{"fields": {}, "build_up": [], "hanging_points": [], "photos": [], **more})


LAYERS = st.lists(st.sampled_from("abcd").map(layer), max_size=5)
SAID = st.builds(
    lambda width, layers, photos: said(fields={"width_mm": width}, build_up=layers, photos=photos),
    st.sampled_from([None, 1.0, 2.0]),
    LAYERS,
    st.lists(st.sampled_from("xyz"), unique=True),
)


@given(SAID, SAID)
def test_nothing_is_told_of_what_says_the_same_and_something_of_everything_else(one: Said, other: Said) -> None:
    assert between(one, one).nothing
    assert between(one, other).nothing == (one == other)


@given(SAID, SAID)
def test_what_was_added_one_way_is_taken_out_the_other_way(one: Said, other: Said) -> None:
    there, back = between(one, other), between(other, one)
    assert there.photos_added == back.photos_taken_out
    assert [(field.before, field.after) for field in there.fields] == [
        (field.after, field.before) for field in back.fields
    ]
    counts = [
        sum(line.how == how for lines in way.lines for line in lines.lines)
        for way, how in ((there, ADDED), (back, TAKEN_OUT))
    ]
    assert counts[0] == counts[1]


def test_fields_are_named_in_words_with_their_units_before_and_after() -> None:
    before = said(fields={"mass_kg": 31.4, "mass_origin": "estimated", "near_heat": None, "stands": "on rails"})
    after = said(fields={"mass_kg": 1200.25, "mass_origin": "weighed", "near_heat": False, "stands": None})
    assert [(one.words, one.before, one.after) for one in between(before, after).fields] == [
        ("Weight", "31.4 kg", "1\u202f200.25 kg"),
        ("Where the weight comes from", "Estimated", "Weighed"),
        ("How it is carried", "On rails", None),
        ("Heat close to it", None, "No"),
    ]


def test_lines_are_told_as_added_taken_out_or_changed() -> None:
    before = said(build_up=[layer("copper", mass_kg=6.1), layer("plywood"), layer("felt")])
    after = said(build_up=[layer("copper", mass_kg=7.0), layer("felt"), layer("wax"), layer("cork")])
    (lines,) = between(before, after).lines
    assert [(line.how, line.name) for line in lines.lines] == [
        (CHANGED, "copper"),
        (ADDED, "wax"),
        (ADDED, "cork"),
        (TAKEN_OUT, "plywood"),
    ]
    assert [(one.words, one.before, one.after) for one in lines.lines[0].fields] == [("Weight", "6.1 kg", "7 kg")]
    assert lines.words == "Build-up, from the face inwards"


def test_a_point_that_got_another_label_is_one_that_changed() -> None:
    (lines,) = between(
        said(hanging_points=[point("A"), point("B")]), said(hanging_points=[point("A"), point("F1")])
    ).lines
    (line,) = lines.lines
    assert (line.how, line.name) == (CHANGED, "B")
    assert [(one.words, one.before, one.after) for one in line.fields] == [("Label", "B", "F1")]


@pytest.mark.parametrize("order", list(itertools.permutations("abc"))[1:])
def test_lines_that_only_change_places_are_told_so(order: tuple[str, ...]) -> None:
    (lines,) = between(said(build_up=[layer(one) for one in "abc"]), said(build_up=[layer(one) for one in order])).lines
    assert (lines.lines, lines.reordered) == ((), True)


def test_photos_are_told_as_added_taken_out_or_put_into_another_order() -> None:
    found = between(said(photos=["a", "b", "c"]), said(photos=["c", "a", "d"]))
    assert (found.photos_added, found.photos_taken_out, found.photos_reordered) == (("d",), ("b",), True)
    assert not between(said(photos=["a", "b"]), said(photos=["b"])).photos_reordered


def test_every_revision_of_a_piece_is_told_with_who_and_what(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        photo = factories.a_photo_row(session)
        other = factories.a_piece(session)
        now = services.said_now(piece)
        facts: services.PieceFacts = {
            "fields": {**now.fields, "title": "Heron (invented)", "stands": "suspended", "near_heat": True},
            "build_up": [dict(row) for row in now.build_up[1:]],
            "hanging_points": [{**row, "x_mm": row["x_mm"] + 1} for row in now.hanging_points],
            "photos": [PhotoUse(photo, slot="piece")],
        }
        writer = factories.a_writer(session)
        services.revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
    with database.read() as session:
        latest, first = services.revisions(session, piece)
        assert [one.revision.kind for one in services.find_all(session, [piece.number, other.number]).values()] == [
            "particulars"
        ] * 2
    assert first[1].nothing
    assert {one.words for one in latest[1].fields} == {"Title", "How it is carried", "Heat close to it"}
    build_up, points = latest[1].lines
    assert [(line.how, line.name) for line in build_up.lines] == [(TAKEN_OUT, "copper sheet")]
    assert [(line.how, line.name) for line in points.lines] == [(CHANGED, "A"), (CHANGED, "B")]
    assert latest[1].photos_added == (photo,)


def test_what_is_typed_again_is_what_is_there(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    typed = changes.typed_again(piece, leave_out=["hanging_points"])
    assert (typed["width_mm"], typed["mass_origin"], typed["near_heat"], typed["take_down"]) == (
        "1200",
        "weighed",
        "",
        "",
    )
    assert (typed["build_up-0-mass_kg"], typed["build_up-1-note"]) == ("6.1", "frame only")
    assert not any(name.startswith("hanging_points") for name in typed)
