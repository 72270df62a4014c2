"""Times of a product by the surface's temperature, read from its data sheet's tables."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from siteapp.finishing.models import HANDLING, RECOAT, RECOAT_LATEST
from siteapp.trade.waits import Wait, table_of, wait
from siteapp.web.i18n import Lazy, _l

if TYPE_CHECKING:
    from siteapp.finishing.products import ProductNow

TIME_WORDS: Final[dict[str, Lazy]] = {
    RECOAT: _l("Next coat after"),
    RECOAT_LATEST: _l("Next coat at latest"),
    HANDLING: _l("May be handled after"),
}


def time_of(product: ProductNow | None, what: str, surface_c: float | None) -> Wait:
    """Hours of one of `TIME_WORDS` for a product at the surface's temperature (°C); None with the reason why not.

    By the sheet's table, or by its single figure where it has none.
    """
    if product is None:
        return wait(None, None)
    single = product.said.recoat_hours if what == RECOAT else None
    return wait(table_of(product.times.get(what, ())), surface_c, single_hours=single)
