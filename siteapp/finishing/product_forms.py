"""What may be typed of a product and of a batch."""

from __future__ import annotations

from siteapp.finishing.again import LONGEST_ROOM_H
from siteapp.finishing.forms import LONGEST_WAIT_H, SHORTEST_WAIT_H
from siteapp.finishing.sheet import LIMITS, SheetForm
from siteapp.web.fields import Day, Figure, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import _l

LONGEST_NAME = 160
LONGEST_WORDS = 3000


class ProductForm(SheetForm):
    """A product as its tin and its data sheet say it; what is left blank is not known."""

    kind = "product"

    name = Words(_l("Name"), required=True, longest=LONGEST_NAME, hint=_l("As on the tin."))
    maker = Words(_l("Maker"), longest=LONGEST_NAME)
    what = Words(
        _l("What it is"),
        longest=300,
        hint=_l("Kind and generic chemistry: two-part epoxy primer, acrylic paint, microcrystalline wax …"),
    )
    sheet = Words(_l("Data sheet and its date"), longest=300, hint=_l("Every figure here is from it."))
    hazards = Words(
        _l("Hazards"), rows=4, longest=LONGEST_WORDS, hint=_l("Word for word as on the tin, H-numbers too.")
    )
    protection = Words(
        _l("Protection"), rows=3, longest=LONGEST_WORDS, hint=_l("Gloves, eyes, mask and filter, as the sheets say.")
    )
    ventilation = Words(_l("Ventilation"), rows=3, longest=LONGEST_WORDS, hint=_l("As the sheets say."))
    room_again_hours = Figure(
        _l("Room may be used again after"),
        unit="h",
        low=0,
        high=LONGEST_ROOM_H,
        hint=_l("From the last coat, as the sheet says. Left blank, it is not known, and pages say so."),
    )
    recoat_hours = Figure(
        _l("Next coat after"),
        unit="h",
        low=SHORTEST_WAIT_H,
        high=LONGEST_WAIT_H,
        hint=_l("The sheet's shortest wait."),
    )
    touch_up = Words(
        _l("Touching up"),
        rows=3,
        longest=LONGEST_WORDS,
        hint=_l("How it is done, what thins it and what cleans the tools. The certificate may carry these words."),
    )
    keeps_until = Words(_l("How long an opened tin keeps"), longest=300, hint=_l("As the tin says."))
    dropped = Tick(_l("Not used any more"))


class BatchForm(RoomForm):
    """A batch as its tin says it."""

    kind = "batch"

    number = Words(_l("Batch"), required=True, longest=100, hint=_l("Every letter and figure, as on the tin."))
    expires_on = Day(
        _l("Best before"), future=True, hint=_l("Where the tin has a month only, the last day of it. Blank: not known.")
    )
    opened_on = Day(_l("Opened on"))
    photos = Photos(_l("Photo of the tin"), slot="tin", most=4, camera=True)
    note = Words(_l("Note"), rows=2, longest=1000)


PRODUCT_FACTS = (
    "name",
    "maker",
    "what",
    "sheet",
    "hazards",
    "protection",
    "ventilation",
    "room_again_hours",
    "recoat_hours",
    *LIMITS,
    "touch_up",
    "keeps_until",
    "dropped",
)
BATCH_FACTS = ("number", "expires_on", "opened_on", "note")
