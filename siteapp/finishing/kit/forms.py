"""What may be typed about the touch-up kit."""

from __future__ import annotations

from wtforms import Form

from siteapp.finishing.kit.services import KIT, MOST_ITEMS
from siteapp.web.fields import Day, Lines, Photos, RoomForm, Words
from siteapp.web.i18n import _l

LONGEST_RECIPE = 6000


class ItemRow(Form):
    """One thing in the kit."""

    what = Words(_l("What"), required=True, longest=300)
    amount = Words(_l("How much"), longest=100, hint=_l("60 ml jar, one brush."))
    batch = Words(_l("Batch"), longest=100)
    keeps_until = Day(_l("Keeps until"), future=True)
    why = Words(_l("Known from"), longest=300)
    product_id = Words("", hidden=True, longest=40)
    batch_id = Words("", hidden=True, longest=40)


class KitForm(RoomForm):
    """Recipe and kit."""

    kind = "touch_up"

    recipe = Words(
        _l("How it is touched up"),
        required=True,
        rows=14,
        longest=LONGEST_RECIPE,
        hint=_l("Put together from what was recorded; write over it so that a stranger can follow it."),
    )
    assembled = Words("", hidden=True, longest=20_000)
    items = Lines(ItemRow, _l("In the kit"), spare=1, most=MOST_ITEMS)
    kept = Words(_l("Where it is kept"), longest=300)
    photos = Photos(_l("Photo of the kit"), slot=KIT)
    note = Words(_l("Note"), rows=2, longest=2000)
