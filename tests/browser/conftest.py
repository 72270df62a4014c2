"""The network with its laptop and phones, the served demo, a browser: one of each for each file that asks for it."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import sync_playwright
from sqlalchemy import select

from seed_demo import build
from seed_demo.drawing import light
from seed_demo.pieces import PIECES
from siteapp.app import create_app
from siteapp.pieces.models import Particulars, Piece
from siteapp.store.models import Entry
from tests.browser.scene import alone
from tests.soak import workshop
from tests.support import databases as kinds
from tests.support.lan import Laptop, NoNetwork, network
from tests.support.served import served

if TYPE_CHECKING:
    from siteapp.store.db import Store

CASES = 12  # with two pieces each, and some that they share


@pytest.fixture(scope="module")
def whole(databases, tmp_path_factory):
    """The network with its laptop serving and one phone, for all cases; each case has pieces and people of its own."""
    folder = tmp_path_factory.mktemp("outcomes")
    try:
        with (
            databases.fresh(kinds.PACKAGED, folder / "data") as settings,
            kinds.opened(settings) as store,
            network(1) as lan,
            sync_playwright() as playwright,
        ):
            laptop = Laptop(lan, settings)
            laptop.start()
            filled = workshop.fill(store, CASES)
            # Phones of this workshop share some pieces; no two cases do.
            pieces = iter({piece.number: piece for of_phone in filled.pieces for piece in of_phone}.values())
            yield lan, laptop, store, playwright, folder, filled, pieces
            laptop.stop()
    except NoNetwork as why:
        pytest.skip(f"no network of our own here: {why}")


@pytest.fixture
def scene(whole, request):
    with alone(whole, request.node.name) as made:
        yield made


@dataclass(frozen=True)
class Demo:
    """The demo as it is served: its address, its store, the numbers of its pieces by key."""

    address: str
    store: Store
    numbers: dict[str, str]


@pytest.fixture(scope="session")
def filled(databases, tmp_path_factory):
    """The data folder of a demo with small photos, filled once a process; to be copied, not to be written."""
    with databases.fresh(kinds.PACKAGED, tmp_path_factory.mktemp("filled") / "data") as settings:
        with kinds.opened(settings) as store:
            build.build(store, settings, lambda _done, _total, _what: None, photo_size=light.SIZE)
        yield settings


@pytest.fixture(scope="module")
def demo(filled, tmp_path_factory):
    """A demo of one file's own, served on loopback as `serve --lan` does."""
    settings = filled.with_(data=tmp_path_factory.mktemp("demo") / "data", lan=True, host="0.0.0.0")
    shutil.copytree(filled.data, settings.data)
    with kinds.opened(settings) as store:
        with store.read() as session:
            titled = select(Particulars.title, Piece.number).join(Entry, Entry.id == Particulars.entry_id)
            numbers = dict(session.execute(titled.join(Piece, Piece.piece_id == Entry.piece_id)).all())
        keys = {key: numbers[facts["fields"]["title"]] for key, facts in PIECES.items()}
        with served(create_app(settings, testing=True)) as address:
            yield Demo(address, store, keys)
