"""What may be typed about snags."""

from __future__ import annotations

from siteapp.marks.forms import marks_field
from siteapp.web.fields import Photos, RoomForm, Words
from siteapp.web.i18n import _l

LONGEST_NAME = 200
LONGEST_WORDS = 2000
RAISED, CLEARED = "snag", "cleared"  # slots of photos


class SnagForm(RoomForm):
    """Something to put right."""

    kind = "snag"

    photos = Photos(_l("Photos"), slot=RAISED)
    marks = marks_field()
    # Not named `words`: an element of every page has that id.
    what = Words(_l("What is to be put right"), required=True, rows=2, longest=LONGEST_WORDS)
    place = Words(_l("Where"), longest=LONGEST_NAME, hint=_l("On the piece or in the room."))


class ClearForm(RoomForm):
    """A snag is put right."""

    kind = "snag_close"

    photos = Photos(_l("Photos of how it is now"), slot=CLEARED, required=True)
    done = Words(_l("What was done"), required=True, rows=2, longest=LONGEST_WORDS)


class AcceptForm(RoomForm):
    """The client accepts a snag as it is."""

    kind = "snag_close"

    accepted_by = Words(_l("Name of the client"), required=True, longest=LONGEST_NAME)
    client_words = Words(
        _l("What they said"),
        required=True,
        rows=2,
        longest=LONGEST_WORDS,
        hint=_l("Their own words: what stays as it is, and that they accept it."),
    )
