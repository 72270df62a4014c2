"""The page of checks: seen, answered, refused with everything typed still there."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest

from siteapp.checks import services
from tests import factories
from tests.checks.support import HOLD, PLAIN, a_photo, article, line_of

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


pytestmark = pytest.mark.usefixtures("by_hand")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose list is open, beside another one with an answer."""
    with store.write() as session:
        made = factories.a_piece(session)
        for one in (noise.piece, made):
            services.open_lists(session, factories.a_writer(session), piece=one, stage="fixed")
        services.answer(
            session,
            factories.a_writer(session),
            piece=noise.piece,
            list_id=services.state(session, noise.piece).lines[0].list_id,
            line_key=PLAIN,
            verdict="not met",
            note="of the other piece",
        )
    return made


def send(browser: Browser, store: Store, piece: PieceNow, line_key: str = PLAIN, **fields: Any) -> Any:
    """Answer a line as the page's own form would."""
    line = line_of(store, piece, line_key)
    stands = " ".join(one.entry_id for one in line.standing)
    data = {"list_id": line.list_id, "stands": stands, "verdict": "met", **fields}
    return browser.post(f"/p/{piece.number}/checks/{line_key}", data)


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    for path in (f"/p/{piece.number}/checks", f"/p/{piece.number}/checks/{PLAIN}"):
        answer = stranger.get(path)
        assert answer.status_code == 303
        assert answer.location.startswith("/sign-in")


def test_every_line_is_there_in_order_and_only_the_hold_point_is_marked(fitter: Browser, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/checks").get_data(as_text=True)
    keys = re.findall(r'id="check-([a-z-]+)"', page)
    assert keys == [
        "wall-as-asked",
        "nothing-behind",
        "anchors-proved",
        "hands-and-aids",
        "offered-up",
        "nuts-marked",
        "level",
    ]
    assert [key for key in keys if "Hold point" in article(page, key)] == [HOLD]
    assert [key for key in keys if "data-hold " in article(page, key)] == [HOLD]
    assert "of the other piece" not in page
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_an_ordinary_check_is_one_tap(fitter: Browser, store: Store, piece: PieceNow) -> None:
    answer = send(fitter, store, piece)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/checks?stage=fixed#check-{PLAIN}")
    shown = article(fitter.get(answer.location).get_data(as_text=True), PLAIN)
    assert "met</span>" in shown
    assert "Fitter" in shown
    assert "Answer again" in shown


def test_a_hold_point_is_met_by_whoever_says_so_twice_with_reading_and_photo(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    fields = {"reading": "1,6", "instrument": "pull tester"}
    refused = send(fitter, store, piece, HOLD, photos=a_photo(), **fields)
    assert refused.status_code == 422
    assert "This is a hold point" in refused.get_data(as_text=True)
    sha = re.search(r'name="photos_sha" value="([0-9a-f]{64})"', refused.get_data(as_text=True))
    assert sha
    answer = send(fitter, store, piece, HOLD, photos_sha=sha[1], confirm="yes", **fields)
    assert answer.status_code == 303
    line = line_of(store, piece, HOLD)
    assert line.answer is not None
    assert (line.verdict, line.answer.reading, [one.sha256 for one in line.answer.photos]) == ("met", 1.6, [sha[1]])
    shown = article(fitter.get(answer.location).get_data(as_text=True), HOLD)
    assert "1.6 kN" in shown
    assert f"/photos/{sha[1]}/320" in shown


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"reading": "0.8"}, "0.8 kN is outside the limits (at least 1 kN)"),
        ({"reading": ""}, "met needs the reading (at least 1 kN)"),
        ({"reading": "NaN"}, "“NaN” is not taken"),
        ({"reading": "heavy"}, "“heavy” is not taken"),
        ({"reading": "1e999"}, "is not taken"),
        ({"reading": "1.5", "note": "n" * 10_001}, "are too many"),
        ({"reading": "1.5", "note": "a\x00b"}, "cannot be kept"),
        ({"reading": "1.5", "verdict": "fine"}, "Choose one of: met, not met, cannot tell"),
        ({"reading": "1.5", "verdict": ""}, "Answer: choose one."),
    ],
)
def test_what_is_refused_says_why_and_stays_typed_on_its_own_line(
    fitter: Browser, store: Store, piece: PieceNow, fields: dict[str, str], words: str
) -> None:
    typed = {"instrument": "tester <7>", "note": "all six مرحبا", "confirm": "yes", **fields}
    answer = send(fitter, store, piece, HOLD, photos=a_photo(), **typed)
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    own = article(page, HOLD)
    assert words in own
    assert "tester &lt;7&gt;" in own
    assert 'name="photos_sha"' in own
    assert "Not saved yet" in page
    if typed["note"].startswith("all six"):
        assert typed["note"] in own
    assert "tester" not in page.replace(own, "")
    assert line_of(store, piece, HOLD).answers == ()


