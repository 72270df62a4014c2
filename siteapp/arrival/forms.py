"""What may be typed about an arrival, and about the climate before the piece is unwrapped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.arrival import rules
from siteapp.dispatch.looks import SPOKEN as FINDINGS
from siteapp.pieces.slots import BACK, CRATE, DETAILS, EDGES, FRONT, HARDWARE, WORDS
from siteapp.trade.climate import COLDEST_C, HOTTEST_C, HOTTEST_SURFACE_C
from siteapp.web.fields import Choice, Figure, Photos, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.arrival.models import Arrival
    from siteapp.dispatch.models import Crate

SLOT_FIELDS = {"crate": CRATE, "front": FRONT, "back": BACK, "edges": EDGES, "hardware": HARDWARE, "details": DETAILS}


class ArrivalForm(RoomForm):
    """How a piece looked when it reached the site, held against `crate`, the record of what it travelled in."""

    kind = "arrival"
    crate_record: Crate | None = None
    before: Arrival | None = None  # what this puts right

    crate = Photos(WORDS[CRATE], slot=CRATE, hint=_l("As it came off the van, before it is opened."))
    front = Photos(WORDS[FRONT], slot=FRONT, hint=_l("Whole, and then whatever is not as it should be."))
    back = Photos(WORDS[BACK], slot=BACK, hint=_l("With the metalwork and the label."))
    edges = Photos(WORDS[EDGES], slot=EDGES, hint=_l("All four; corners are knocked first."))
    hardware = Photos(WORDS[HARDWARE], slot=HARDWARE)
    details = Photos(WORDS[DETAILS], slot=DETAILS)
    shock = Choice(rules.LABELS["shock"], choices=tuple(rules.SPOKEN.items()), look="select")
    tilt = Choice(rules.LABELS["tilt"], choices=tuple(rules.SPOKEN.items()), look="select")
    found = Choice(
        _l("What was found"),
        choices=tuple(FINDINGS.items()),
        required=True,
        hint=_l("Nothing found needs photos of front, back and edges, and of the indicators where some are fitted."),
    )
    note = Words(_l("Note"), rows=4, hint=_l("What was found and where; who carried; weather if it mattered."))
    # Only in a form that was made before shock and tilt were asked apart, and waited on a phone since.
    indicators = Words(hidden=True)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, and name everything that what was found and read still needs."""
        super().validate(extra_validators)
        if self.indicators.data and self.shock.data is None and self.tilt.data is None:
            message = _(
                "Shock indicator: this form was filled in on an older page, where “%(read)s” stood for shock and tilt "
                "together. Say it of each.",
                read=self.indicators.data,
            )
            self.shock.refuse(message)
        told = {name: self[name].data for name in ("shock", "tilt", "note")}
        wrong = rules.problems(found=self.found.data or "", slots=self._filled(), crate=self.crate_record, **told)
        if self.before is not None:
            wrong += rules.read_together(self.before, self.shock.data, self.tilt.data)
        for name, message in wrong:
            if not self[name].errors:
                self[name].refuse(message)
        return not self.errors

    def _filled(self) -> set[str]:
        return {field.slot for field in self if isinstance(field, Photos) and not field.is_blank()}


class UnwrapForm(RoomForm):
    """Climate at the crate before the piece is unwrapped. What is left blank makes it *cannot tell*."""

    kind = "unwrap"

    arrival_id = Words(hidden=True)
    piece_c = Figure(
        _l("Surface of the piece"),
        unit="°C",
        low=COLDEST_C,
        high=HOTTEST_SURFACE_C,
        hint=_l("Its coldest part, under the wrapping: metal or the thickest part."),
    )
    air_c = Figure(_l("Air"), unit="°C", low=COLDEST_C, high=HOTTEST_C, hint=_l("In the room where it is unwrapped."))
    relative_humidity = Figure(_l("Relative humidity"), unit="%", low=0.1, high=100)
    instrument = Words(_l("Instrument"), longest=200, hint=_l("Without one the figures count as an estimate."))
    photos = Photos(_l("Photo of the meter"), slot="meter", most=4, camera=True)
