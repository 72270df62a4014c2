"""The Chromium of this machine, started in one way for every test that looks at pages."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import Error, sync_playwright

from siteapp.native import chromium_path

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, BrowserContext

# Nothing of its own goes out: the tests' machine has no internet, and a page of ours asks for none.
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
needed = pytest.mark.skipif(chromium_path() is None, reason="no Chromium on this machine")


@contextmanager
def chromium() -> Iterator[Browser]:
    """A browser without a window, ended at the end."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(FLAGS))
        yield browser
        browser.close()


def end(context: BrowserContext) -> None:
    """Close a context once its pages are at rest.

    Chromium forgets a wish to close that comes while a page makes way for the next, and closing would wait for ever.
    """
    for page in context.pages:
        with suppress(Error):
            page.goto("about:blank")
    context.close()
