"""One engine for all tests of documents: starting a worker takes a second."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.documents.engine import Engine

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture(scope="session")
def engine() -> Iterator[Engine]:
    """An engine with one worker."""
    made = Engine(workers=1)
    yield made
    made.close()
