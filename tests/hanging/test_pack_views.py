"""The page of the fixing pack: the paper to send, the form that came back, where each part of it stands."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.hanging.loads import services as loads
from siteapp.hanging.loads.services import ResistanceFacts, SheetFacts
from siteapp.hanging.pack import services
from siteapp.hanging.pack.gathered import pack_of
from siteapp.hanging.wall.services import wall_now
from siteapp.pieces.services import facts_now, revise_particulars
from tests import factories
from tests.dispatch.support import a_photo
from tests.documents import reading
from tests.hanging.anchors import support as anchors
from tests.hanging.packs import POINTS, a_piece_on_four_points, again, bring_back, everything_back
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {"filled_by": "B. Builder (invented)", "filled_on": "2026-11-20", "note": "C sits 5 mm low"}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece on four points with a template, beside one whose form came back."""
    with store.write() as session:
        bring_back(session, noise.piece, anchors.template(session, noise.piece), note="the other piece's form")
        found = a_piece_on_four_points(session)
        anchors.template(session, found)
        return found


def template_id(store: Store, piece: PieceNow) -> str:
    from siteapp.hanging.template.services import template_now

    with store.read() as session:
        now = template_now(session, piece)
        assert now is not None
        return now.version.entry.id


def back(store: Store, piece: PieceNow) -> Any:
    with store.read() as session:
        return services.back_now(session, piece.piece_id)


def test_without_a_template_the_page_says_what_comes_first(maker: Browser, store: Store) -> None:
    with store.write() as session:
        bare = factories.a_piece(session)
    page = maker.get(f"/p/{bare.number}/pack").get_data(as_text=True)
    assert "There is no fixing template yet." in page
    assert f'href="/p/{bare.number}/template"' in page
    assert "fixing-pack.pdf" not in page
    assert 'name="filled_by"' not in page
    answer = maker.get(f"/p/{bare.number}/fixing-pack.pdf")
    assert answer.status_code == 404
    assert "There is no fixing template of this piece yet." in answer.get_data(as_text=True)


def test_the_page_offers_both_papers_and_shows_each_part(maker: Browser, piece: PieceNow) -> None:
    page = maker.get(f"/p/{piece.number}/pack").get_data(as_text=True)
    for words in (
        f"/p/{piece.number}/fixing-pack.pdf",
        "page=Letter",
        f'href="/p/{piece.number}/wall"',
        f'href="/p/{piece.number}/anchors"',
        f'href="/p/{piece.number}/holes"',
        "The form of the fixing pack has not come back.",
        "Nobody has written down the wall as found.",
        "judged by a competent person",
        "Never drill where a cable or pipe was found",
    ):
        assert words in page
    assert "the other piece" not in page


def test_a_form_is_typed_in_and_shown(maker: Browser, store: Store, piece: PieceNow) -> None:
    form = {**TYPED, "template_id": template_id(store, piece), "photos": a_photo()}
    answer = maker.post(f"/p/{piece.number}/pack", form)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/pack")
    found = back(store, piece)
    assert (found.said.filled_on, found.said.note, len(found.photos)) == ("2026-11-20", "C sits 5 mm low", 1)
    page = maker.get(answer.location).get_data(as_text=True)
    assert "Filled in by B. Builder (invented), 20 Nov 2026" in page
    assert "C sits 5 mm low" in page
    assert template_id(store, piece)[:8] in page
    assert "has not come back" not in page


def test_everything_that_is_met_is_shown_as_met(maker: Browser, store: Store) -> None:
    with store.write() as session:
        whole, _template = everything_back(session)
    page = maker.get(f"/p/{whole.number}/pack").get_data(as_text=True)
    assert len(re.findall(r'class="verdict met"', page)) == 4
    assert 'class="verdict cannot-tell"' not in page


def test_the_next_thing_to_do_is_the_first_part_that_is_not_met(maker: Browser, store: Store) -> None:
    with store.write() as session:
        whole, _template = everything_back(session)
        wall = wall_now(session, whole.piece_id)
        assert wall is not None
        find_wall(session, whole, revises=wall.entry.id, consent="spoken")
    page = maker.get(f"/p/{whole.number}/pack").get_data(as_text=True)
    assert f'<a class="button main" href="/p/{whole.number}/wall">The wall as found</a>' in page


@pytest.mark.parametrize(
    ("form", "field", "words"),
    [
        ({"filled_by": ""}, "filled_by", "Filled in by"),
        ({"filled_by": "x" * 201}, "filled_by", "201 characters are too many"),
        ({"filled_on": "31.2.2026"}, "filled_on", "is not taken"),
        ({"filled_on": "2199-01-01"}, "filled_on", "Give a date from"),
        ({"template_id": ""}, "template_id", "choose one"),
        ({"template_id": "4f2a9c1b"}, "template_id", "“4f2a9c1b” is not taken"),
    ],
)
def test_what_cannot_be_is_refused_and_what_was_typed_stays(
    maker: Browser, store: Store, piece: PieceNow, form: dict[str, str], field: str, words: str
) -> None:
    said = {**TYPED, "template_id": template_id(store, piece), **form}
    answer = maker.post(f"/p/{piece.number}/pack", said)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert f'id="{field}-error"' in page
    assert words in page
    assert "C sits 5 mm low" in page
    assert back(store, piece) is None


