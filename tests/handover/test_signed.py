"""What a client agrees to: conditions in writing, the snags that are open, whoever else signs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from siteapp.checks import services as checks
from siteapp.handover.models import Handover, HandoverCondition, HandoverSignature
from siteapp.handover.services import FurtherSignature
from siteapp.handover.signed import conditions_to_offer, signed_now
from siteapp.heat.condition import NO_FIRE
from siteapp.pieces.services import agree
from siteapp.snags.services import accept_snag, raise_snag
from siteapp.store.errors import StoreError
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.handover.support import SAID, answer_all, arrive, hand_over, ready

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TWO = [FurtherSignature("M. Maker (invented)", "maker"), FurtherSignature("W. Witness (invented)")]
CONDITIONS = ["No fire is lit until the heat test has been made.", "Nothing leans on it."]
FORM = {"signed_name": "A. Client (invented)", "said": SAID}
CLOSED = "<details>\n<summary>Second signature"
OPEN = "<details open>\n<summary>Second signature"


def a_snag(store: Store, piece: PieceNow, words: str = "The seal above is short", place: str | None = "left") -> str:
    with store.write() as session:
        return raise_snag(session, factories.a_writer(session), piece=piece, words=words, place=place)


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return ready(session)


def page_of(browser: Browser, piece: PieceNow) -> str:
    answer = browser.get(f"/p/{piece.number}/handover")
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def test_conditions_and_further_signatures_are_kept_in_their_order(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
        sha = factories.a_photo_row(session)
        further = [TWO[0], FurtherSignature("W. Witness (invented)", None, sha)]
        hand_over(session, piece, conditions=CONDITIONS, further=further)
    with database.read() as session:
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert [row.words for row in signed.conditions] == CONDITIONS
        told = [(row.name, row.capacity, row.signature_sha256) for row in signed.signatures]
        assert told == [("M. Maker (invented)", "maker", None), ("W. Witness (invented)", None, sha)]


def test_the_words_agreed_to_name_what_is_still_open_and_not_what_was_accepted(store: Store, piece: PieceNow) -> None:
    a_snag(store, piece)
    left = a_snag(store, piece, "A scratch\n  of 40 mm")
    with store.write() as session:
        writer = factories.a_writer(session)
        accept_snag(session, writer, piece=piece, snag_id=left, accepted_by="A. Client (invented)", said="Leave it.")
        hand_over(session, piece)
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert signed.said.said == f"{SAID}\nStill to be put right:\n– The seal above is short (left)"


def test_a_snag_raised_after_the_words_were_read_stops_the_signing_until_it_is_named(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
    first = a_snag(database, piece)
    second = a_snag(database, piece, "A hairline")
    with pytest.raises(StoreError, match="A hairline"), database.write() as session:
        hand_over(session, piece, snags_seen=[first])
    with database.write() as session:
        assert session.scalars(select(Handover)).all() == []
        hand_over(session, piece, snags_seen=[first, second])


def test_a_correction_keeps_the_words_as_they_are(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = hand_over(session, piece)
    a_snag(store, piece)
    with store.write() as session:
        hand_over(session, piece, corrects=[first], said="As corrected.", snags_seen=[])
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert (signed.said.said, signed.conditions) == ("As corrected.", ())


def test_an_open_snag_stops_nothing_but_the_hold_point_that_raised_it_does(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        arrive(session, piece)
        answer_all(session, piece, but="anchors-proved")
        line = next(one for one in checks.state(session, piece).lines if one.key == "anchors-proved")
        told: dict[str, Any] = {"piece": piece, "list_id": line.list_id, "line_key": line.key}
        checks.answer(session, factories.a_writer(session), verdict="not met", **told)
    with pytest.raises(StoreError, match="hold point is open"), store.write() as session:
        hand_over(session, piece)
    with store.write() as session:
        checks.release(session, factories.a_writer(session), reason="Pulled by the contractor.", **told)
        hand_over(session, piece)
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert line.words in signed.said.said.replace("\n", " ")


OFFERED: list[tuple[dict[str, Any], list[str]]] = [
    ({"near_heat": True}, [str(NO_FIRE)]),
    ({"near_heat": False, "description": "Over the stove."}, []),
    ({"near_heat": None, "description": "Hangs above a wood stove."}, [str(NO_FIRE)]),
    ({"near_heat": None, "keep_away": "Radiators closer than 300 mm"}, [str(NO_FIRE)]),
    ({"near_heat": None, "description": "Stoved enamel; fireproof in nobody's words."}, []),
]


def test_the_condition_on_fire_is_offered_where_heat_is_near(store: Store) -> None:
    with store.write() as session:
        for facts, offered in OFFERED:
            assert conditions_to_offer(session, factories.a_piece(session, **facts)) == offered, facts


def test_near_heat_nothing_is_handed_over_without_the_condition_while_no_test_is_met(store: Store) -> None:
    with store.write() as session:
        piece = ready(session, near_heat=True)
    for conditions in ([], ["Nothing leans on it."], ["No fire until it suits us."]):
        with pytest.raises(FieldProblem, match="heat is close and no heat test is met"), store.write() as session:
            hand_over(session, piece, conditions=conditions)
    with store.write() as session:
        assert signed_now(session, piece.piece_id) is None
        hand_over(session, piece, conditions=["Nothing leans on it.", f"  {NO_FIRE}\n"])
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert len(signed.conditions) == 2


def test_the_page_names_the_condition_that_is_missing_and_keeps_what_was_typed(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = ready(session, near_heat=True)
    fields = {"conditions-0-words": "Nothing leans on it.", "note": "Typed and kept."}
    answer = maker.post(f"/p/{piece.number}/handover", FORM | fields)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    for words in ("has to stand among them", "Nothing leans on it.", "Typed and kept.", FORM["signed_name"]):
        assert words in page


def test_the_client_reads_in_one_page_and_in_order_what_they_agree_to(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = ready(session, near_heat=True)
        facts: Any = {"about": "stage", "what": "Model in clay", "agreed_on": "2026-01-22"}
        facts |= {"agreed_by": None, "said": "Yes, that one.", "evidence": None}
        agree(session, factories.a_writer(session), piece=piece, facts=facts)
    snag = a_snag(store, piece)
    page = page_of(maker, piece)
    order = ["The piece</h2>", "How it is cared for", str(NO_FIRE), "Model in clay", "Yes, that one."]
    order += ["The seal above is short", "Words to agree to", "The seal above is short (left)"]
    order += ["Name of who takes it over", "Second signature"]
    at = 0
    for words in order:
        assert words in page[at:], words
        at = page.index(words, at) + len(words)
    assert f'name="stands" value="{snag}"' in page


def test_all_that_the_page_asks_is_recorded(maker: Browser, piece: PieceNow, store: Store) -> None:
    fields = {
        "conditions-0-words": CONDITIONS[0],
        "conditions-1-words": "   ",
        "conditions-2-words": CONDITIONS[1],
        "second_name": "M. Maker (invented)",
        "second_capacity": "maker",
    }
    assert maker.post(f"/p/{piece.number}/handover", FORM | fields).status_code == 303
    with store.read() as session:
        assert session.scalars(select(HandoverCondition.words).order_by(HandoverCondition.position)).all() == CONDITIONS
        assert session.scalars(select(HandoverSignature.name)).all() == ["M. Maker (invented)"]
    page = page_of(maker, piece)
    assert CONDITIONS[1] in page
    assert "M. Maker (invented)" in page
    page = maker.get(f"/p/{piece.number}/handover/correct").get_data(as_text=True)
    assert OPEN in page
    assert 'value="maker"' in page
    assert CONDITIONS[0] in page


def test_a_further_signature_needs_a_name(maker: Browser, piece: PieceNow, store: Store) -> None:
    assert CLOSED in page_of(maker, piece)
    answer = maker.post(f"/p/{piece.number}/handover", FORM | {"second_capacity": "witness"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Second signature: the name is needed." in page
    assert OPEN in page
    assert 'value="witness"' in page
    with store.read() as session:
        assert session.scalars(select(Handover)).all() == []


WRONG: list[tuple[dict[str, str], str]] = [
    ({"conditions-0-words": "w" * 1001}, "at most 1"),
    ({f"conditions-{place}-words": "one" for place in range(21)}, "Give at most 20"),
    ({"second_name": "n" * 201}, "at most 200"),
    ({"said": " "}, "Words to agree to: this is needed."),
    ({"second_drawn_sha": "no hash"}, "damaged on its way"),
    ({"second_name": "N (invented)", "third_drawn_sha": "0" * 64}, "not reached the laptop yet"),
]


def test_what_is_outside_its_limits_is_named_and_nothing_is_recorded(
    maker: Browser, piece: PieceNow, store: Store
) -> None:
    for fields, told in WRONG:
        answer = maker.post(f"/p/{piece.number}/handover", FORM | fields)
        assert answer.status_code == 422, told
        assert told in answer.get_data(as_text=True)
        assert "A. Client (invented)" in answer.get_data(as_text=True)
    with store.read() as session:
        assert session.scalars(select(Handover)).all() == []


def test_asking_for_more_lines_is_no_try_to_hand_over(maker: Browser, piece: PieceNow) -> None:
    answer = maker.post(f"/p/{piece.number}/handover", {"second_capacity": "witness", "more": "conditions"})
    page = answer.get_data(as_text=True)
    assert "the name is needed" not in page
    assert "this is needed" not in page
    assert 'name="conditions-0-words"' in page


def test_a_page_that_named_fewer_snags_comes_back_naming_all(maker: Browser, piece: PieceNow, store: Store) -> None:
    snag = a_snag(store, piece)
    answer = maker.post(f"/p/{piece.number}/handover", FORM | {"stands": ""})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Raised since these words were read" in page
    assert f'name="stands" value="{snag}"' in page
    assert maker.post(f"/p/{piece.number}/handover", FORM | {"stands": snag}).status_code == 303


def test_of_another_piece_s_snags_nothing_is_named(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        raise_snag(session, factories.a_writer(session), piece=factories.a_piece(session), words="Elsewhere")
        hand_over(session, piece)
        signed = signed_now(session, piece.piece_id)
        assert signed
        assert signed.said.said == SAID
