"""Lists for tests of answering by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.support import own_list

BY_HAND = Path(__file__).parent.with_name("support") / "by_hand"


@pytest.fixture
def by_hand(request: pytest.FixtureRequest) -> None:
    """Lists of the workshop's own in the place of those for points and rails, with every check answered by hand."""
    store = request.getfixturevalue("database" if "database" in request.fixturenames else "store")
    for file in BY_HAND.glob("*.toml"):
        own_list(store, file.stem, file.read_text(encoding="utf-8"))
