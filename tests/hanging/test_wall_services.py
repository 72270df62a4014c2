"""The wall as found: kept, revised, held against the wall asked for. Rules are ours unless a source is named."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import WALL
from siteapp.hanging.pack import views as pack  # noqa: F401 - makes the calculation known
from siteapp.hanging.wall import models, services
from siteapp.hanging.wall.models import WallFound
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.walls import MET_WALL, a_template, find_wall, wall_facts

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

RANK = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}
JUDGED = ("material", "proved_by", "sound", "services_front", "services_back", "detector", "consent", "asbestos")
SAYS = {
    "material": st.sampled_from((None, *models.MATERIALS)),
    "proved_by": st.sampled_from((None, *models.PROVED)),
    "sound": st.sampled_from((None, True, False)),
    "services_front": st.sampled_from((None, *models.SERVICES)),
    "services_back": st.sampled_from((None, *models.SERVICES)),
    "detector": st.sampled_from((None, "scanner")),
    "consent": st.sampled_from((None, *models.CONSENT)),
    "asbestos": st.sampled_from((None, *models.ASBESTOS)),
}


def said(**facts: Any) -> WallFound:
    return WallFound(**wall_facts(**facts))


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of whose wall nothing is known, beside one whose wall is all it should be."""
    with store.write() as session:
        find_wall(session, noise.piece)
        return factories.a_piece(session)


def test_a_wall_is_kept_whole_and_a_later_look_takes_its_place(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        first = find_wall(session, piece, slots=["wall", "trial hole"], bow_mm=-3.5, plumb_mm_m=2.0, flue="right of it")
        second = find_wall(session, piece, revises=first, slots=["wall"], sound=False, from_form=True)
    with database.read() as session:
        found = services.wall_now(session, piece.piece_id)
    assert found is not None
    assert (found.entry.id, [entry.id for entry, _said in found.earlier]) == (second, [first])
    assert (found.said.sound, found.said.from_form, found.said.gap_mm, found.said.bow_mm) == (False, True, 12.0, None)
    before = found.earlier[0][1]
    assert (before.sound, before.bow_mm, before.plumb_mm_m, before.flue) == (True, -3.5, 2.0, "right of it")
    assert len(found.slot("wall")) == 1


def test_nobody_else_s_wall_is_this_piece_s(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        assert services.wall_now(session, piece.piece_id) is None


def test_a_wall_that_is_all_that_was_asked_for_is_met() -> None:
    worked = services.judge(said(), "solid masonry")
    assert (worked.verdict, worked.outcome["why"]) == (MET, [])
    assert services.judge(said(asbestos="built after the ban"), "solid masonry").verdict == MET


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"material": "hollow masonry"}, "The wall is hollow masonry; solid masonry is asked for."),
        ({"sound": False}, "The wall is not sound."),
        ({"services_front": "near"}, "on this side of the wall"),
        ({"services_back": "near"}, "on the other side of the wall"),
        ({"consent": "not given"}, "The wall's owner has not agreed."),
        ({"asbestos": "found"}, "Asbestos was found: nobody drills here."),
    ],
)
def test_what_is_plainly_against_the_wall_is_not_met(facts: dict[str, Any], words: str) -> None:
    worked = services.judge(said(**facts), "solid masonry")
    assert worked.verdict == NOT_MET
    assert words in " ".join(worked.outcome["why"])


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"material": None}, "What the wall is made of is not known."),
        ({"proved_by": "looked"}, "No trial hole"),
        ({"proved_by": "told"}, "No trial hole"),
        ({"proved_by": None}, "No trial hole"),
        ({"sound": None}, "Whether the wall is sound"),
        ({"services_front": None}, "were not looked for on this side"),
        ({"services_back": "not looked"}, "were not looked for on the other side"),
        ({"detector": None}, "looked for with is not named"),
        ({"consent": "spoken"}, "consent is not there in writing"),
        ({"consent": None}, "consent is not there in writing"),
        ({"asbestos": None}, "Whether there is asbestos"),
        ({"asbestos": "not known"}, "Whether there is asbestos"),
    ],
)
def test_what_is_missing_or_only_told_is_cannot_tell(facts: dict[str, Any], words: str) -> None:
    worked = services.judge(said(**facts), "solid masonry")
    assert worked.verdict == CANNOT_TELL
    assert [words in why for why in worked.outcome["why"]] == [True]


def test_without_a_wall_or_without_one_asked_for_nobody_can_tell() -> None:
    assert services.judge(None, "concrete").verdict == CANNOT_TELL
    worked = services.judge(said(), None)
    assert (worked.verdict, worked.outcome["why"]) == (
        CANNOT_TELL,
        ["The fixing template does not say which wall is asked for."],
    )


