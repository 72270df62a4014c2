"""Check lists of a workshop's own, in which what hangs on points or rails is answered by hand in every line."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.checks import shelf

if TYPE_CHECKING:
    from siteapp.store.db import Store

BY_HAND = Path(__file__).with_name("by_hand")


def by_hand(store: Store) -> None:
    """Put these lists into the store's data folder, in the place of those that come with the program."""
    folder = store.settings.data / shelf.OWN
    folder.mkdir(parents=True, exist_ok=True)
    for file in BY_HAND.glob("*.toml"):
        shutil.copy(file, folder)
