"""The page of the piece's own strength: shown, typed, refused."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.hanging.strength import services
from tests import factories
from tests.dispatch.support import a_photo
from tests.hanging.proved import prove
from tests.hanging.test_strength import loaded

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {
    "points-0-labels": "all",
    "points-0-proof": "proof load",
    "points-0-proof_n": "9 kN",
    "points-0-plate_mm": "4",
    "points-0-proved_on": "2026-11-18",
    "points-0-proved_by": "P. Prover <b> مرحبا",
    "note": "pulled over two hours",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose loads are worked out, beside another that was proved."""
    with store.write() as session:
        prove(session, noise.piece, proved_by="somebody of the other piece")
        return loaded(session)


def send(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    return browser.post(f"/p/{piece.number}/strength", fields)


def version(store: Store, piece: PieceNow) -> services.Told | None:
    with store.read() as session:
        return services.strength_now(session, piece).version


def test_what_is_typed_once_stands_for_every_point_and_is_shown_with_its_figures(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    asked = maker.get(f"/p/{piece.number}/strength").get_data(as_text=True)
    assert 'value="A, B, C, D"' in asked
    answer = send(maker, piece, **TYPED, photos=a_photo())
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/strength")
    page = fitter.get(answer.location).get_data(as_text=True)
    assert page.count("proof load, 9\u202f000 N held") == 4
    assert "P. Prover &lt;b&gt; مرحبا" in page
    assert "EN 1993-1-8" in page
    assert "somebody of the other piece" not in page
    assert "<form id=" not in page.split("<main", 1)[1].split("</main>", 1)[0]
    stands = version(store, piece)
    assert stands is not None
    assert f"/photos/{stands.slot('proof')[0]}/320" in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"points-0-labels": "A, Z"}, "there is no “Z” on this piece"),
        ({"points-0-labels": "A, A"}, "stands in two lines"),
        ({"points-0-labels": ""}, "Points: this is needed."),
        ({"points-0-proof": ""}, "How it was proved: choose one."),
        ({"points-0-proof": "by eye"}, "is not taken"),
        ({"points-0-proof_n": "heavy"}, "Give a number from 0.001 to 1\u202f000\u202f000 N."),
        ({"points-0-proof_n": "-5"}, "is not taken"),
        ({"points-0-proof_n": "NaN"}, "is not taken"),
        ({"points-0-proof": "not proved"}, "stands beside “not proved”"),
        ({"points-0-factor": "8"}, "say who chose it and why"),
        ({"points-0-factor": "0.5", "points-0-factor_why": "x"}, "Give a number from 1 to 100."),
        ({"points-0-bond_service_c": "2000"}, "Give a number from -40 to 1\u202f000 °C."),
        ({"points-0-plate_mm": "3 kg"}, "is not taken"),
        ({"points-0-proved_on": "2199-01-01"}, "is not taken"),
        ({"points-0-evidence": "x" * 1001}, "are too many"),
    ],
)
def test_what_cannot_be_is_refused_by_name_and_stays_typed(
    maker: Browser, store: Store, piece: PieceNow, fields: dict[str, str], words: str
) -> None:
    answer = send(maker, piece, **TYPED | fields)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert words.replace("-40", "−40") in page or words in page
    assert "pulled over two hours" in page
    for value in fields.values():
        assert value in page
    assert version(store, piece) is None


def test_two_lines_of_one_point_are_refused(maker: Browser, store: Store, piece: PieceNow) -> None:
    second = {name.replace("-0-", "-1-"): value for name, value in TYPED.items() if name.startswith("points")}
    answer = send(maker, piece, **TYPED | second | {"points-1-labels": "B"})
    assert answer.status_code == 422
    assert "“B” stands in two lines" in answer.get_data(as_text=True)
    assert version(store, piece) is None


def test_a_fitter_reads_and_does_not_write(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert send(fitter, piece, **TYPED).status_code == 403
    assert version(store, piece) is None


def test_of_two_who_tell_it_at_once_the_second_is_told_and_sends_again(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, **TYPED).status_code == 303
    answer = send(maker, piece, **TYPED | {"note": "the second one"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "the second one" in page
    revises = re.search(r'name="revises" value="([^"]+)"', page)
    assert revises
    assert send(maker, piece, **TYPED | {"note": "the second one", "revises": revises[1]}).status_code == 303
    stands = version(store, piece)
    assert stands is not None
    assert (stands.said.note, len(stands.replaced)) == ("the second one", 1)


def test_a_piece_without_points_says_what_to_do_first(maker: Browser, store: Store) -> None:
    from siteapp.pieces.services import facts_now, revise_particulars

    with store.write() as session:
        piece = factories.a_piece(session)
        facts = facts_now(piece) | {"hanging_points": []}
        revise_particulars(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts)
    page = maker.get(f"/p/{piece.number}/strength").get_data(as_text=True)
    assert "no hanging points yet" in page
    assert f'href="/p/{piece.number}/points"' in page
    assert send(maker, piece, **TYPED).status_code == 422
