"""Points that are alike stand together in one line of a form: what such a line names, and how lines are made again."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

BETWEEN = re.compile(r"[,;\n]")


def labels_of(typed: str, known: Sequence[str]) -> list[str]:
    """The labels that a line names, as the piece has them where they differ in case only; `all` is every one."""
    whole = {label.casefold(): label for label in known}
    if typed.strip().casefold() in whole:
        return [whole[typed.strip().casefold()]]
    if typed.strip().casefold() in {"all", str(_("all")).casefold()}:
        return list(known)
    found = [part.strip() for part in BETWEEN.split(typed)]
    return [part if part in known else whole.get(part.casefold(), part) for part in found if part]


def alike(told: Mapping[str, Mapping[str, Any]], known: Sequence[str]) -> list[tuple[Mapping[str, Any], list[str]]]:
    """What is told of points by label, each time with the labels of which the same is told, in the piece's order.

    `known` are the piece's labels; others are left out. Those of which nothing is told come last, together.
    """
    lines: list[tuple[Mapping[str, Any], list[str]]] = []
    for label in known:
        said = told.get(label, {})
        same = next((labels for other, labels in lines if other == said), None)
        if same is None:
            lines.append((said, [label]))
        else:
            same.append(label)
    return sorted(lines, key=lambda line: not line[0])
