"""What stands on pages and papers for the answers that a wall is described by."""

from __future__ import annotations

from typing import Final

from siteapp.hanging.wall import models
from siteapp.web.i18n import _l

SPOKEN: Final = {
    models.CONCRETE: _l("concrete"),
    models.SOLID_MASONRY: _l("solid masonry"),
    models.HOLLOW_MASONRY: _l("hollow masonry"),
    models.TIMBER: _l("timber"),
    models.STUD_WALL: _l("stud wall"),
    models.OTHER: _l("other"),
    models.TRIAL_HOLE: _l("a trial hole"),
    models.LOOKED: _l("looking at it"),
    models.TOLD: _l("what somebody said"),
    models.NONE_NEAR: _l("looked for, none near"),
    models.NEAR: _l("found near"),
    models.NOT_LOOKED: _l("not looked for"),
    models.WRITTEN: _l("given in writing"),
    models.SPOKEN: _l("given by word of mouth"),
    models.NO_CONSENT: _l("not given"),
    models.SURVEYED_CLEAR: _l("surveyed, none in it"),
    models.BUILT_AFTER: _l("built after the ban"),
    models.ASBESTOS_FOUND: _l("found"),
    models.NOT_KNOWN: _l("not known"),
}

# Label and unit of what the verdict on a wall was worked out from.
FIGURES: Final = {
    "asked": (_l("Wall asked for"), ""),
    "material": (_l("Wall found"), ""),
    "proved_by": (_l("Known from"), ""),
    "sound": (_l("Sound"), ""),
    "services_front": (_l("Cables and pipes, this side"), ""),
    "services_back": (_l("Cables and pipes, other side"), ""),
    "detector": (_l("Looked for with"), ""),
    "consent": (_l("Owner's consent"), ""),
    "asbestos": (_l("Asbestos"), ""),
    "found_on": (_l("Looked at on"), ""),
    "why": (_l("Why"), ""),
}
