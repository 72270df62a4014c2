"""Tables for a spreadsheet: read back by another reader, and nothing in them that a spreadsheet would run.

RFC 4180 for the form. What a spreadsheet takes for a formula: OWASP's page on CSV injection, from memory.
"""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.aftercare.services import set_care_date
from siteapp.keeping.sheets import cell, csv_file, sheets
from siteapp.snags.services import raise_snag
from tests import factories
from tests.handover.support import hand_over, issued, ready

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

BEGINNINGS = [
    "=1+1",
    "+44 1632 960 143",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1",
    "\uff1d1+1",
    "=cmd|' /C calc'!A0",
]


@pytest.mark.parametrize("words", BEGINNINGS)
def test_what_a_spreadsheet_would_run_is_words(words: str) -> None:
    assert cell(words) == f"'{words}"


@given(st.text(max_size=30))
def test_words_are_never_the_beginning_of_a_formula(words: str) -> None:
    written = cell(words)
    assert written.removeprefix("'") == words or written == words
    assert not written.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**53), 2**53))
def test_a_number_stays_a_number(number: float) -> None:
    assert float(cell(number)) == number


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        job_id = factories.a_job(session, client="Z. Quillfeather", address="77 Nowhere Row")
        made = ready(session, job_id=job_id)
        raise_snag(session, factories.a_writer(session), piece=made, words='=HYPERLINK("x"), "quoted"\nand more')
        hand_over(session, made)
        set_care_date(
            session, factories.a_writer(session), piece=made, what="Nuts", due_on="2027-03-04", every_months=24
        )
        factories.a_piece(session)  # of another job
    issued(store, made)
    return made


def read(data: bytes) -> list[dict[str, str]]:
    assert data.startswith(b"\xef\xbb\xbf")
    text = data.decode("utf-8-sig")
    assert "\r\n" in text
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_table_is_read_back_with_its_rows(store: Store, piece: PieceNow) -> None:
    told = {}
    with store.read() as session:
        for sheet in sheets():
            told[sheet.key] = read(csv_file(session, sheet, piece.job_id))
    (one,) = told["pieces"]
    assert one["Piece number"] == piece.number
    assert float(one["Weight (kg)"]) == piece.particulars.mass_kg
    assert one["It"] == "stands"
    assert one["Snags open"] == "1"
    (snag,) = told["snags"]
    assert snag["What"] == '\'=HYPERLINK("x"), "quoted"\nand more'
    (coat,) = told["coats"]
    assert coat["Zone"] == "left wing"
    (care,) = told["care"]
    assert (care["Next on"], care["Every months"]) == ("2027-03-04", "24")
    assert len(told["checks"]) > 10
    assert {row["Answer"] for row in told["checks"]} == {"met"}


def test_all_pieces_or_those_of_one_job(store: Store, piece: PieceNow) -> None:
    (pieces,) = [sheet for sheet in sheets() if sheet.key == "pieces"]
    with store.read() as session:
        assert len(read(csv_file(session, pieces))) == 2
        assert len(read(csv_file(session, pieces, piece.job_id))) == 1


def test_no_client_and_no_address_stands_in_any(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        for sheet in sheets():
            said = csv_file(session, sheet).decode("utf-8-sig")
            assert "Quillfeather" not in said
            assert "Nowhere" not in said
