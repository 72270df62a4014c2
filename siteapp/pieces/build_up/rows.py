"""What may be typed about one line of the build-up: limits and units."""

from __future__ import annotations

from wtforms import Form

from siteapp.pieces.models import AS_WEIGHED
from siteapp.trade.by_size import HEAVIEST_KG_M3, LIGHTEST_KG_M3, LONGEST_MM
from siteapp.trade.made_as import (
    BLOCK,
    FILM,
    LAMINATE,
    LARGEST_M2,
    PLATE,
    ROUND_BAR,
    ROUND_TUBE,
    SQUARE_TUBE,
)
from siteapp.trade.weight import (
    FARTHEST_MM,
    HEAVIEST_KG,
    LEAST_FRACTION,
    MOST_FRACTION,
    MOST_GLASS_G_M2,
    THICKEST_FILM_UM,
)
from siteapp.web.fields import Choice, Figure, Whole, Words
from siteapp.web.i18n import _l

MOST_PIECES = 1_000
MADE_AS_WORDS = {
    LAMINATE: _l("Laminate"),
    FILM: _l("Film"),
    BLOCK: _l("Block"),
    PLATE: _l("Plate"),
    ROUND_BAR: _l("Round bar"),
    ROUND_TUBE: _l("Round tube"),
    SQUARE_TUBE: _l("Square tube"),
    AS_WEIGHED: _l("As weighed"),
}


class BuildUpRow(Form):
    """One layer or part: what it is, what it is made as, the sizes that this asks for, where its weight sits."""

    material = Words(_l("Material"), required=True, longest=200)
    made_as = Choice(_l("Made as"), choices=[("", _l("Not said")), *MADE_AS_WORDS.items()], look="select")
    area_m2 = Figure(_l("Area"), unit="m²", low=0.0001, high=LARGEST_M2)
    glass_g_m2 = Figure(_l("Dry glass, g/m²"), low=1, high=MOST_GLASS_G_M2)
    glass_fraction = Figure(_l("Glass fraction by mass"), low=LEAST_FRACTION, high=MOST_FRACTION)
    film_um = Figure(_l("Film"), unit="µm", low=0.1, high=THICKEST_FILM_UM)
    length_mm = Figure(_l("Length"), unit="mm", low=0.1, high=LONGEST_MM)
    width_mm = Figure(_l("Width or diameter"), unit="mm", low=0.1, high=LONGEST_MM)
    height_mm = Figure(_l("Height"), unit="mm", low=0.1, high=LONGEST_MM)
    thickness_mm = Figure(_l("Thickness"), unit="mm", low=0.001, high=2000)
    density_kg_m3 = Figure(_l("Density, kg/m³"), low=LIGHTEST_KG_M3, high=HEAVIEST_KG_M3)
    pieces = Whole(_l("How many"), low=1, high=MOST_PIECES)
    mass_kg = Figure(_l("Weight"), unit="kg", low=0.001, high=HEAVIEST_KG)
    x_mm = Figure(_l("x, to the right"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM)
    y_mm = Figure(_l("y, upwards"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM)
    z_mm = Figure(_l("z, out from the wall"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM)
    note = Words(_l("Note"), longest=500)
