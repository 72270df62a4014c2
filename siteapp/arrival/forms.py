"""What may be typed about an arrival."""

from __future__ import annotations

from siteapp.arrival.models import FINDINGS
from siteapp.arrival.services import BACK, CRATE, EDGES, FRONT, INDICATORS
from siteapp.web.fields import Choice, Photos, RoomForm, Words
from siteapp.web.i18n import _l

FINDING_WORDS = (_l("nothing found"), _l("something found"), _l("not looked at yet"))
INDICATOR_WORDS = (_l("not fitted"), _l("not tripped"), _l("tripped"), _l("cannot tell"))


class ArrivalForm(RoomForm):
    """How a piece looked when it reached the site."""

    kind = "arrival"

    front = Photos(_l("Front"), slot=FRONT, hint=_l("Whole, and then whatever is not as it should be."))
    back = Photos(_l("Back"), slot=BACK, hint=_l("With the metalwork and the label."))
    edges = Photos(_l("Edges"), slot=EDGES, hint=_l("All four; corners are knocked first."))
    crate = Photos(_l("Crate and indicators"), slot=CRATE, hint=_l("As it came off the van, before it is opened."))
    indicators = Choice(
        _l("Shock and tilt indicators"), choices=tuple(zip(INDICATORS, INDICATOR_WORDS, strict=True)), look="select"
    )
    found = Choice(
        _l("What was found"),
        choices=tuple(zip(FINDINGS, FINDING_WORDS, strict=True)),
        required=True,
        hint=_l("Nothing found needs a photo of the front and of the back."),
    )
    note = Words(_l("Note"), rows=4, hint=_l("What was found and where; who carried; weather if it mattered."))
