"""What every test may ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING

import hypothesis
import pytest

import siteapp.keeping.tables  # noqa: F401 - models register their tables when imported
from siteapp.app import build_app, open_data
from siteapp.config import Settings
from tests import factories
from tests.support import chromium as real
from tests.support import databases as kinds
from tests.support.loopback import Guard
from tests.support.served import served
from tests.web_support import PASSPHRASE, Browser

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from flask import Flask
    from playwright.sync_api import Browser as PlaywrightBrowser

    from siteapp.store.db import Store
    from tests.support.databases import Databases

GUARD = Guard()
# Speed is measured by benchmarks: a busy machine fails no test.
hypothesis.settings.register_profile("house", deadline=None)
hypothesis.settings.load_profile("house")


@pytest.fixture(autouse=True)
def loopback_only() -> Iterator[None]:
    """Fail the test when this process tries to reach beyond loopback, whether or not anybody noticed."""
    GUARD.tried.clear()
    GUARD.watching = True
    yield
    GUARD.watching = False
    assert not GUARD.tried, f"reached beyond loopback: {GUARD.tried}"


@pytest.fixture(scope="session")
def databases(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Databases]:
    """Fresh databases of every kind (one PostgreSQL server a test process)."""
    handed = kinds.Databases(tmp_path_factory.mktemp("templates"))
    yield handed
    handed.stop()


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings with a data folder of the test's own; nothing is in it yet."""
    return Settings(data=tmp_path / "data")


@pytest.fixture(params=kinds.KINDS)
def database(request: pytest.FixtureRequest, databases: Databases, tmp_path: Path) -> Iterator[Store]:
    """The store on each kind of database in turn, migrated, with its laptop begun."""
    with databases.fresh(request.param, tmp_path / "data") as settings, kinds.opened(settings) as store:
        yield store


@pytest.fixture
def store(databases: Databases, tmp_path: Path) -> Iterator[Store]:
    """The store on the usual database (packaged SQLite), migrated, with its laptop begun and nothing else in it."""
    with databases.fresh(kinds.PACKAGED, tmp_path / "data") as settings, kinds.opened(settings) as opened:
        yield opened


@pytest.fixture
def noise(store: Store) -> factories.Noise:
    """Unrelated rows beside the test's own, so that a query without its condition fails."""
    return factories.noise(store)


@pytest.fixture(scope="session")
def built() -> Flask:
    """The application on no data: its addresses and templates are compiled once a test process."""
    return build_app(testing=True)


@pytest.fixture
def app(built: Flask, store: Store) -> Iterator[Flask]:
    """The application on a migrated, empty database with a maker and a fitter, as one process would run it."""
    open_data(built, store.settings)
    with store.write() as session:
        for name, role in (("Maker", "maker"), ("Fitter", "fitter")):
            factories.a_person_who_signs_in(session, name=name, role=role, passphrase=PASSPHRASE)
    program = built.extensions["siteapp"]
    yield built
    program.store.close()


@pytest.fixture
def stranger(app: Flask) -> Browser:
    """A device on which nobody is signed in."""
    return Browser(app)


@pytest.fixture
def maker(app: Flask) -> Browser:
    """A maker's device."""
    return Browser(app).sign_in("Maker")


@pytest.fixture
def fitter(app: Flask) -> Browser:
    """A fitter's device."""
    return Browser(app).sign_in("Fitter")


@pytest.fixture
def address(app: Flask) -> Iterator[str]:
    """Where the application is served to a real browser."""
    with served(app) as at:
        yield at


@pytest.fixture(scope="module")
def chromium() -> Iterator[PlaywrightBrowser]:
    """A real browser, one for each file of tests that asks for it."""
    with real.chromium() as browser:
        yield browser
