"""The column of the wait until the next coat: what was recorded before it came is untouched by its coming."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.finishing.models import Coat
from siteapp.keeping import check
from siteapp.store import migrate
from siteapp.store.models import Entry
from tests.finishing.test_services import Bench
from tests.support import databases as kinds
from tests.support import earlier

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

    from siteapp.store.db import Store
    from tests.support.databases import Databases


def test_a_coat_of_before_keeps_its_digest_and_its_triggers(
    database: Store, databases: Databases, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    kind = request.node.callspec.params["database"]
    settings = database.settings
    with database.write() as session:
        bench = Bench(session)
        bench.climate()
        coat_id = bench.coat()
        digest = session.get_one(Entry, coat_id).body_digest
    database.close()
    with databases.fresh(kind, tmp_path / "older", migrated=False) as older:
        earlier.take_back(settings, older, "0003")  # the table as 0002 made it, with a coat in it
    migrate.upgrade(settings)
    assert check.run(settings).findings == []  # digests worked out anew, triggers looked for
    with kinds.opened(settings) as store:
        with store.read() as session:
            assert session.get_one(Coat, coat_id).recoat_hours is None
            assert session.get_one(Entry, coat_id).body_digest == digest
        with store.write() as session:
            bench.on(session, "climate")
            later = bench.coat(number=2, recoat_hours=4.0)
            assert session.get_one(Entry, later).body_digest != digest
    assert check.run(settings).findings == []
