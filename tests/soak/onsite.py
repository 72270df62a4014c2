"""A laptop that serves a workshop with pieces on site, and phones in fitters' hands, each in its own network."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from playwright.sync_api import sync_playwright

from siteapp.config import Settings
from siteapp.store import migrate
from siteapp.store.db import Store
from tests.soak.hands import Hands
from tests.soak.ledger import Ledger
from tests.soak.workshop import Workshop, fill
from tests.support.lan import PHONES, Lan, Laptop, network
from tests.support.phone import Phone

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

# A phone whose clock is wrong; its pages see no other.
WRONG_CLOCK = """(() => {
  const Real = Date;
  window.Date = class Date extends Real {
    constructor(...given) { if (given.length) super(...given); else super(Real.now() + %d); }
    static now() { return Real.now() + %d; }
  };
})();"""


@dataclass(frozen=True)
class OnSite:
    """Everything that is there; `hands` are the phones in the hands of one fitter each."""

    folder: Path
    lan: Lan
    laptop: Laptop
    workshop: Workshop
    ledger: Ledger
    hands: tuple[Hands, ...]


@contextmanager
def served(folder: Path, phones: int) -> Iterator[tuple[Lan, Laptop, Workshop]]:
    """The networks, and the laptop that serves; no phone is switched on. Raises NoNetwork where the machine refuses."""
    settings = Settings(data=folder / "data")
    with network(phones) as lan:
        settings.data.mkdir(parents=True)
        migrate.upgrade(settings)
        store = Store(settings)
        store.begin_laptop()
        workshop = fill(store, phones)
        store.close()
        laptop = Laptop(lan, settings)
        try:
            laptop.start()
            yield lan, laptop, workshop
        finally:
            laptop.stop()


@contextmanager
def on_site(
    folder: Path, phones: int = len(PHONES), wrong_clocks_ms: Mapping[int, int] | None = None
) -> Iterator[OnSite]:
    """A laptop that serves and phones with an empty tab, all gone afterwards; the data stay in the folder.

    `wrong_clocks_ms` says by how much the clocks of some phones are ahead. Raises NoNetwork where the machine refuses.
    """
    with served(folder, phones) as (lan, laptop, workshop), sync_playwright() as playwright:
        ledger = Ledger()
        hands = []
        for number in range(phones):
            phone = Phone(lan, number, playwright, folder / f"phone-{number}")
            hands.append(Hands(phone, workshop.fitters[number], ledger))
            if wrong_clocks_ms and number in wrong_clocks_ms:
                phone.scripts.append(WRONG_CLOCK % (wrong_clocks_ms[number], wrong_clocks_ms[number]))
        try:
            for one in hands:
                one.start()
            yield OnSite(folder, lan, laptop, workshop, ledger, tuple(hands))
        finally:
            for one in hands:
                one.phone.stop()
