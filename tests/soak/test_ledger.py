"""The ledger of a long run sees what it is there to see; else a day without faults would say nothing."""

from __future__ import annotations

import time
from datetime import UTC, datetime

import pytest

from siteapp.arrival.services import record_arrival
from tests import factories
from tests.soak.ledger import ALL_SAVED, Entered, Found, Ledger, faults

MARK = "mark-1-1"
ADA, BO = "ada", "bo"
NOW_MS = 1_000_000.0


def ledger_with(*lines: tuple[float, str, str, str]) -> Ledger:
    """Ada entered one thing at NOW_MS; then her phone's line said this: after how many ms, state, words, to whom."""
    ledger = Ledger()
    ledger.entered[MARK] = Entered(MARK, "arrival", 0, ADA)
    for what, after in (("tapped", 0), ("kept", 30)):
        ledger.hear(0, {"what": what, "at": NOW_MS + after, "mark": MARK, "person": ADA})
    for after, state, words, person in lines:
        told = {"what": "line", "at": NOW_MS + after, "state": state, "words": words, "person": person}
        ledger.hear(0, told)
    return ledger


def saved_after(ms: float) -> dict[str, list[Found]]:
    return {MARK: [Found("entry", ADA, datetime.fromtimestamp((NOW_MS + ms) / 1000, UTC), set())]}


@pytest.mark.parametrize(
    ("lines", "untrue"),
    [
        ([(5, "keeping", "Keeping …", ADA), (600, "saved", ALL_SAVED, ADA)], False),
        ([(5, "keeping", "Keeping …", ADA), (300, "saved", ALL_SAVED, ADA)], True),
        ([(-50, "saved", ALL_SAVED, ADA), (40, "sending", "1 thing waiting", ADA)], True),
        ([(-50, "saved", ALL_SAVED, ADA), (2, "keeping", "Keeping …", ADA)], False),
        ([(300, "looking", ALL_SAVED, ""), (320, "sending", "1 thing waiting", ADA)], True),
        ([(300, "saved", "1 thing by Ada", BO)], False),
        ([(300, "saved", ALL_SAVED, BO)], True),
        ([(300, "saved", "", ADA), (400, "sending", "1 thing waiting", ADA)], True),
    ],
)
def test_a_line_that_says_saved_too_early_is_untrue(lines, untrue):
    assert bool(ledger_with(*lines).untruths(saved_after(500))) is untrue


def test_a_line_that_says_saved_of_what_never_came_is_untrue():
    ledger = ledger_with((300, "saved", ALL_SAVED, ADA))
    assert "mark-1-1" in ledger.untruths({})[0]


@pytest.fixture
def kept(store):
    """A ledger in which one thing was kept on a phone, and a way to record it on the laptop."""
    with store.write() as session:
        person_id = factories.a_person(session)
        piece = factories.a_piece(session)
        photo = factories.a_photo(session, store, b"bytes of a photo")
    ledger = Ledger()
    ledger.entered[MARK] = Entered(
        MARK, "arrival", 0, person_id, {photo: b"bytes of a photo"}, kept_ms=time.time() * 1e3
    )

    def record(by_id=person_id, photos=(photo,)):
        from siteapp.store.entries import PhotoUse

        with store.write() as session:
            uses = [PhotoUse(sha, slot="front", caption=None) for sha in photos]
            writer = factories.a_writer(session, by_id=by_id)
            said = {"found": "something found", "note": f"{MARK} typed"}
            record_arrival(session, writer, piece=piece, photos=uses, **said)

    return ledger, record


def test_what_is_there_once_and_whole_is_no_fault(store, kept):
    ledger, record = kept
    record()
    assert faults(ledger, store.settings) == []


@pytest.mark.parametrize(
    ("times", "facts", "said"),
    [
        (0, {}, "is lost"),
        (2, {}, "is there 2 times"),
        (1, {"by_id": None}, "was entered by"),
        (1, {"photos": ()}, "is not with it"),
    ],
)
def test_what_is_lost_twice_of_somebody_else_or_without_its_photo_is_a_fault(store, kept, times, facts, said):
    ledger, record = kept
    for _ in range(times):
        record(**facts)
    assert any(said in fault for fault in faults(ledger, store.settings))


def test_a_photo_with_other_bytes_is_a_fault(store, kept):
    ledger, record = kept
    record()
    (sha,) = ledger.entered[MARK].photos
    (store.settings.photos / sha[:2] / sha).write_bytes(b"bytes of another")
    assert any("other bytes" in fault for fault in faults(ledger, store.settings))
