"""Pieces written out as TOML and as CSV, as they are read here, and an example of each to begin from."""

from __future__ import annotations

import csv
import io
import json
from typing import TYPE_CHECKING, Any

from siteapp.pieces.bringing.told import NUMBER, PIECE_FIELDS, ROW_FIELDS
from siteapp.pieces.bringing.words import ROW, ROW_WORDS
from siteapp.web.figures import GROUP, typed_again

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    Piece = Mapping[str, Any]

ROW_COLUMNS = tuple(dict.fromkeys(name for names in ROW_FIELDS.values() for name in names))
COLUMNS = (NUMBER, ROW, *PIECE_FIELDS[1:], *(name for name in ROW_COLUMNS if name not in PIECE_FIELDS))

EXAMPLE: tuple[dict[str, Any], ...] = (
    {
        "title": "Example heron (invented)",
        "object_type": "wall relief",
        "materials": "glass-reinforced gypsum on a steel frame",
        "made_on": "2031",
        "width_mm": 1200.0,
        "height_mm": 800.0,
        "depth_mm": 95.5,
        "mass_kg": 31.4,
        "mass_origin": "weighed",
        "mass_note": "floor scales, ±0.1 kg (invented)",
        "lift_people": 2,
        "stands": "on points",
        "way_up": "arrow on the back points up",
        "take_down": "Lift 12 mm, then towards you.\nTwo people.",
        "near_heat": "no",
        "care": "Dust with a dry brush.",
        "build_up": [
            {"material": "gypsum shell", "thickness_mm": 12.0, "mass_kg": 22.5},
            {"material": "steel frame", "mass_kg": 8.9, "note": "30 × 30 × 3 mm"},
        ],
        "hanging_points": [
            {"label": "A", "x_mm": 150.0, "y_mm": 740.0, "holds": "bolt", "hole_mm": 6.5, "bolt_mm": 6.0},
            {
                "label": "B",
                "x_mm": 1050.0,
                "y_mm": 740.0,
                "holds": "slot",
                "hole_mm": 6.5,
                "bolt_mm": 6.0,
                "slot_mm": 13.5,
                "slot_deg": 0.0,
                "note": "6.5 × 20 mm",
            },
        ],
    },
    {
        "title": "Example overmantel (invented)",
        "object_type": "overmantel relief",
        "width_mm": 1650.0,
        "mass_kg": 48.0,
        "mass_origin": "estimated",
        "mass_note": "from the drawing; weigh it before it leaves",
        "stands": "on rails",
        "near_heat": "yes",
        "heat_limit_c": 60.0,
    },
)


def as_toml(pieces: Iterable[Piece]) -> str:
    """Pieces as TOML 1.0.0: `[[piece]]`, its fields, then its lines."""
    lines: list[str] = []
    for piece in pieces:
        lines.append("[[piece]]")
        lines += _pairs(piece, PIECE_FIELDS)
        lines += [f"{name} = []" for name in ROW_FIELDS if name in piece and not piece[name]]
        for name, fields in ROW_FIELDS.items():
            for row in piece.get(name, ()):
                lines += ["", f"[[piece.{name}]]", *_pairs(row, fields)]
        lines.append("")
    return "\n".join(lines)


def as_csv(pieces: Iterable[Piece], delimiter: str = ";") -> str:
    """Pieces as a table (RFC 4180, with `delimiter`): a row a piece, and under it a row for each of its lines.

    Figures have a decimal comma where semicolons separate the columns, as spreadsheets set up so write them.
    """
    out = io.StringIO(newline="")
    table = csv.writer(out, delimiter=delimiter)
    table.writerow(COLUMNS)
    mark = "," if delimiter == ";" else "."
    for piece in pieces:
        table.writerow(_texts(piece, mark))
        for name in ROW_FIELDS:
            if name in piece:
                kind = {ROW: ROW_WORDS[name][0]}
                table.writerows(_texts({**row, **kind}, mark) for row in piece[name] or [{}])
    return out.getvalue()


def _pairs(piece: Piece, names: Sequence[str]) -> list[str]:
    return [f"{name} = {_toml(piece[name])}" for name in names if piece.get(name) is not None]


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        text = typed_again(value)
        return text if "." in text else f"{text}.0"
    # A basic string escapes as JSON does, but for DEL, which JSON leaves as it is.
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def _texts(values: Piece, mark: str) -> list[str]:
    return [_text(values.get(name), mark) for name in COLUMNS]


def _text(value: Any, mark: str) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        whole, point, part = typed_again(value).partition(".")
        # One more nought: 1,234 could be read in two ways.
        return whole + point.replace(".", mark) + part + ("0" if mark == "," and len(part) == GROUP else "")
    # Whoever writes nothing on purpose writes a dash.
    return str(value) or "-"
