"""Lists for tests of answering by hand."""

from __future__ import annotations

import pytest

from tests.support import own_lists


@pytest.fixture
def by_hand(request: pytest.FixtureRequest) -> None:
    """Lists of the workshop's own in the place of those for points and rails, with every check answered by hand."""
    own_lists.by_hand(request.getfixturevalue("database" if "database" in request.fixturenames else "store"))
