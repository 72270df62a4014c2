"""Hold points released and lists set aside on the page of checks, by makers."""

from __future__ import annotations

import pytest

from tests.checks.support import HOLD, PLAIN, a_piece_with_lists, article, holds_of, say
from tests.checks.test_stages_page import hidden, page_of

pytestmark = pytest.mark.usefixtures("by_hand")


def test_a_maker_releases_a_hold_point_with_a_reason_and_takes_it_back(maker, fitter, store) -> None:
    piece = a_piece_with_lists(store)
    path = f"/p/{piece.number}/checks/release"
    assert f'action="{path}"' not in page_of(fitter, piece)
    fields = hidden(article(page_of(maker, piece), HOLD), path)
    assert fitter.post(path, {**fields, "reason": "I may not."}).status_code == 403
    for reason, words in (("", "Reason: this is needed"), ("n" * 1001, "are too many"), ("a\x00b", "cannot be kept")):
        refused = maker.post(path, {**fields, "reason": reason})
        assert refused.status_code == 422
        assert words in article(refused.get_data(as_text=True), HOLD)
    answer = maker.post(path, {**fields, "reason": "The engineer proved them."})
    assert answer.location == f"/p/{piece.number}/checks?stage=fixed#check-{HOLD}"
    shown = article(page_of(fitter, piece), HOLD)
    assert "Released" in shown
    assert "The engineer proved them." in shown
    assert "Maker" in shown
    assert holds_of(store, piece) == []
    fields = hidden(article(page_of(maker, piece), HOLD), path)
    assert fields["released"] == "no"
    maker.post(path, {**fields, "reason": "It was another house."})
    shown = article(page_of(fitter, piece), HOLD)
    assert "The engineer proved them." in shown
    assert "It was another house." in shown
    assert holds_of(store, piece) == [HOLD]


def test_what_was_answered_meanwhile_is_shown_before_a_hold_point_is_released(maker, store) -> None:
    piece = a_piece_with_lists(store)
    path = f"/p/{piece.number}/checks/release"
    fields = hidden(article(page_of(maker, piece), HOLD), path)
    answer_id = say(store, piece, HOLD, "not met", note="One came out.")
    refused = maker.post(path, {**fields, "reason": "As agreed."})
    assert refused.status_code == 409
    own = article(refused.get_data(as_text=True), HOLD)
    assert "One came out." in own
    assert "As agreed.</textarea>" in own
    again = hidden(own, path)
    assert again["seen"] == answer_id
    assert maker.post(path, {**again, "reason": "As agreed."}).status_code == 303
    assert holds_of(store, piece) == []


def test_a_maker_sets_a_whole_list_aside_and_takes_it_up_again(maker, fitter, store) -> None:
    piece = a_piece_with_lists(store, stands="suspended")
    path = f"/p/{piece.number}/checks/release"
    page = page_of(maker, piece)
    fields = hidden(page[page.rindex("Set this whole list aside</summary>") :], path)
    assert fields["line_key"] == ""
    assert maker.post(path, {**fields, "reason": "It stands on the floor now."}).status_code == 303
    assert "It stands on the floor now." in page_of(fitter, piece)
    assert holds_of(store, piece) == []
    page = page_of(maker, piece)
    fields = hidden(page[page.index("Take the list up again</summary>") :], path)
    assert maker.post(path, {**fields, "reason": "It hangs after all."}).status_code == 303
    assert len(holds_of(store, piece)) == 4


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        ({"list_id": "x"}, 404),
        ({"list_id": "00000000-0000-4000-8000-000000000000"}, 404),
        ({"line_key": PLAIN}, 422),
        ({"line_key": "no-such-line"}, 422),
        ({"before": "nonsense"}, 422),
        ({"released": "no"}, 422),
    ],
)
def test_a_damaged_release_releases_nothing(maker, store, changed, status) -> None:
    piece = a_piece_with_lists(store)
    path = f"/p/{piece.number}/checks/release"
    fields = hidden(article(page_of(maker, piece), HOLD), path)
    assert maker.post(path, {**fields, "reason": "Because.", **changed}).status_code == status
    assert holds_of(store, piece) == [HOLD]
