"""What stands on pages and papers for the steps of a lift, zones of the hands, what people stand on, aids."""

from __future__ import annotations

from typing import Final

from siteapp.hanging.lifting import models
from siteapp.trade.lifting.steps import CARRIES
from siteapp.web.i18n import _l

STEP_WORDS: Final = {
    "unload": _l("Unload"),
    "carry": _l("Carry"),
    "raise": _l("Raise"),
    "hold": _l("Hold while it is made fast"),
    "seat": _l("Seat and let go"),
}
ZONE_WORDS: Final = {
    "above_shoulder": _l("Above the shoulder"),
    "elbow_to_shoulder": _l("Elbow to shoulder"),
    "knuckle_to_elbow": _l("Knuckle to elbow"),
    "lower_leg_to_knuckle": _l("Middle of the lower leg to knuckle"),
    "below_lower_leg": _l("Below the middle of the lower leg"),
}
REACH_WORDS: Final = {"close": _l("Close to the body"), "far": _l("At arm's length")}
STANDING_WORDS: Final = {
    "floor": _l("Floor or ground"),
    "platform": _l("Work platform"),
    "stairs": _l("Stairs or a slope"),
    "ladder": _l("Ladder"),
}
AID_WORDS: Final = {
    models.NO_AID: _l("Arms alone"),
    models.HOIST: _l("Hoist or lifting platform"),
    models.TROLLEY: _l("Trolley or dolly"),
    models.PROP: _l("Prop or ledger"),
}
# Which fields a page shows once something is chosen: field → what must be chosen for it to be asked.
SHOWN_FOR: Final = {
    "zone_from": {"aid": [""]},
    "zone_to": {"aid": [""]},
    "reach": {"aid": [""]},
    "lower": {"standing": ["stairs"], "aid": [""]},
    "carry_m": {"step": ["carry"], "aid": [""]},
    "rated_kg": {"aid": [*CARRIES]},
    "in_crate": {"step": ["unload", "carry"]},
}
