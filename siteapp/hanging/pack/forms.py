"""What may be typed about the form that came back. What stands on it is typed where it belongs."""

from __future__ import annotations

from siteapp.hanging.pack.services import FORM_SLOT
from siteapp.web.fields import Choice, Day, Photos, RoomForm, Words
from siteapp.web.i18n import _l


class BackForm(RoomForm):
    """Who filled the form in, when, for which template, with photos of it."""

    kind = "pack_back"

    photos = Photos(
        _l("Photos of the form"), slot=FORM_SLOT, hint=_l("Every page of it, so that each word can be read.")
    )
    filled_by = Words(_l("Filled in by"), required=True, longest=200)
    filled_on = Day(_l("On"), required=True)
    template_id = Choice(
        _l("The template that stands on the form"),
        required=True,
        look="select",
        hint=_l("At its head, and at the foot of each page: the eight letters and figures."),
    )
    note = Words(_l("Note"), rows=3, longest=5000, hint=_l("What was done otherwise than asked, and why."))
