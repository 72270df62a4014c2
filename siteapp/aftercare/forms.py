"""What may be typed about a piece after its handover: limits and hints."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wtforms import Form

from siteapp.pieces.slots import DETAILS
from siteapp.trade.months import MOST_MONTHS
from siteapp.web.fields import Choice, Day, Photos, RoomForm, Tick, Whole, Words
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from siteapp.web.fieldbase import Problem

DONE_WORDS = {
    "inspected": _l("inspected"),
    "cleaned": _l("cleaned"),
    "touched up": _l("touched up"),
    "re-hung": _l("re-hung"),
    "taken down": _l("taken down"),
    "other": _l("something else"),
}
FURTHEST_AHEAD_DAYS = 3650


class CareDateForm(RoomForm):
    """Something to be done to the piece, once or again and again."""

    kind = "care_date"

    what = Words(_l("What is to be done"), required=True, longest=200, hint=_l("Look over nuts, joints and face …"))
    due_on = Day(_l("Next on"), required=True, future=True)
    every_months = Whole(
        _l("Then every so many months"),
        low=1,
        high=MOST_MONTHS,
        hint=_l("Counted from the day it was done. Blank: once only."),
    )
    dropped = Tick(_l("Not wanted any more"), hint=_l("It stays in the record and is asked for no more."))


class VisitForm(RoomForm):
    """What was done to the piece on a day."""

    kind = "aftercare"

    what = Choice(_l("What was done"), choices=tuple(DONE_WORDS.items()), look="select", required=True)
    done_on = Day(_l("Day"), required=True)
    done_by = Words(_l("By whom"), required=True, longest=200)
    care_date_id = Choice(
        _l("Care date that it answers"), look="select", hint=_l("The next one is counted from this day.")
    )
    photos = Photos(_l("Photos"), slot=DETAILS)
    found = Words(_l("What was found"), rows=3, longest=4000)
    note = Words(_l("Note"), rows=2, longest=4000)


class MoveForm(RoomForm):
    """The piece is somewhere else."""

    kind = "moved"

    place = Words(_l("Place"), required=True, longest=200, hint=_l("Town or kind of building; may be said in public."))
    address = Words(_l("Address"), rows=2, longest=500, hint=_l("Never shown to strangers, on labels or certificates."))
    moved_on = Day(_l("Day"), required=True)
    moved_by = Words(_l("Moved by"), longest=200, hint=_l("Who took it down, carried and hung it."))
    note = Words(_l("Note"), rows=2, longest=4000)


class KeeperForm(RoomForm):
    """Somebody else has the piece."""

    kind = "keeper"

    name = Words(
        _l("Name"), required=True, longest=200, hint=_l("Never shown to strangers, on labels or certificates.")
    )
    contact = Words(_l("How to reach them"), rows=2, longest=500)
    since = Day(_l("Since"), required=True)
    note = Words(_l("Note"), rows=2, longest=4000)


class DaysForm(Form):
    """How far ahead the list of care dates looks; nothing is recorded."""

    days = Whole(_l("Days ahead"), low=0, high=FURTHEST_AHEAD_DAYS)

    def problems(self) -> list[Problem]:
        """Label, message and element id of what is wrong."""
        return self.days.problems()
