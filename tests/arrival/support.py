"""An arrival sent as a browser sends it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from tests.web_support import Browser


def send(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    """Send the form of the arrival: something was found, but for `fields`."""
    return browser.post(f"/p/{piece.number}/arrival", {"found": "something found", **fields})
