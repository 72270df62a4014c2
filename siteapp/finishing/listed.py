"""Products and batches from the workshop's list, as forms offer them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from wtforms.utils import unset_value

from siteapp.finishing.models import RECOAT
from siteapp.finishing.products import PAST, UNDATED, batches, products
from siteapp.finishing.sheet import LIMITS
from siteapp.finishing.times import time_of
from siteapp.web.dates import day_words
from siteapp.web.fields import Choice
from siteapp.web.figures import typed_again
from siteapp.web.i18n import _
from siteapp.web.rows import MORE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.products import BatchNow, ProductNow

BETWEEN = ":"  # a product's id and its batch's, in the value of a choice


@dataclass(frozen=True)
class Offered:
    """One line of the list: a product, with one of its batches where a batch is asked for."""

    product: ProductNow
    batch: BatchNow | None
    words: str
    surface_c: float | None = None  # of the latest reading: the sheet's tables go by it

    @property
    def value(self) -> str:
        """What a form sends for it."""
        ids = [self.product.product_id, *([self.batch.batch_id] if self.batch else [])]
        return BETWEEN.join(ids)

    @property
    def limits(self) -> dict[str, str]:
        """What choosing it brings into a climate form, as one would type it; what it does not give is made blank."""
        said = self.product.said
        figures = {name: getattr(said, name) for name in LIMITS}
        shown = {name: "" if value is None else typed_again(value) for name, value in figures.items()}
        return {"product": self.product.words, "limits_source": said.sheet or "", **shown}

    @property
    def recoat_hours(self) -> float | None:
        """The sheet's hours until the next coat at the surface's temperature; None where it says nothing of that."""
        hours = time_of(self.product, RECOAT, self.surface_c).hours
        # To a hundredth of an hour, never shorter than the sheet's.
        return None if hours is None else math.ceil(hours * 100 - 1e-9) / 100

    @property
    def recoat(self) -> dict[str, str]:
        """What choosing it brings into a coat form: its hours, and nothing where its words need not be typed."""
        hours = self.recoat_hours
        typed = {"product": "", **({"batch": ""} if self.batch else {})}
        return {"recoat_hours": "" if hours is None else typed_again(hours), **typed}


class Listed(Choice):
    """One line of the list, or none of it. A button of the name `more` brings what the choice holds without saving."""

    offered: Sequence[Offered] = ()
    asked_more = False

    def process(self, formdata: Any, data: Any = unset_value, extra_filters: Any = None) -> None:
        """Read the choice, and whether it was only to be brought into the form."""
        super().process(formdata, data, extra_filters)
        self.asked_more = formdata is not None and self.name in formdata.getlist(MORE)

    def offer(self, offered: Sequence[Offered]) -> None:
        """Show these; a dropped product only where it is the choice already, as on a phone that was away."""
        chosen = self.typed if self.typed is not None else self.data
        self.offered = [one for one in offered if not one.product.said.dropped or one.value == chosen]
        self.choices = [("", _("Not on the list")), *((one.value, one.words) for one in self.offered)]

    @property
    def chosen(self) -> Offered | None:
        """The line that is chosen."""
        return next((one for one in self.offered if one.value == self.data), None)

    @property
    def products(self) -> list[ProductNow]:
        """The products on show, each once."""
        return list({one.product.product_id: one.product for one in self.offered}.values())


def with_batches(session: Session, day: date, surface_c: float | None = None) -> list[Offered]:
    """Every product with each of its batches and once without; each says how its date stands on `day`.

    `surface_c` is the surface's temperature, by which a sheet's tables give their hours.
    """
    found: list[Offered] = []
    everything = batches(session)
    for product in products(session):
        mine = [one for one in everything if one.said.product_id == product.product_id]
        lines = [(one, _("batch %(number)s", number=one.said.number), date_words(one, day)) for one in mine]
        found += [Offered(product, one, " · ".join((product.words, *words)), surface_c) for one, *words in lines]
        found.append(Offered(product, None, f"{product.words} · {_('batch not on the list')}", surface_c))
    return found


def without_batches(session: Session) -> list[Offered]:
    """Every product once."""
    return [Offered(product, None, product.words) for product in products(session)]


def date_words(batch: BatchNow, day: date) -> str:
    """How a batch's date stands on `day`, in words."""
    how = batch.dated(day)
    if how == UNDATED:
        return _("its date is not known")
    on = day_words(date.fromisoformat(batch.said.expires_on or ""))
    return _("past its date, %(day)s", day=on) if how == PAST else _("best before %(day)s", day=on)
