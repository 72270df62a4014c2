"""Pieces found by what somebody remembers of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import event

from siteapp.aftercare.models import Keeper, Moved
from siteapp.finishing import services as finishing
from siteapp.jobs.services import job_now, revise_job
from siteapp.journey import search
from siteapp.pieces.services import find as find_piece
from siteapp.pieces.services import revise_particulars
from siteapp.store import entries
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def a_heron(session: Session) -> PieceNow:
    job_id = factories.a_job(session, title="Great hall", client="Ålesund Museum (invented)", place="a fish market")
    return factories.a_piece(session, job_id=job_id, title="Héron gris (invented)")


def a_coat(session: Session, piece: PieceNow, product: str, batch: str) -> None:
    writer = factories.a_writer(session)
    session_id = finishing.start_session(session, writer, piece=piece, zone="face", purpose=None)
    facts = dict.fromkeys(("wet_um", "recoat_hours", "note"))
    facts |= {"product": product, "batch": batch, "number": 1, "zone": "face", "reason": "invented for a test"}
    finishing.apply_coat(session, writer, piece=piece, session_id=session_id, facts=facts)


TYPED = ["héron", "HERON GRIS", "gris heron", "ålesund", "alesund", "fish market heron", "great hall", "silicate"]


@pytest.mark.parametrize("typed", [*TYPED, "ab-0417", "heron ab-04"])
def test_a_piece_is_found_by_title_client_place_product_and_batch_in_any_case_and_order(
    store: Store, noise: factories.Noise, typed: str
) -> None:
    with store.write() as session:
        heron = a_heron(session)
        a_coat(session, heron, "Silicate wash (invented)", "AB-0417")
    with store.read() as session:
        found = [face.piece_id for face in search.find(session, typed)]
    assert found == [heron.piece_id]
    assert noise.piece.piece_id not in found


@pytest.mark.parametrize("written", ["{0}", "{1}-{2}", "{1} {2}", "{3}", "{1}"])
def test_a_piece_is_found_by_its_number_however_it_is_written(store: Store, written: str) -> None:
    with store.write() as session:
        heron = a_heron(session)
        factories.a_piece(session)
    number = heron.number
    spoken = number.lower().replace("0", "o").replace("1", "i")
    typed = written.format(number, number[:4], number[4:], spoken)
    with store.read() as session:
        assert [face.number for face in search.find(session, typed)] == [number]


@pytest.mark.parametrize("typed", ["", "   ", "nowhere at all", "heron nowhere", "%", "_", "\u0301", "' OR 1=1 --"])
def test_words_that_stand_nowhere_find_nothing(store: Store, typed: str) -> None:
    with store.write() as session:
        a_heron(session)
    with store.read() as session:
        assert search.find(session, typed) == []


def test_only_what_is_said_now_finds_a_piece(store: Store) -> None:
    with store.write() as session:
        heron = a_heron(session)
    with store.write() as session:
        piece = find_piece(session, heron.number)
        assert piece is not None
        fields = {"title": "Bittern (invented)", "object_type": "wall relief"}
        facts = {"fields": fields, "build_up": [], "hanging_points": [], "photos": ()}
        writer = factories.a_writer(session)
        revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
        found = job_now(session, piece.job_id)
        assert found is not None
        said = {name: getattr(found[1], name) for name in ("title", "place", "address", "access_notes", "brief")}
        said |= {"client": "Another client (invented)"}
        revise_job(session, factories.a_writer(session), job_id=piece.job_id, revises=found[0].id, facts=said)
    with store.read() as session:
        assert search.find(session, "heron") == []
        assert search.find(session, "alesund") == []
        assert [face.title for face in search.find(session, "another bittern")] == ["Bittern (invented)"]


def test_what_stands_in_the_title_comes_before_what_stands_elsewhere(store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, client="Heron Water Company (invented)")
        other = factories.a_piece(session, job_id=job_id, title="Pike (invented)")
        heron = a_heron(session)
    with store.read() as session:
        assert [face.piece_id for face in search.find(session, "heron")] == [heron.piece_id, other.piece_id]


def test_the_number_of_queries_does_not_grow_with_the_pieces(store: Store) -> None:
    def asked() -> int:
        seen: list[int] = []
        with store.read() as session:
            event.listen(session.connection(), "before_cursor_execute", lambda *_args: seen.append(1))
            search.find(session, "shoal")
        return len(seen)

    with store.write() as session:
        factories.a_piece(session)
    few = asked()
    with store.write() as session:
        for _number in range(12):
            factories.a_piece(session)
    assert asked() == few > 0


def test_a_piece_that_was_sold_on_is_found_by_who_has_it_and_where_it_is_now(store: Store) -> None:

    with store.write() as session:
        heron = a_heron(session)
        for since, name, place in (
            ("2026-05-01", "Surgery (invented)", "a waiting room"),
            ("2025-02-01", "School", "a hall"),
        ):
            writer = factories.a_writer(session)
            for kind, body in (
                ("keeper", Keeper(name=name, since=since)),
                ("moved", Moved(place=place, moved_on=since)),
            ):
                entries.append(session, writer, kind=kind, job_id=heron.job_id, piece_id=heron.piece_id, bodies=[body])
    with store.read() as session:
        assert search.find(session, "ålesund") == []
        assert search.find(session, "fish market") == []
        assert search.find(session, "school") == []
        assert [face.piece_id for face in search.find(session, "surgery waiting")] == [heron.piece_id]
