"""What may be typed about a job."""

from __future__ import annotations

from siteapp.web.fields import RoomForm, Words
from siteapp.web.i18n import _l

FACTS = ("title", "client", "place", "address", "access_notes", "brief")


class JobForm(RoomForm):
    """A job's facts."""

    kind = "job"

    title = Words(
        _l("Job"),
        required=True,
        longest=200,
        hint=_l("A short name for the commission."),
    )
    client = Words(_l("Client"), required=True, longest=200, hint=_l("Never shown to strangers."))
    place = Words(
        _l("Place"),
        required=True,
        longest=200,
        hint=_l("Town or kind of building; may be shown."),
    )
    address = Words(
        _l("Address of the site"),
        longest=500,
        rows=2,
        hint=_l("Never shown to strangers."),
    )
    access_notes = Words(
        _l("How to get in"),
        longest=2000,
        rows=3,
        hint=_l("Parking, keys, lifts, alarm."),
    )
    brief = Words(_l("Brief"), rows=5, hint=_l("What the client asked for."))
