"""What stands on pages for the kinds of obstacles and ways of travelling, and what each kind asks for."""

from __future__ import annotations

from typing import Final

from siteapp.hanging.route import models
from siteapp.web.i18n import _l

KIND_WORDS: Final = {
    models.OPENING: _l("Door or other opening"),
    models.PASSAGE: _l("Narrow passage"),
    models.CORNER: _l("Corner"),
    models.STAND_UP: _l("Place to turn it over"),
    models.STAIRS: _l("Stairs and landing"),
    models.LIFT: _l("Lift"),
    models.SLOPE: _l("Slope"),
}
WAYS_UP_WORDS: Final = {
    models.UPRIGHT: _l("Upright only"),
    models.ON_SIDE_TOO: _l("Upright, or on its side: width standing"),
    models.ANY: _l("Any way up"),
}
TURN_WORDS: Final = {
    "none": _l("goes straight on"),
    "quarter": _l("a quarter turn"),
    "half": _l("a half turn, back on itself"),
}
WAY_WORDS: Final = {
    "height": _l("upright"),
    "width": _l("on its side"),
    "depth": _l("flat"),
}
# The sizes that each kind of obstacle asks for; the others stay blank.
ASKS: Final = {
    models.OPENING: ("width_mm", "height_mm"),
    models.PASSAGE: ("width_mm", "height_mm"),
    models.CORNER: ("width_mm", "second_mm", "height_mm"),
    models.STAND_UP: ("height_mm",),
    models.STAIRS: ("width_mm", "height_mm", "turn", "second_mm"),
    models.LIFT: ("width_mm", "height_mm", "second_mm", "door_width_mm", "door_height_mm", "load_kg", "riders"),
    models.SLOPE: ("width_mm", "slope_deg"),
}
SIZES: Final = (
    "width_mm",
    "height_mm",
    "second_mm",
    "turn",
    "slope_deg",
    "door_width_mm",
    "door_height_mm",
    "load_kg",
    "riders",
)
# Which fields a page shows once a kind is chosen: field → kinds that ask for it.
SHOWN_FOR: Final = {field: {"kind": [kind for kind, asked in ASKS.items() if field in asked]} for field in SIZES}