def test_other_walls_are_compared_by_a_person() -> None:
    worked = services.judge(said(material="other", material_words="rammed earth"), "other")
    assert worked.verdict == CANNOT_TELL
    assert "a person has to say" in worked.outcome["why"][0]


@settings(max_examples=100)
@given(st.fixed_dictionaries(SAYS), st.sampled_from((None, *models.MATERIALS)))
def test_taking_an_answer_away_never_moves_a_wall_towards_met(facts: dict[str, Any], asked: str | None) -> None:
    """Worked out by trying: each answer is taken away, one after another, and the verdict compared.

    Where what is taken away is itself what stood against it, nothing can hold it against the wall any more: the
    verdict then is *cannot tell*, never *met*.
    """
    before = services.judge(said(**facts), asked)
    for name in (*JUDGED, "asked"):
        less = services.judge(
            said(**(facts | {name: None} if name != "asked" else facts)), None if name == "asked" else asked
        )
        assert less.verdict != MET
        if before.verdict != NOT_MET:
            assert RANK[less.verdict] <= RANK[before.verdict]


@settings(max_examples=100)
@given(st.fixed_dictionaries(SAYS), st.sampled_from((None, *models.MATERIALS)))
def test_met_has_no_reasons_and_everything_else_says_why(facts: dict[str, Any], asked: str | None) -> None:
    worked = services.judge(said(**facts), asked)
    assert (worked.verdict == MET) is (worked.outcome["why"] == [])
    assert worked.inputs["asked"] == asked


def test_two_machines_that_described_the_wall_apart_are_never_met_and_the_next_takes_the_place_of_both(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        a_template(session, piece)
        ids = []
        for _machine in range(2):
            # As a merge leaves it: neither knows of the other.
            entry = entries.append(
                session,
                factories.a_writer(session),
                kind="wall_found",
                job_id=piece.job_id,
                piece_id=piece.piece_id,
                bodies=[said()],
            )
            ids.append(entry.id)
        worked = calculations.known(WALL).work_out(session, piece)  # type: ignore[union-attr,misc]
        assert (worked.verdict, worked.outcome["why"]) == (
            CANNOT_TELL,
            ["Two machines described the wall apart, and nobody has chosen yet."],
        )
        find_wall(session, piece, revises=ids[0])
        assert len(services.walls(session, piece.piece_id)) == 1
        worked = calculations.known(WALL).work_out(session, piece)  # type: ignore[union-attr,misc]
        assert worked.verdict == MET


def test_who_was_slower_is_told_and_nothing_of_theirs_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = find_wall(session, piece)
    with store.write() as session:
        find_wall(session, piece, revises=first)
    with pytest.raises(Superseded), store.write() as session:
        find_wall(session, piece, revises=first, sound=False)
    with pytest.raises(Superseded), store.write() as session:
        find_wall(session, piece, sound=False)
    with store.read() as session:
        (only,) = services.walls(session, piece.piece_id)
    assert only.said.sound is True


def test_another_piece_s_wall_is_not_revised(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    with store.read() as session:
        (other,) = services.walls(session, noise.piece.piece_id)
    with pytest.raises(StoreError, match="no wall of this piece"), store.write() as session:
        find_wall(session, piece, revises=other.entry.id)


def test_an_answer_that_is_not_offered_is_refused(store: Store, piece: PieceNow) -> None:
    with pytest.raises(FieldProblem, match="“straw” is not an answer") as refused, store.write() as session:
        find_wall(session, piece, material="straw")
    assert refused.value.field == "material"


def test_the_wall_asked_for_is_the_latest_template_s(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = a_template(session, piece)
        find_wall(session, piece)
        assert calculations.known(WALL).work_out(session, piece).verdict == MET  # type: ignore[union-attr,misc]
        a_template(session, piece, corrects=[first], wall_asked="concrete")
        assert calculations.known(WALL).work_out(session, piece).verdict == NOT_MET  # type: ignore[union-attr,misc]


def test_photos_keep_their_slots(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        photo = factories.a_photo_row(session)
        writer = factories.a_writer(session)
        uses = [PhotoUse(photo, "trial hole")]
        services.record(session, writer, piece=piece, facts=wall_facts(), photos=uses)
        found = services.wall_now(session, piece.piece_id)
    assert found is not None
    assert (found.slot("trial hole"), found.slot("wall")) == ([photo], [])


def test_a_wall_that_was_met_stays_recorded_as_it_was(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        find_wall(session, piece)
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        found = services.wall_now(session, piece.piece_id)
    assert found is not None
    assert {name: getattr(found.said, name) for name in MET_WALL} == MET_WALL