def test_a_template_of_another_piece_is_not_on_offer(
    maker: Browser, store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    answer = maker.post(f"/p/{piece.number}/pack", {**TYPED, "template_id": template_id(store, noise.piece)})
    assert answer.status_code == 422
    assert back(store, piece) is None


def test_of_two_templates_none_is_chosen_beforehand(maker: Browser, store: Store, piece: PieceNow) -> None:
    page = maker.get(f"/p/{piece.number}/pack").get_data(as_text=True)
    assert f'<option value="{template_id(store, piece)}" selected>' in page
    with store.write() as session:
        from siteapp.hanging.template import services as templates

        facts: Any = anchors.TEMPLATE | {"x_mm": 420.0, "level_line": None, "level_mm": None, "note": None}
        writer = factories.a_writer(session)
        templates.record(session, writer, piece=piece, facts=facts, revises=template_id(store, piece))
    page = maker.get(f"/p/{piece.number}/pack").get_data(as_text=True)
    select = page.partition('id="template_id"')[2].partition("</select>")[0]
    assert select.count("<option") == 3
    assert " selected" not in select


def test_who_was_slower_keeps_what_was_typed(maker: Browser, store: Store, piece: PieceNow) -> None:
    asked = template_id(store, piece)
    with store.write() as session:
        first = bring_back(session, piece, asked)
    with store.write() as session:
        bring_back(session, piece, asked, revises=first, note="faster")
    answer = maker.post(f"/p/{piece.number}/pack", {**TYPED, "template_id": asked, "revises": first})
    assert answer.status_code == 409
    assert "C sits 5 mm low" in answer.get_data(as_text=True)
    assert back(store, piece).said.note == "faster"


def test_a_fitter_reads_it_and_records_nothing(fitter: Browser, store: Store, piece: PieceNow) -> None:
    page = fitter.get(f"/p/{piece.number}/pack").get_data(as_text=True)
    assert 'name="filled_by"' not in page
    assert "A maker records the form when it is back." in page
    answer = fitter.post(f"/p/{piece.number}/pack", {**TYPED, "template_id": template_id(store, piece)})
    assert answer.status_code == 403
    assert back(store, piece) is None


def test_a_stranger_gets_no_pack(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/pack").status_code == 303
    assert stranger.get(f"/p/{piece.number}/fixing-pack.pdf").status_code == 303


def test_the_pack_comes_as_a_pdf_on_the_paper_asked_for(fitter: Browser, store: Store, piece: PieceNow) -> None:
    answer = fitter.get(f"/p/{piece.number}/fixing-pack.pdf")
    assert answer.mimetype == "application/pdf"
    assert reading.sizes_mm(answer.data) == {(210.0, 297.0)}
    said = reading.text(answer.data)
    for words in (
        template_id(store, piece)[:8],
        "lower left corner of the stair wall",
        "A 550 mm 1840 mm hole 12 mm",
        "Loads: not worked out.",
        "Nobody has said yet what the loads rest on.",
        "Asked for concrete",
        "the workshop, 00 0000 000",
    ):
        assert words in said
    letter = fitter.get(f"/p/{piece.number}/fixing-pack.pdf?page=Letter")
    assert reading.sizes_mm(letter.data) == {(215.9, 279.4)}
    assert fitter.get(f"/p/{piece.number}/fixing-pack.pdf?page=A3").status_code == 400


def test_loads_stand_in_the_pack_with_what_keeps_them_unsettled(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        piece = with_a_balance_point(session, piece)
        record_loads(session, piece)
        now = loads.loads_now(session, piece)
        pack = pack_of(session, piece)
    assert now is not None
    assert pack is not None
    assert pack.loads_why is None
    assert {point.label: (point.pull_n, point.shear_n) for point in pack.points} == {
        label: (one.pull_n, one.shear_n) for label, one in now.by_label.items()
    }
    # The whole weight, 31.4 kg of 9.80665 m/s² (CGPM 1901) by 1.35 (EN 1990, from memory), hangs on the four together.
    assert sum(point.shear_n or 0 for point in pack.points) >= 31.4 * 9.80665 * 1.35
    assert "Nobody said how hard somebody may lean: this is the weight alone." in (pack.loads_caution or "")


def test_loads_that_cannot_be_worked_out_say_why(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        record_loads(session, piece)
        pack = pack_of(session, piece)
    assert pack is not None
    assert pack.loads_why
    assert {point.pull_n for point in pack.points} == {None}


def with_a_balance_point(session: Session, piece: PieceNow) -> PieceNow:
    """The piece with a place for the weight of each line of its build-up."""
    before = facts_now(piece)
    told = {"mass_kg": 15.7, "made_as": "as weighed", "pieces": 1, "x_mm": 600.0, "y_mm": 420.0, "z_mm": 50.0}
    facts: Any = before | {"build_up": [row | told for row in before["build_up"]]}
    writer = factories.a_writer(session)
    revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
    return again(session, piece)


def record_loads(session: Session, piece: PieceNow) -> None:
    facts = SheetFacts(lean_n=None, lean_x_mm=None, lean_y_mm=None, lean_why=None, sudden=None, note=None)
    resistances = [
        ResistanceFacts(label=label, kind="concrete", pull_n=2000.0, shear_n=2000.0, document=None, covered=None)
        for label in POINTS
    ]
    corners = [(0.0, 0.0), (1200.0, 0.0), (0.0, 800.0), (1200.0, 800.0)]
    writer = factories.a_writer(session)
    loads.record(session, writer, piece=piece, facts=facts, pads=corners, resistances=resistances)
