"""Who may open a page. Every view says it; the app does not start with one that does not."""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

    from flask import Flask

View = TypeVar("View", bound="Callable[..., Any]")


class Access(IntEnum):
    """Levels of access; each includes the ones below it."""

    PUBLIC = 0
    FITTER = 1
    MAKER = 2


PUBLIC, FITTER, MAKER = Access.PUBLIC, Access.FITTER, Access.MAKER


def access(level: Access) -> Callable[[View], View]:
    """Mark a view with the access it needs."""

    def mark(view: View) -> View:
        view.access = level  # type: ignore[attr-defined]
        return view

    return mark


def level_of(app: Flask, endpoint: str) -> Access:
    """The access that an endpoint's view names."""
    if endpoint == "static":
        return PUBLIC
    level = getattr(app.view_functions[endpoint], "access", None)
    if not isinstance(level, Access):
        message = f"the view {endpoint} does not say who may open it"
        raise TypeError(message)
    return level


def check_every_view(app: Flask) -> None:
    """Raise TypeError when a view does not say who may open it."""
    for rule in app.url_map.iter_rules():
        level_of(app, rule.endpoint)
