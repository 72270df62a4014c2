"""What may be typed of a product and of a batch."""

from __future__ import annotations

from wtforms import Form

from siteapp.finishing.again import LONGEST_ROOM_H
from siteapp.finishing.forms import LONGEST_WAIT_H, SHORTEST_WAIT_H, THICKEST_UM
from siteapp.finishing.mix import SMALLEST_PART
from siteapp.finishing.models import BY_MASS, BY_VOLUME, TABLES
from siteapp.finishing.sheet import LIMITS, SheetForm, refuse_crossed
from siteapp.finishing.times import TIME_WORDS
from siteapp.trade.climate import COLDEST_C, HOTTEST_SURFACE_C
from siteapp.trade.coating import (
    COLDEST_POT_C,
    DENSEST_G_ML,
    HOTTEST_POT_C,
    LARGEST_PART,
    LEAST_CATALYST_PERCENT,
    LONGEST_INTERVAL_H,
    LONGEST_POT_LIFE_MIN,
    MOST_CATALYST_PERCENT,
    THINNEST_G_ML,
)
from siteapp.trade.errors import TradeError
from siteapp.trade.waits import MOST_MONTHS, MOST_ROWS, table_of
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Tick, Whole, Words
from siteapp.web.i18n import _l

LONGEST_NAME = 160
LONGEST_WORDS = 3000


class TimeRow(Form):
    """One row of one of a data sheet's tables."""

    what = Choice(_l("Table"), required=True, choices=[("", _l("Choose …")), *TIME_WORDS.items()], look="select")
    surface_c = Figure(_l("Surface"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C, required=True)
    hours = Figure(_l("Time"), unit="h", low=0.05, high=LONGEST_INTERVAL_H, required=True)


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
    volume_solids_percent = Figure(
        _l("Volume solids"), unit="%", low=1, high=100, hint=_l("By volume (ISO 3233), not by mass.")
    )
    density_g_ml = Figure(_l("Density"), unit="g/ml", low=THINNEST_G_ML, high=DENSEST_G_ML)
    target_um = Figure(_l("Dry film of a coat, at least"), unit="µm", low=1, high=THICKEST_UM)
    target_most_um = Figure(_l("at most"), unit="µm", low=1, high=THICKEST_UM)
    thinner = Words(_l("Thinner"), longest=200)
    thinned_most_percent = Figure(_l("Thinned by at most"), unit="%", low=0, high=100, hint=_l("By volume."))
    mix_by = Choice(_l("Mixed"), choices=((BY_MASS, _l("by mass")), (BY_VOLUME, _l("by volume"))))
    mix_a = Figure(_l("Parts of A"), low=SMALLEST_PART, high=LARGEST_PART)
    mix_b = Figure(_l("Parts of B"), low=SMALLEST_PART, high=LARGEST_PART)
    density_a_g_ml = Figure(_l("Density of A"), unit="g/ml", low=THINNEST_G_ML, high=DENSEST_G_ML)
    density_b_g_ml = Figure(_l("Density of B"), unit="g/ml", low=THINNEST_G_ML, high=DENSEST_G_ML)
    catalyst_least_percent = Figure(
        _l("Catalyst, at least"), unit="%", low=LEAST_CATALYST_PERCENT, high=MOST_CATALYST_PERCENT
    )
    catalyst_most_percent = Figure(_l("at most"), unit="%", low=LEAST_CATALYST_PERCENT, high=MOST_CATALYST_PERCENT)
    catalyst_density_g_ml = Figure(_l("Density of the catalyst"), unit="g/ml", low=THINNEST_G_ML, high=DENSEST_G_ML)
    pot_life_min = Figure(_l("Pot life"), unit="min", low=1, high=LONGEST_POT_LIFE_MIN)
    pot_life_c = Figure(_l("given for"), unit="°C", low=COLDEST_POT_C, high=HOTTEST_POT_C)
    shelf_months = Whole(
        _l("Keeps unopened"), unit="months", low=1, high=MOST_MONTHS, hint=_l("From when it was made.")
    )
    opened_months = Whole(_l("Keeps once opened"), unit="months", low=1, high=MOST_MONTHS)
    barcode = Words(_l("Code on the tin"), longest=200, hint=_l("As a scan reads it: then a tin is known by its code."))
    times = Lines(
        TimeRow,
        _l("Times by temperature"),
        spare=1,
        most=len(TABLES) * MOST_ROWS,
        hint=_l(
            "Row by row as the sheet's tables have them, from cold to warm. Outside its rows a table says nothing."
        ),
    )

    def validate_times(self, field: Lines) -> None:
        """Each table in the order of its sheet; the row that is out of order is named."""
        for what in TABLES:
            rows = [row for row in field.rows() if row["what"] == what]
            if any(row["surface_c"] is None or row["hours"] is None for row in rows):
                continue  # said beside the field
            try:
                table_of([(row["surface_c"], row["hours"]) for row in rows])
            except TradeError as error:
                field.refuse(f"{TIME_WORDS[what]}: {error}.")

    def validate_target_most_um(self, field: Figure) -> None:
        """A most below the least would be met by nothing."""
        refuse_crossed(self.target_um, field)

    def validate_catalyst_most_percent(self, field: Figure) -> None:
        """The same of the catalyst."""
        refuse_crossed(self.catalyst_least_percent, field)


class BatchForm(RoomForm):
    """A batch as its tin says it."""

    kind = "batch"

    number = Words(_l("Batch"), required=True, longest=100, hint=_l("Every letter and figure, as on the tin."))
    expires_on = Day(
        _l("Best before"), future=True, hint=_l("Where the tin has a month only, the last day of it. Blank: not known.")
    )
    made_on = Day(_l("Made on"), hint=_l("Where the tin says it: with the sheet's shelf life it gives a date."))
    opened_on = Day(_l("Opened on"))
    barcode = Words(_l("Code on this tin"), longest=200, hint=_l("As a scan reads it."))
    photos = Photos(_l("Photo of the tin"), slot="tin", most=4, camera=True)
    note = Words(_l("Note"), rows=2, longest=1000)


SHEET_FIGURES = (
    "volume_solids_percent",
    "density_g_ml",
    "target_um",
    "target_most_um",
    "thinner",
    "thinned_most_percent",
    "mix_by",
    "mix_a",
    "mix_b",
    "density_a_g_ml",
    "density_b_g_ml",
    "catalyst_least_percent",
    "catalyst_most_percent",
    "catalyst_density_g_ml",
    "pot_life_min",
    "pot_life_c",
    "shelf_months",
    "opened_months",
    "barcode",
)
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
    *SHEET_FIGURES,
)
BATCH_FACTS = ("number", "expires_on", "opened_on", "note", "made_on", "barcode")
