"""Where the piece goes: set, read by others, refused, printed."""

from __future__ import annotations

import html
import io
from typing import TYPE_CHECKING, Any

import pytest
from ezdxf import recover

from siteapp.hanging.template import services
from siteapp.pieces import services as pieces
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.documents import reading, reading_paths

if TYPE_CHECKING:
    from siteapp.hanging.template.services import TemplateFacts, TemplateNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {
    "datum": "nail in the joint (invented)",
    "x_mm": "-120,5",
    "y_mm": "900",
    "level_line": "pencil line, by laser",
    "level_mm": "1640",
    "wall_asked": "solid masonry",
    "anchor": "M12 × 110 (invented)",
    "anchor_document": "XX-00/0000 (invented)",
    "drill_mm": "14",
    "embedment_mm": "80",
    "torque_nm": "20",
    "proof_kn": "1.5",
    "designed_by": "A. Engineer (invented)",
    "note": "Mind the bell wire.",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, title="Heron (invented)")


def facts(**more: Any) -> TemplateFacts:
    blank: Any = dict.fromkeys(TYPED)
    return blank | {"datum": "a nail", "x_mm": 100.0, "y_mm": 900.0} | more


def now(store: Store, piece: PieceNow) -> TemplateNow | None:
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        return services.template_now(session, found)


def text(answer: Any) -> str:
    return html.unescape(answer.get_data(as_text=True)).replace("\u202f", " ")


def test_a_template_is_recorded_and_gives_every_points_place_on_the_wall(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        services.record(session, factories.a_writer(session), piece=piece, facts=facts())
    found = now(database, piece)
    assert found is not None
    assert not found.stale
    # By hand from the factory's points (150, 740) and (1050, 740).
    assert found.on_wall == {"A": (250, 1640), "B": (1150, 1640)}
    assert found.version.said.particulars_id == piece.revision.id


def test_it_is_stale_once_a_hole_moves_and_not_when_the_care_is_written_anew(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        services.record(session, factories.a_writer(session), piece=piece, facts=facts())

    def revise(change: Any) -> None:
        with store.write() as session:
            there = pieces.find(session, piece.number)
            assert there is not None
            said = pieces.facts_now(there)
            change(said)
            writer = factories.a_writer(session)
            pieces.revise_particulars(session, writer, piece=there, revises=there.revision.id, facts=said)

    revise(lambda said: said["fields"].update(care="Dust with a soft brush."))
    found = now(store, piece)
    assert found is not None
    assert not found.stale
    revise(lambda said: said["hanging_points"][0].update(x_mm=151.0))
    found = now(store, piece)
    assert found is not None
    assert found.stale
    assert found.on_wall["A"] == (251, 1640)
    revise(lambda said: said["hanging_points"][0].update(x_mm=150.0))
    revise(lambda said: said["fields"].update(width_mm=1300.0))
    found = now(store, piece)
    assert found is not None
    assert found.stale


def test_another_takes_its_place_only_when_it_says_so(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    with store.write() as session:
        first = services.record(session, factories.a_writer(session), piece=piece, facts=facts())
    with store.write() as session, pytest.raises(Superseded):
        services.record(session, factories.a_writer(session), piece=piece, facts=facts())
    with store.write() as session:
        services.record(session, factories.a_writer(session), piece=piece, facts=facts(x_mm=120.0), revises=first)
        assert [one.said.x_mm for one in services.templates(session, piece)] == [120]
    with store.write() as session:
        other = factories.a_piece(session)
        theirs = services.record(session, factories.a_writer(session), piece=other, facts=facts())
    with store.write() as session, pytest.raises(StoreError, match="no template of this piece"):
        services.record(session, factories.a_writer(session), piece=piece, facts=facts(), revises=theirs)
    with store.write() as session, pytest.raises(FieldProblem):
        services.record(session, factories.a_writer(session), piece=other, facts=facts(wall_asked="cheese"))


def test_the_page_sets_it_shows_it_and_reads_it_to_the_crew(maker: Browser, fitter: Browser, piece: PieceNow) -> None:
    address = f"/p/{piece.number}/template"
    assert "Nobody has said yet where on the wall the piece goes." in text(fitter.get(address))
    assert maker.post(address, TYPED).status_code == 303
    page = text(fitter.get(address))
    for words in (
        "nail in the joint (invented)",
        "−120.5 mm to the right of it, 900 mm above it, as seen from the front",
        "1640 mm above the datum",
        "solid masonry",
        "14 mm",
        "20 N·m",
        "1.5 kN",
        "A. Engineer (invented)",
        "Find cables and pipes first",
    ):
        assert words.lower() in page.lower()
    assert fitter.post(address, TYPED).status_code == 403
    again = text(maker.get(address))
    assert 'value="−120.5"' in again or 'value="-120.5"' in again


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"datum": " "}, "Datum: this is needed."),
        ({"x_mm": ""}, "From the datum to the right: this is needed."),
        ({"x_mm": "51 m"}, "Give a number from −50 000 to 50 000 mm."),
        ({"y_mm": "high"}, "From the datum upwards: “high” is not taken."),
        ({"drill_mm": "0"}, "Hole in the wall: “0” is not taken. Give a number from 3 to 80 mm."),
        ({"proof_kn": "1500"}, "Proof load: “1500” is not taken."),
        ({"wall_asked": "cheese"}, "The wall must be: “cheese” is not taken."),
        ({"torque_nm": "1e400"}, "Torque: “1e400” is not taken."),
    ],
)
def test_what_cannot_be_is_refused_and_stays_as_typed(
    maker: Browser, store: Store, piece: PieceNow, changed: dict[str, str], said: str
) -> None:
    answer = maker.post(f"/p/{piece.number}/template", TYPED | changed)
    page = text(answer)
    assert answer.status_code == 422
    assert said in page
    assert 'value="M12 × 110 (invented)"' in page
    assert now(store, piece) is None


