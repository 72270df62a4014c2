"""The workshop's products and their batches: read, kept, revised. The only code that writes their rows.

Their entries belong to no job. A product is revised, and a coat keeps the words it was recorded with.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, NotRequired, TypedDict

from sqlalchemy import select

from siteapp.finishing.models import TABLES, Batch, Product, ProductTime
from siteapp.finishing.names import same
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.revisions import photos_of, standing_bodies
from siteapp.trade.waits import best_before, table_of
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry, EntryPhoto

IN_DATE, PAST, UNDATED = "in date", "past", "undated"


class ProductFacts(TypedDict):
    """What a product says: words from its tin and data sheet, °C, % relative humidity, hours; None is not known."""

    name: str
    maker: str | None
    what: str | None
    sheet: str | None
    hazards: str | None
    protection: str | None
    ventilation: str | None
    room_again_hours: float | None
    recoat_hours: float | None
    air_min_c: float | None
    air_max_c: float | None
    surface_min_c: float | None
    surface_max_c: float | None
    humidity_min: float | None
    humidity_max: float | None
    margin_limit_c: float | None
    touch_up: str | None
    keeps_until: str | None
    dropped: bool
    film_min_c: NotRequired[float | None]
    volume_solids_percent: NotRequired[float | None]
    density_g_ml: NotRequired[float | None]
    target_um: NotRequired[float | None]
    target_most_um: NotRequired[float | None]
    thinner: NotRequired[str | None]
    thinned_most_percent: NotRequired[float | None]
    mix_by: NotRequired[str | None]
    mix_a: NotRequired[float | None]
    mix_b: NotRequired[float | None]
    density_a_g_ml: NotRequired[float | None]
    density_b_g_ml: NotRequired[float | None]
    catalyst_least_percent: NotRequired[float | None]
    catalyst_most_percent: NotRequired[float | None]
    catalyst_density_g_ml: NotRequired[float | None]
    pot_life_min: NotRequired[float | None]
    pot_life_c: NotRequired[float | None]
    shelf_months: NotRequired[int | None]
    opened_months: NotRequired[int | None]
    barcode: NotRequired[str | None]


class TimeFacts(TypedDict):
    """One row of one of a sheet's tables: which (`models.TABLES`), the surface in °C, hours."""

    what: str
    surface_c: float
    hours: float


class BatchFacts(TypedDict):
    """What a tin says of its batch; days are ISO 8601."""

    number: str
    expires_on: str | None
    opened_on: str | None
    note: str | None
    made_on: NotRequired[str | None]
    barcode: NotRequired[str | None]


@dataclass(frozen=True)
class ProductNow:
    """A product as its latest revision has it, with that revision's entry and its tables: (°C, h) by name."""

    entry: Entry
    said: Product
    times: Mapping[str, tuple[tuple[float, float], ...]] = field(default_factory=dict)

    @property
    def product_id(self) -> str:
        """Its id, the same in every revision."""
        return self.said.product_id

    @property
    def words(self) -> str:
        """Its name with its maker."""
        return f"{self.said.name} ({self.said.maker})" if self.said.maker else self.said.name

    @property
    def sheet(self) -> str:
        """Where its figures come from, in words."""
        return self.said.sheet or _("data sheet not named")


@dataclass(frozen=True)
class BatchNow:
    """A batch as it stands, with the photos of its tin."""

    entry: Entry
    said: Batch
    photos: tuple[EntryPhoto, ...] = ()

    @property
    def batch_id(self) -> str:
        """Its id, the same in every correction."""
        return self.said.batch_id

    def dated(self, day: date) -> str:
        """How it stands on `day`: `in date` (its best-before day included), `past`, or `undated`."""
        if self.said.expires_on is None:
            return UNDATED
        return PAST if day > date.fromisoformat(self.said.expires_on) else IN_DATE


def products(session: Session) -> list[ProductNow]:
    """Every product's latest revision by name, dropped ones too (`said.dropped`)."""
    stand = standing_bodies(session, Product)
    times = _times(session, [entry.id for entry, _said in stand])
    latest = {said.product_id: ProductNow(entry, said, times.get(entry.id, {})) for entry, said in stand}
    return sorted(latest.values(), key=lambda one: (one.said.name.casefold(), one.product_id))


def product_now(session: Session, product_id: str) -> ProductNow | None:
    """One product, or None when there is no such."""
    return next((one for one in products(session) if one.product_id == product_id), None)


def batches(session: Session, product_id: str | None = None) -> list[BatchNow]:
    """The batches of a product, or of all, the latest first."""
    latest = {said.batch_id: (entry, said) for entry, said in standing_bodies(session, Batch)}
    mine = [(entry, said) for entry, said in latest.values() if product_id in {None, said.product_id}]
    photos = photos_of(session, [entry.id for entry, _said in mine])
    return [BatchNow(entry, said, tuple(photos.get(entry.id, ()))) for entry, said in reversed(mine)]


