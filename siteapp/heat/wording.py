"""What the rooms of heat call their answers."""

from __future__ import annotations

from typing import Final

from siteapp.web.i18n import Lazy, _l

KIND_WORDS: Final[dict[str, Lazy]] = {
    "masonry fireplace": _l("Masonry fireplace"),
    "factory-built fireplace": _l("Factory-built fireplace"),
    "stove": _l("Stove"),
    "gas fire": _l("Gas fire"),
    "electric fire": _l("Electric fire"),
    "other": _l("Something else"),
}
FUEL_WORDS: Final[dict[str, Lazy]] = {
    "wood": _l("Wood"),
    "coal": _l("Coal"),
    "pellets": _l("Pellets"),
    "gas": _l("Gas"),
    "oil": _l("Oil"),
    "ethanol": _l("Ethanol"),
    "electricity": _l("Electricity"),
    "other": _l("Something else"),
}
PAPER_WORDS: Final[dict[str, Lazy]] = {
    "paper seen": _l("The paper was seen"),
    "no paper": _l("There is no paper"),
    "not known": _l("Not known"),
}
PLACE_WORDS: Final[dict[str, Lazy]] = {
    "above": _l("Above the opening"),
    "left": _l("Beside it, left"),
    "right": _l("Beside it, right"),
    "front": _l("In front of it"),
    "flue": _l("Beside the flue"),
}
TESTED_WORDS: Final[dict[str, Lazy]] = {
    "coupon": _l("A coupon"),
    "assembly": _l("An assembly"),
    "whole piece": _l("The whole piece"),
    "material": _l("A material by itself"),
}
PART_WORDS: Final[dict[str, Lazy]] = {
    "laminate": _l("Laminate"),
    "bond": _l("Bond of the metalwork"),
    "foam": _l("Foam"),
    "coat": _l("Coat"),
    "anchor resin": _l("Anchor resin"),
    "other": _l("Another part"),
}
KNOWN_WORDS: Final[dict[str, Lazy]] = {
    "data sheet": _l("Data sheet"),
    "approval document": _l("Approval document"),
    "test report": _l("Test report"),
    "estimate": _l("An estimate"),
}
SPOT_WORDS: Final[dict[str, Lazy]] = {
    "face": _l("Face"),
    "back": _l("Back"),
    "bond": _l("Bond"),
    "anchor": _l("Anchor"),
}
OUTPUT_WORDS: Final[dict[str, Lazy]] = {
    "rated output": _l("Rated output"),
    "less than rated": _l("Less than rated"),
    "not known": _l("Not known"),
}
HAPPENED_WORDS: Final[dict[str, Lazy]] = {
    "refuelled": _l("Fuel put on"),
    "shut down": _l("Shut down"),
    "probe slipped": _l("Probe slipped"),
    "other": _l("Something else"),
}


def offered(words: dict[str, Lazy], blank: Lazy | None = None) -> list[tuple[str, Lazy]]:
    """Answers as a choice takes them, a blank one first when it has words."""
    return [*([("", blank)] if blank else []), *words.items()]
