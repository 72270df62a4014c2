"""A laptop served to a real browser, with a new piece for each test."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.app import create_app
from siteapp.people.services import add_person
from tests import factories
from tests.snags.hands import Site
from tests.support import chromium as real
from tests.support import databases as kinds
from tests.support.served import served as loopback
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.support.databases import Databases


@pytest.fixture(scope="module")
def served(databases: Databases, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    folder = tmp_path_factory.mktemp("snags") / "data"
    with databases.fresh(kinds.PACKAGED, folder) as settings, kinds.opened(settings) as store:
        with store.write() as session:
            add_person(session, factories.a_writer(session), name="Maker", role="maker", passphrase=PASSPHRASE)
        with loopback(create_app(settings, testing=True)) as address, real.chromium() as chromium:
            yield Site(store, address, chromium)


@pytest.fixture
def site(served: Site) -> Iterator[Site]:
    served.new_piece()
    yield served
    for context in served.chromium.contexts:
        real.end(context)