def batch_now(session: Session, product_id: str, batch_id: str) -> BatchNow | None:
    """One batch of a product, or None when it has no such."""
    return next((one for one in batches(session, product_id) if one.batch_id == batch_id), None)


def make_product(session: Session, writer: Writer, facts: ProductFacts, times: Sequence[TimeFacts] = ()) -> str:
    """Put a product on the list, `times` the rows of its tables in their order; returns its id.

    Raises FieldProblem on `name` when it is there already, TradeError for a table that is out of order.
    """
    product_id = writer.new_id("product")
    bodies = [Product(product_id=product_id, **facts), *_time_rows(times)]
    entries.append(session, writer, kind="product", bodies=bodies)
    _refuse_twin_product(session, product_id, facts)
    return product_id


def revise_product(
    session: Session,
    writer: Writer,
    *,
    product_id: str,
    revises: str,
    facts: ProductFacts,
    times: Sequence[TimeFacts] = (),
) -> None:
    """Say something else about a product, also that it is dropped; `times` are all rows of its tables from now on.

    Raises StoreError when `revises` is no revision of it, Superseded when it is not the latest, TradeError for a table
    that is out of order.
    """
    before = session.get(Product, revises)
    if before is None or before.product_id != product_id:
        raise StoreError(_("What this revises is not this product. Open the page again."))
    bodies = [Product(product_id=product_id, **facts), *_time_rows(times)]
    entries.append(session, writer, kind="product", bodies=bodies, corrects=[revises])
    _refuse_twin_product(session, product_id, facts)


def add_batch(
    session: Session,
    writer: Writer,
    *,
    product_id: str,
    facts: BatchFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a batch of a product, or a correction of one; returns its id.

    Raises StoreError when there is no such product or what is corrected is no batch of it, FieldProblem on `number`
    when the product has that batch already, Superseded when it was corrected meanwhile.
    """
    if product_now(session, product_id) is None:
        raise StoreError(_("There is no such product. Open the page again."))
    batch_id = writer.new_id("batch")
    for entry_id in corrects:
        before = session.get(Batch, entry_id)
        if before is None or before.product_id != product_id:
            raise StoreError(_("What this corrects is no batch of this product. Open the page again."))
        batch_id = before.batch_id
    body = Batch(batch_id=batch_id, product_id=product_id, **facts)
    entries.append(session, writer, kind="batch", bodies=[body], photos=photos, corrects=corrects)
    # Asked once the entry is written: only then does its chain keep other writers out on PostgreSQL.
    for other in batches(session, product_id):
        if other.batch_id != batch_id and same(other.said.number, facts["number"]):
            message = _(
                "Batch: “%(number)s” of this product is on the list already. Correct that one, or look at the tin.",
                number=facts["number"],
            )
            raise FieldProblem("number", message)
    return batch_id


def by_code(session: Session, code: str) -> tuple[ProductNow | None, BatchNow | None]:
    """The product and the batch of a tin whose own code says `code`; None for what is not on the list."""
    listed = {one.product_id: one for one in products(session)}
    batch = next((one for one in batches(session) if one.said.barcode and same(one.said.barcode, code)), None)
    if batch:
        return listed.get(batch.said.product_id), batch
    return next((one for one in listed.values() if one.said.barcode and same(one.said.barcode, code)), None), None


def keeps_until(product: ProductNow, batch: BatchNow) -> tuple[date | None, str]:
    """The day up to which a batch keeps, with how that is known: the earliest of what tin and sheet say."""
    said = batch.said
    return best_before(
        printed=_day(said.expires_on),
        made_on=_day(said.made_on),
        shelf_months=product.said.shelf_months,
        opened_on=_day(said.opened_on),
        opened_months=product.said.opened_months,
    )


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _time_rows(times: Iterable[TimeFacts]) -> list[ProductTime]:
    told = list(times)
    for what in TABLES:
        table_of([(row["surface_c"], row["hours"]) for row in told if row["what"] == what])
    return [ProductTime(position=place, **row) for place, row in enumerate(told)]


def _times(session: Session, entry_ids: Sequence[str]) -> dict[str, dict[str, tuple[tuple[float, float], ...]]]:
    query = select(ProductTime).where(ProductTime.entry_id.in_(tuple(entry_ids)))
    found: dict[str, dict[str, tuple[tuple[float, float], ...]]] = {}
    for row in session.scalars(query.order_by(ProductTime.entry_id, ProductTime.position)):
        tables = found.setdefault(row.entry_id, {})
        tables[row.what] = (*tables.get(row.what, ()), (row.surface_c, row.hours))
    return found


def _refuse_twin_product(session: Session, product_id: str, facts: ProductFacts) -> None:
    """Two products of one name and maker could not be told apart on a coat."""
    for other in products(session):
        said = other.said
        alike = same(said.name, facts["name"]) and same(said.maker or "", facts["maker"] or "")
        if other.product_id != product_id and alike:
            message = _("Name: “%(name)s” of this maker is on the list already. Revise that one.", name=said.name)
            raise FieldProblem("name", message)
