"""`check` finds nothing where nothing is wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.keeping import check
from siteapp.store import entries
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store


def test_nothing_is_found_where_nothing_is_wrong(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        sha = factories.a_photo(session, database)
        first = entries.append(
            session,
            factories.a_writer(session),
            kind="note",
            job_id=piece.job_id,
            piece_id=piece.piece_id,
            photos=[entries.PhotoUse(sha)],
        )
        entries.append(session, factories.a_writer(session), kind="note", corrects=[first.id])
    for full in (True, False):
        report = check.run(database.settings, full=full)
        assert [str(one) for one in report.findings] == []
        assert report.counts["entries"] == 6
        assert report.counts["photos"] == 1
        assert report.counts["chains"] == 2
