"""Words for people, looked up in a catalogue; without one they stay as written, in English."""

from __future__ import annotations

import gettext as catalogues
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

if TYPE_CHECKING:
    from jinja2 import Environment

DOMAIN = "siteapp"
FOLDER = Path(__file__).resolve().parent.parent / "translations"
RIGHT_TO_LEFT = {"ar", "fa", "he", "ur"}


def language() -> str:
    """Tell the language to speak, a BCP 47 tag. The one place where a choice per request is to be made."""
    return "en"


def direction() -> str:
    """Tell which way the language runs: `ltr` or `rtl`."""
    return "rtl" if language().split("-")[0] in RIGHT_TO_LEFT else "ltr"


def _(message: str, **values: object) -> str:
    """Say `message` in the language of the moment, its `%(name)s` filled in."""
    return _filled(_catalogue(language()).gettext(message), values)


def ngettext(one: str, many: str, count: int, **values: object) -> str:
    """Choose the form of a message that fits `count`, which may be shown as `%(num)s`."""
    return _filled(_catalogue(language()).ngettext(one, many, count), {"num": count, **values})


class Lazy:
    """Words looked up each time they are shown, for labels that are made when a module is read."""

    __slots__ = ("message", "values")

    def __init__(self, message: str, values: dict[str, object]) -> None:
        """Keep the message and what goes into it."""
        self.message = message
        self.values = values

    def __str__(self) -> str:
        """Look the words up."""
        return _(self.message, **self.values)

    def __html__(self) -> str:
        """Look the words up and escape them."""
        return str(escape(str(self)))

    def __repr__(self) -> str:
        """Show the message as written."""
        return f"_l({self.message!r})"


def _l(message: str, **values: object) -> Lazy:
    """Mark a message like `_`, looked up when it is shown."""
    return Lazy(message, values)


def install(environment: Environment) -> None:
    """Give a template environment the words: `{{ _("…") }}`, `{{ ngettext(…) }}` and `{% trans %}`.

    In `_` a `%` stands for itself when no values are given. What it returns is escaped.
    """
    environment.add_extension("jinja2.ext.i18n")
    environment.install_gettext_callables(  # type: ignore[attr-defined]
        lambda message: _catalogue(language()).gettext(message),
        lambda one, many, count: _catalogue(language()).ngettext(one, many, count),
        newstyle=True,
    )
    environment.globals.update(_=_in_page, language=language, direction=direction)


def _in_page(message: str, **values: object) -> Markup:
    text = escape(_catalogue(language()).gettext(message))
    return text % values if values else text


def _filled(text: str, values: dict[str, object]) -> str:
    return text % values if values else text


@cache
def _catalogue(tag: str) -> catalogues.NullTranslations:
    return catalogues.translation(DOMAIN, FOLDER, [tag], fallback=True)
