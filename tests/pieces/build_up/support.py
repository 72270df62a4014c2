"""Lines of a build-up as the page sends them, and as the service takes them."""

from __future__ import annotations

from typing import Any

from siteapp.pieces.build_up.rows import BuildUpRow

FIELDS = tuple(BuildUpRow()._fields)
SHELL = {"material": "shell", "made_as": "laminate", "area_m2": 2.4, "glass_g_m2": 1350.0, "glass_fraction": 0.3}
PLATE = {"material": "plates", "made_as": "plate", "length_mm": 150.0, "width_mm": 80.0, "thickness_mm": 5.0}


def a_row(**given: Any) -> dict[str, Any]:
    """A row with every field, None where nothing is given."""
    return {**dict.fromkeys(FIELDS), **given}


def sent(*rows: dict[str, Any]) -> dict[str, str]:
    """Rows as a browser sends them."""
    return {f"build_up-{at}-{name}": f"{value}" for at, row in enumerate(rows) for name, value in row.items()}
