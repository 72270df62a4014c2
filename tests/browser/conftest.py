"""The network with its laptop and phones, one for each file of cases that asks for it."""

from __future__ import annotations

import pytest
from playwright.sync_api import sync_playwright

from tests.browser.scene import alone
from tests.soak import workshop
from tests.support import databases as kinds
from tests.support.lan import Laptop, NoNetwork, network

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
