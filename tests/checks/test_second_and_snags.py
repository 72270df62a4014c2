"""A second person's name where a line asks for one, and the snags that answers raise and end."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.checks import services
from siteapp.checks.models import CheckAnswer
from siteapp.snags.services import open_snags, snags
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.checks.support import HOLD, PHOTO, PLAIN, a_piece_with_lists, line_of, say

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

pytestmark = pytest.mark.usefixtures("by_hand")
BOTH_SIDES = "engaged"  # of the list for rails: two people look
ADA, BO = "Ada Sandbank (invented)", "Bo Reedbed (invented)"


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece on rails whose list is open."""
    return a_piece_with_lists(store, stands="on rails")


@pytest.fixture
def crew(store: Store) -> dict[str, str]:
    """Ids of the crew by name."""
    with store.write() as session:
        return {name: factories.a_person(session, name=name) for name in (ADA, BO)}


def raised(store: Store, piece: PieceNow) -> list[tuple[str, str | None]]:
    """The line and the ending of each snag."""
    with store.read() as session:
        found = snags(session, piece.piece_id)
        return [(one.said.line_key or "", one.ended.how if one.ended else None) for one in found]


def test_met_with_a_second_person_keeps_their_name_and_who_they_are(store, piece, crew) -> None:
    answer_id = say(store, piece, BOTH_SIDES, by_id=crew[ADA], second_name=BO.upper())
    line = line_of(store, piece, BOTH_SIDES)
    assert line.answer
    assert (line.verdict, line.answer.second_name) == ("met", BO.upper())
    with store.read() as session:
        assert session.get_one(CheckAnswer, answer_id).second_id == crew[BO]


def test_somebody_who_is_not_of_the_crew_may_be_the_second(store, piece, crew) -> None:
    answer_id = say(store, piece, BOTH_SIDES, by_id=crew[ADA], second_name="The caretaker (invented)")
    assert line_of(store, piece, BOTH_SIDES).verdict == "met"
    with store.read() as session:
        assert session.get_one(CheckAnswer, answer_id).second_id is None


@pytest.mark.parametrize("second", [None, "", ADA, ADA.lower(), f" {ADA} "])
def test_nobody_is_a_second_person_beside_themselves(store, piece, crew, second) -> None:
    with pytest.raises(FieldProblem) as problem:
        say(store, piece, BOTH_SIDES, by_id=crew[ADA], second_name=second)
    assert problem.value.field == "second_name"
    assert line_of(store, piece, BOTH_SIDES).answers == ()


def test_the_same_person_by_id_under_another_name_is_refused(store, piece, crew) -> None:
    with pytest.raises(FieldProblem, match="Give the name of somebody else"):
        say(store, piece, BOTH_SIDES, by_id=crew[ADA], second_name="A. S.", second_id=crew[ADA])


@pytest.mark.parametrize("verdict", ["not met", "cannot tell"])
def test_not_met_and_cannot_tell_need_nobody_else(store, piece, crew, verdict) -> None:
    say(store, piece, BOTH_SIDES, verdict, by_id=crew[ADA])
    assert line_of(store, piece, BOTH_SIDES).verdict == verdict


def test_not_met_raises_a_snag_with_its_words_note_and_photo_and_met_ends_it(store, piece) -> None:
    first = say(store, piece, PLAIN, "not met", note="Damp at the skirting.", photo=True)
    with store.read() as session:
        found = open_snags(session, piece.piece_id)
    assert [(one.said.line_key, one.said.answer_id, len(one.photos)) for one in found] == [(PLAIN, first, 1)]
    assert found[0].said.words == f"Check not met: {line_of(store, piece).words}\nDamp at the skirting."
    say(store, piece, PLAIN, "met", corrects=[first])
    assert raised(store, piece) == [(PLAIN, "check met")]


def test_not_met_again_raises_no_second_snag_while_the_first_is_open(store, piece) -> None:
    first = say(store, piece, PLAIN, "not met")
    second = say(store, piece, PLAIN, "cannot tell", corrects=[first])
    third = say(store, piece, PLAIN, "not met", corrects=[second])
    assert raised(store, piece) == [(PLAIN, None)]
    fourth = say(store, piece, PLAIN, "met", corrects=[third])
    say(store, piece, PLAIN, "not met", corrects=[fourth])
    assert raised(store, piece) == [(PLAIN, "check met"), (PLAIN, None)]


def test_cannot_tell_and_met_raise_none(store, piece) -> None:
    say(store, piece, PLAIN, "cannot tell")
    say(store, piece, "nothing-behind", "met")
    assert raised(store, piece) == []


def test_what_is_refused_leaves_neither_answer_nor_snag(store, piece) -> None:
    first = say(store, piece, HOLD, "not met")
    with pytest.raises(FieldProblem):
        say(store, piece, HOLD, "met", corrects=[first])
    assert raised(store, piece) == [(HOLD, None)]


def test_the_snags_of_other_lines_stay_as_they_are(store, piece) -> None:
    first = say(store, piece, PLAIN, "not met")
    say(store, piece, "nothing-behind", "not met")
    say(store, piece, PLAIN, "met", corrects=[first])
    assert raised(store, piece) == [(PLAIN, "check met"), ("nothing-behind", None)]
    assert PHOTO not in {key for key, _how in raised(store, piece)}
    with store.read() as session:
        assert services.state(session, piece).left == 8
