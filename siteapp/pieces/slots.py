"""Named slots for photos of a piece, the same before dispatch, on arrival, at handover and later.

So that two looks at one side can be laid beside each other.
"""

from __future__ import annotations

from siteapp.web.i18n import _l

FRONT = "front"
BACK = "back"
EDGES = "edges"
HARDWARE = "hardware"
CRATE = "crate and indicators"
RAKING = "raking light"
TARGET = "scale and colour target"
DETAILS = "details"

WORDS = {
    FRONT: _l("Front"),
    BACK: _l("Back"),
    EDGES: _l("Edges"),
    HARDWARE: _l("Hanging points and metalwork"),
    CRATE: _l("Crate and indicators"),
    RAKING: _l("Raking light"),
    TARGET: _l("Scale and colour target"),
    DETAILS: _l("Details"),
}
