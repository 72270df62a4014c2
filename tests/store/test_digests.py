"""Digests are the same through every database, and stay so when the schema grows."""

from __future__ import annotations

import math
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta, timezone
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from sqlalchemy import Column, select, text
from sqlalchemy.exc import SQLAlchemyError

from siteapp.jobs.models import Job
from siteapp.keeping import check
from siteapp.pieces.models import BuildUpLine, Particulars
from siteapp.store import columns, digests, entries, migrate
from siteapp.store.errors import BadValue
from siteapp.store.models import Entry, EntryPhoto, Photo
from tests import factories
from tests.support import databases as kinds
from tests.support import earlier

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from siteapp.store.db import Store
    from tests.support.databases import Databases

EXAMPLES = 60

# Everything that can be typed or pasted: all planes, right-to-left marks, combining marks, line ends, quotes, the
# byte-order mark; but NUL and halves of pairs, which are refused (below).
WORDS = st.text(st.characters(blacklist_categories=["Cs"], blacklist_characters="\x00"), max_size=40) | st.sampled_from(
    [
        "",
        " ",
        "\r\n",
        "\ufeff",
        "\u202eright to left\u202c",
        "e\u0301 and \u00e9",
        "\U0001f9f7",
        "\uffff\U0010ffff",
        "'; DROP TABLE entry; --",
        "\\u0000 \\x00 \\",
        "%s %(a)s :name ? $1 {}",
        "\x7f\x80\x85\u2028\u2029",
        "x" * 10_000,
    ]
)
FIGURES = st.floats(allow_nan=False, allow_infinity=False) | st.sampled_from(
    [0.0, -0.0, 5e-324, 2.2250738585072014e-308, 1.7976931348623157e308, 1e21, 1e-7, 0.1, 1 / 3, 9007199254740993.0]
)
POSITIVE = FIGURES.map(abs).filter(lambda value: value > 0)
WHOLES = st.integers(1, 2**53 - 1)
NAIVE = {"min_value": datetime(1, 1, 2), "max_value": datetime(9999, 12, 30)}  # noqa: DTZ001 - the strategy adds a zone
INSTANTS = st.datetimes(**NAIVE, timezones=st.just(UTC)) | st.datetimes(
    **NAIVE, timezones=st.just(timezone(timedelta(hours=-9, minutes=-30)))
)


@pytest.fixture(scope="module")
def stores(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Store]]:
    """One store of each kind, side by side."""
    with ExitStack() as stack:
        folder = tmp_path_factory.mktemp("side-by-side")
        settings = [stack.enter_context(databases.fresh(kind, folder / kind)) for kind in kinds.KINDS]
        yield [stack.enter_context(kinds.opened(one)) for one in settings]
        for one in settings:
            assert [str(finding) for finding in check.run(one).findings] == []


def bodies(drawn: dict[str, Any]) -> list[Any]:
    # SQLAlchemy's objects belong to one session, so each store gets its own.
    layers = [
        BuildUpLine(position=number, material=words, thickness_mm=figure, mass_kg=None, note=words)
        for number, (words, figure) in enumerate(drawn["layers"])
    ]
    fields = Particulars(
        title=drawn["title"],
        object_type=drawn["object_type"],
        description=drawn["description"],
        heat_limit_c=drawn["heat_limit_c"],
        width_mm=drawn["width_mm"],
        lift_people=drawn["lift_people"],
    )
    return [fields, *layers]