def test_not_met_needs_no_second_word_and_no_photo(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert send(fitter, store, piece, HOLD, verdict="not met", reading="0.4").status_code == 303
    line = line_of(store, piece, HOLD)
    assert line.answer is not None
    assert (line.verdict, line.answer.reading, line.answer.unit) == ("not met", 0.4, "kN")


def test_an_answer_is_answered_again_and_the_earlier_one_stays_to_be_seen(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    send(fitter, store, piece, note="looked dry")
    send(maker, store, piece, verdict="cannot tell")
    shown = article(fitter.get(f"/p/{piece.number}/checks").get_data(as_text=True), PLAIN)
    assert "1 earlier answer" in shown
    assert "looked dry" in shown
    assert "Fitter" in shown
    assert "Maker" in shown
    assert line_of(store, piece).verdict == "cannot tell"


def test_what_was_met_comes_back_filled_in_and_what_was_not_met_does_not(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    send(fitter, store, piece, "level", verdict="not met", reading="9", note="left side low")
    shown = article(fitter.get(f"/p/{piece.number}/checks").get_data(as_text=True), "level")
    assert 'name="reading" value=""' in shown
    send(fitter, store, piece, "level", reading="2.5")
    shown = article(fitter.get(f"/p/{piece.number}/checks").get_data(as_text=True), "level")
    assert 'name="reading" value="2.5"' in shown


def test_of_two_who_answer_at_once_the_second_sees_the_first_and_may_answer_after_it(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    send(fitter, store, piece, note="first")
    send(fitter, store, piece, note="second")
    answer = send(maker, store, piece, verdict="not met", note="mine", stands="")
    assert answer.status_code == 409
    own = article(answer.get_data(as_text=True), PLAIN)
    assert "Somebody else changed this" in own
    assert "second" in own
    assert "mine" in own
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', own))
    again = maker.post(
        f"/p/{piece.number}/checks/{PLAIN}", {**fields, "verdict": "not met", "note": "mine", "csrf": maker.token()}
    )
    assert again.status_code == 303
    line = line_of(store, piece)
    assert [one.note for one in line.standing] == ["mine"]
    assert [one.note for one in line.earlier] == ["second", "first"]


def test_a_form_that_is_sent_twice_is_kept_once(fitter: Browser, store: Store, piece: PieceNow) -> None:
    form = {"form_id": str(uuid4()), "stands": "", "note": "once"}
    answers = [send(fitter, store, piece, **form) for _turn in range(3)]
    assert [answer.status_code for answer in answers] == [303, 303, 303]
    assert len(line_of(store, piece).answers) == 1


def test_the_same_form_with_other_words_is_offered_as_a_correction(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    form = {"form_id": str(uuid4()), "stands": ""}
    send(fitter, store, piece, note="one", **form)
    answer = send(fitter, store, piece, note="two", **form)
    assert answer.status_code == 409
    own = article(answer.get_data(as_text=True), PLAIN)
    first = line_of(store, piece).answers[0].entry_id
    assert f'name="corrects" value="{first}"' in own
    # The button that says so sends no answer of its own, so the form carries the one that was given.
    assert '<input type="hidden" name="verdict" value="met">' in own
    assert send(fitter, store, piece, note="two", stands="", corrects=first).status_code == 303
    assert [one.note for one in line_of(store, piece).standing] == ["two"]


def test_a_damaged_form_is_refused_without_a_mistake_of_the_program(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    for fields in (
        {"stands": "nonsense"},
        {"stands": str(uuid4())},
        {"stands": "a\x00b"},
        {"list_id": str(uuid4())},
        {"list_id": "x"},
    ):
        assert send(fitter, store, piece, **fields).status_code == 422
    assert line_of(store, piece).answers == ()


def test_a_check_that_is_not_on_the_list_is_not_there(fitter: Browser, store: Store, piece: PieceNow) -> None:
    answer = fitter.post(f"/p/{piece.number}/checks/no-such-check", {"verdict": "met"})
    assert answer.status_code == 404


def test_the_address_of_a_refused_answer_leads_back_to_its_check(fitter: Browser, piece: PieceNow) -> None:
    answer = fitter.get(f"/p/{piece.number}/checks/{HOLD}")
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/checks?stage=fixed#check-{HOLD}")
