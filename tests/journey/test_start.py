"""The start page: today's pieces, the pieces in hand by what happens next, and finding one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import event

from siteapp.arrival.services import record_arrival
from siteapp.checks import services as checks
from siteapp.journey import start
from siteapp.pieces import slots
from siteapp.store.entries import PhotoUse
from siteapp.visits.services import plan_visit
from siteapp.web.dates import now
from tests import factories

if TYPE_CHECKING:
    from flask import Flask
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


def arrived(session: Session, piece: PieceNow) -> None:
    photos = [PhotoUse(factories.a_photo_row(session), slot) for slot in (slots.FRONT, slots.BACK, slots.EDGES)]
    record_arrival(session, factories.a_writer(session), piece=piece, found="something found", photos=photos)


def by_stage(hand: start.InHand) -> dict[str, list[str]]:
    return {group.stage.key: [line.face.title for line in group.lines] for group in hand.groups}


def test_pieces_are_in_hand_by_what_happens_to_them_next_those_touched_last_first(store: Store) -> None:
    with store.write() as session:
        first, second, third = (factories.a_piece(session, title=title) for title in ("Reed", "Eel", "Gull"))
        arrived(session, second)
        arrived(session, first)
    with store.read() as session:
        hand = start.in_hand(session)
        assert by_stage(hand) == {"ready": ["Gull"], "fixed": ["Reed", "Eel"]}
        fixed = hand.groups[1].lines[0]
        lines = checks.state(session, first).lines
    assert fixed.hold == next(line.words for line in lines if line.hold)
    assert third.number not in {line.face.number for line in hand.groups[1].lines}


def test_no_more_are_shown_than_can_be_looked_over_and_how_many_are_left_out_is_said(store: Store) -> None:
    with store.write() as session:
        for title in ("Reed", "Eel", "Gull"):
            factories.a_piece(session, title=title)
    with store.read() as session:
        hand = start.in_hand(session, most=2)
    assert by_stage(hand) == {"ready": ["Gull", "Eel"]}
    assert hand.more == 1


def test_todays_pieces_are_those_of_the_jobs_that_are_visited_today(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, title="Reed")
        facts = {"day": now().date().isoformat(), "from_time": None, "until_time": None, "purpose": None, "note": None}
        before = [line.face.title for line in start.today(session, now().date())]
        plan_visit(session, factories.a_writer(session), job_id=piece.job_id, facts=facts)
        visited = [line.face.title for line in start.today(session, now().date())]
    # Without a visit, what was touched today is most likely what somebody stands in front of.
    assert set(before) == {"Reed", noise.piece.title}
    assert visited == ["Reed"]


def test_the_queries_of_the_start_page_do_not_grow_with_the_pieces(store: Store) -> None:
    def asked() -> int:
        seen: list[int] = []
        with store.read() as session:
            event.listen(session.connection(), "before_cursor_execute", lambda *_args: seen.append(1))
            start.in_hand(session)
            start.today(session, now().date())
        return len(seen)

    with store.write() as session:
        arrived(session, factories.a_piece(session))
        factories.a_piece(session)
    few = asked()
    with store.write() as session:
        for _number in range(6):
            arrived(session, factories.a_piece(session))
            factories.a_piece(session)
    assert asked() == few > 0


def test_the_start_page_shows_each_piece_with_its_place_and_the_hold_point_that_stops_it(
    app: Flask, store: Store, fitter: Browser
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, title="Reed <b>bed</b>")
        arrived(session, piece)
    page = fitter.get("/").get_data(as_text=True)
    assert "Reed &lt;b&gt;bed&lt;/b&gt;" in page
    assert "Hold point: The anchors in the wall were pulled and held" in page
    assert "a library in a small town" in page
    assert f'href="/p/{piece.number}"' in page


def test_finding_answers_without_scripts_and_says_how_many_there_are(app: Flask, store: Store, fitter: Browser) -> None:
    with store.write() as session:
        factories.a_piece(session, title="Reed bed")
        factories.a_piece(session, title="Reed cutter")
        factories.a_piece(session, title="Gull")
    page = fitter.get("/?find=reed").get_data(as_text=True)
    assert "2 pieces" in page
    assert "Gull" not in page
    assert 'value="reed"' in page
    none = fitter.get("/?find=%3Cscript%3E").get_data(as_text=True)
    assert "<script>" not in none.split("</head>")[1]
    assert "Nothing here is called that." in none
    assert fitter.get("/?find=" + "x" * 5000).status_code == 200


def test_a_stranger_finds_nothing_from_the_start_page(app: Flask, store: Store, stranger: Browser) -> None:
    with store.write() as session:
        factories.a_piece(session, title="Reed bed")
    page = stranger.get("/?find=reed").get_data(as_text=True)
    assert "Reed bed" not in page