@given(
    st.fixed_dictionaries(
        {
            "title": WORDS,
            "object_type": WORDS,
            "description": st.none() | WORDS,
            "heat_limit_c": st.none() | FIGURES,
            "width_mm": st.none() | POSITIVE,
            "lift_people": st.none() | WHOLES,
            "layers": st.lists(st.tuples(WORDS, st.none() | POSITIVE), max_size=3),
            "at": st.none() | INSTANTS,
            "device": st.none() | WORDS,
            "caption": st.none() | WORDS,
        }
    )
)
@hypothesis_settings(
    max_examples=EXAMPLES, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
def test_a_digest_is_the_same_written_read_and_through_every_database(
    stores: list[Store], drawn: dict[str, Any]
) -> None:
    seen: list[tuple[str, str]] = []
    for store in stores:
        with store.write() as session:
            writer = factories.a_writer(session, at=drawn["at"], device=drawn["device"])
            sha = factories.a_photo(session, store, b"always the same")
            use = entries.PhotoUse(sha, caption=drawn["caption"])
            entry = entries.append(session, writer, kind="particulars", bodies=bodies(drawn), photos=[use])
            written, entry_id = (entry.body_digest, entry.digest), entry.id
        with store.read() as session:
            read = session.get_one(Entry, entry_id)
            assert (read.body_digest, read.digest) == written
            assert digests.entry_digest(read, []) == read.digest
            rows = [
                digests.model_row(row)
                for model in (Particulars, BuildUpLine, EntryPhoto)
                for row in session.scalars(select(model).where(model.entry_id == entry_id))
            ]
        # The salt differs from one writing to the next, so what is compared is what it is put before.
        seen.append((digests.body_digest(1, "same salt", rows), str(sorted(rows, key=str))))
    assert seen[0] == seen[1] == seen[2]


REFUSED: dict[str, Any] = {
    "NUL": {"title": "a\x00b"},
    "half a pair": {"title": "a\ud800b"},
    "not a number": {"heat_limit_c": math.nan},
    "infinity": {"heat_limit_c": math.inf},
    "minus infinity": {"heat_limit_c": -math.inf},
    "2^53": {"lift_people": 2**53},
    "2^53 + 1": {"lift_people": 2**53 + 1},
    "words for a figure": {"width_mm": "heavy"},
    "yes for a figure": {"width_mm": True},
    "a figure for a whole number": {"lift_people": 2.0},
    "a number for words": {"title": 7},
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_no_database_gives_back_the_same_is_refused_before_anything_is_written(database: Store, what: str) -> None:
    drawn = {"title": "t", "object_type": "o", "description": None, "heat_limit_c": None, "width_mm": None}
    drawn |= {"lift_people": None, "layers": []} | REFUSED[what]
    with pytest.raises(BadValue), database.write() as session:
        entries.append(session, factories.a_writer(session), kind="particulars", bodies=bodies(drawn))
    with database.read() as session:
        assert session.scalars(select(Entry.kind)).all() == ["laptop_start"]
    assert check.run(database.settings).findings == []


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("device", "a\x00b"),
        ("device", "\udfff"),
        ("at", datetime(2026, 1, 1)),  # noqa: DTZ001
        ("by_id", "nobody"),
        ("by_id", "AB" * 16),
    ],
)
def test_what_cannot_stand_in_a_header_is_refused(database: Store, field: str, value: Any) -> None:
    with pytest.raises((BadValue, SQLAlchemyError, ValueError)), database.write() as session:
        entries.append(session, factories.a_writer(session, **{field: value}), kind="note")
    with database.read() as session:
        assert session.scalars(select(Entry.kind)).all() == ["laptop_start"]


def test_the_largest_whole_number_is_the_largest_that_json_carries() -> None:
    # RFC 7493 (I-JSON), section 2.2: integers of [-(2**53)+1, (2**53)-1]; from memory.
    assert columns.LARGEST_WHOLE == 2**53 - 1
    assert digests.sha256_of(columns.LARGEST_WHOLE)
    with pytest.raises(ValueError, match="exceeds"):
        digests.sha256_of(columns.LARGEST_WHOLE + 1)


@pytest.mark.parametrize("kind", kinds.KINDS)
def test_an_upgrade_leaves_every_digest_as_it_was(databases: Databases, tmp_path: Path, kind: str) -> None:
    """Real rows at the oldest schema, carried through every migration there is."""
    with (
        databases.fresh(kind, tmp_path / "data") as settings,
        databases.fresh(kind, tmp_path / "older", migrated=False) as older,
    ):
        with kinds.opened(settings) as store:
            with store.write() as session:
                piece = factories.a_piece(session)
                sha = factories.a_photo(session, store)
                factories.a_person(session)
                use = entries.PhotoUse(sha, caption="\u202efront")
                writer = factories.a_writer(session)
                first = entries.append(session, writer, kind="note", piece_id=piece.piece_id, photos=[use])
                entries.append(session, writer, kind="note", bodies=[], corrects=[first.id])
            with store.read() as session:
                before = {entry.id: (entry.body_digest, entry.digest) for entry in session.scalars(select(Entry))}
        earlier.take_back(settings, older, "0001")
        migrate.upgrade(settings)
        report = check.run(settings)
        assert [str(one) for one in report.findings] == []
        assert report.counts["entries"] == len(before) == 7
        with kinds.opened(settings) as store, store.read() as session:
            after = {entry.id: (entry.body_digest, entry.digest) for entry in session.scalars(select(Entry))}
            assert after == before
            assert session.scalars(select(Photo.sha256)).all() == [sha]


def test_a_column_added_later_leaves_every_digest_as_it_was(database: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    with database.write() as session:
        factories.a_job(session)
    assert check.run(database.settings).findings == []
    with database.engine.begin() as connection:
        connection.execute(text("ALTER TABLE job ADD COLUMN added_later TEXT"))
    table = Job.__table__
    column = Column("added_later", columns.WordsType(), nullable=True)
    table.append_column(column)  # type: ignore[attr-defined]
    try:
        assert check.run(database.settings).findings == []
        with database.engine.begin() as connection:
            # A row that does say something there is covered by its digest like any other.
            row = {"entry_id": None, "title": "t", "added_later": "new"}
            assert digests.row_values(table, row) == {"title": "t", "added_later": "new"}  # type: ignore[arg-type]
            assert connection.execute(text("SELECT added_later FROM job")).scalars().all() == [None]
    finally:
        table._columns.remove(column)  # type: ignore[attr-defined]