def test_who_comes_second_is_told(maker: Browser, store: Store, piece: PieceNow) -> None:
    address = f"/p/{piece.number}/template"
    assert maker.post(address, TYPED).status_code == 303
    assert maker.post(address, TYPED | {"x_mm": "77"}).status_code == 409
    found = now(store, piece)
    assert found is not None
    assert found.version.said.x_mm == -120.5


def test_the_pdf_and_the_dxf_hold_every_point_at_its_place(maker: Browser, fitter: Browser, piece: PieceNow) -> None:
    assert maker.post(f"/p/{piece.number}/template", TYPED).status_code == 303
    answer = fitter.get(f"/p/{piece.number}/template.pdf?page=A3")
    assert answer.status_code == 200
    assert answer.mimetype == "application/pdf"
    pdf = answer.get_data()
    words = reading.text(pdf)
    assert "the piece's lower left corner lies −120.5 mm to the right and 900 mm up" in words
    assert "M12 × 110 (invented)" in words
    drawn = [
        one
        for page in range(reading_paths.pages(pdf))
        for one in reading_paths.circles(reading_paths.paths(pdf, page), 6.5)
    ]
    assert len(drawn) >= 2
    answer = fitter.get(f"/p/{piece.number}/template.dxf")
    assert answer.mimetype == "image/vnd.dxf"
    document, auditor = recover.read(io.BytesIO(answer.get_data()))
    assert not auditor.errors
    holes = sorted(one.dxf.center.xyz[:2] for one in document.modelspace().query('CIRCLE[layer=="hanging points"]'))
    assert holes == [(150, 740), (1050, 740)]
    (level,) = document.modelspace().query('LINE[layer=="level line"]')
    assert level.dxf.start.y == 740  # 1640 above a datum that lies 900 below the corner


def test_a_paper_that_is_not_there_and_a_piece_with_nothing_to_draw_are_said_in_words(
    fitter: Browser, maker: Browser, store: Store, piece: PieceNow
) -> None:
    answer = fitter.get(f"/p/{piece.number}/template.pdf?page=A9")
    assert answer.status_code == 400
    assert "Choose A4, Letter or A3." in text(answer)
    with store.write() as session:
        there = pieces.find(session, piece.number)
        assert there is not None
        said = pieces.facts_now(there)
        said["fields"].update(width_mm=None, height_mm=None)
        said["hanging_points"] = []
        writer = factories.a_writer(session)
        pieces.revise_particulars(session, writer, piece=there, revises=there.revision.id, facts=said)
    for name in ("template.pdf", "template.dxf"):
        answer = fitter.get(f"/p/{piece.number}/{name}")
        assert answer.status_code == 404
        assert "There is nothing to draw yet" in text(answer)
    assert fitter.get(f"/p/{piece.number}/template").status_code == 200
    # Where it goes may be set before anybody knows where its points are.
    assert maker.post(f"/p/{piece.number}/template", TYPED).status_code == 303
    assert "There is nothing to draw yet" in text(maker.get(f"/p/{piece.number}/template"))


def test_a_level_line_beyond_the_sheets_goes_through_the_highest_point_on_them(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    assert maker.post(f"/p/{piece.number}/template", TYPED | {"level_mm": "1000"}).status_code == 303
    # The sheets begin 10 mm below the corner, at 890 mm above the datum, and end at 1710.
    assert "The level line is 1000 mm above the datum." in text(fitter.get(f"/p/{piece.number}/template"))
    found = now(store, piece)
    assert found is not None
    typed = TYPED | {"level_mm": "300", "revises": found.version.entry.id}
    assert maker.post(f"/p/{piece.number}/template", typed).status_code == 303
    assert "The level line is 1640 mm above the datum." in text(fitter.get(f"/p/{piece.number}/template"))
    words = reading.text(fitter.get(f"/p/{piece.number}/template.pdf?page=A3").get_data())
    assert "On the wall it is drawn 300 mm above the datum, beyond the sheets: pencil line, by laser." in words


def test_a_piece_too_large_for_a_paper_says_so_on_the_page(
    fitter: Browser, store: Store, noise: factories.Noise
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, width_mm=5000.0, height_mm=3500.0)
    page = text(fitter.get(f"/p/{piece.number}/template"))
    assert "On A4 it takes" in page
    assert "Take larger paper, or the DXF to a plotter." in page
    answer = fitter.get(f"/p/{piece.number}/template.pdf?page=A4")
    assert answer.status_code == 400
    assert "sheets, more than the 150" in text(answer)
