"""The workshop's products: the list, one product with its batches, the forms of both."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from typing import TYPE_CHECKING, Any, cast

from flask import abort, render_template, request, url_for

from siteapp.finishing import products as services
from siteapp.finishing.listed import date_words
from siteapp.finishing.product_forms import BATCH_FACTS, PRODUCT_FACTS, BatchForm, ProductForm
from siteapp.finishing.room import room
from siteapp.finishing.times import TIME_WORDS
from siteapp.people.services import names
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.dates import today
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.products import ProductNow
    from siteapp.store.entries import Writer


@room.get("/products")
@access(FITTER)
def products() -> str:
    """Every product, those that are not used any more apart."""
    session, day = current.reading(), today()
    found = services.products(session)
    dates: dict[str, list[str]] = {}
    for batch in services.batches(session):
        dates.setdefault(batch.said.product_id, []).append(batch.dated(day))
    return render_template(
        "finishing/products.html",
        used=[one for one in found if not one.said.dropped],
        dropped=[one for one in found if one.said.dropped],
        dates=dates,
    )


@room.get("/products/new")
@access(MAKER)
def new_product() -> str:
    """Ask for a product."""
    return _product_page(ProductForm(), None)


@room.post("/products/new")
@access(MAKER)
def make_product() -> Response:
    """Put a product on the list."""
    form = ProductForm(typed())

    def write(session: Session, writer: Writer) -> str:
        return url_for(
            "finishing.product", product_id=services.make_product(session, writer, _product_facts(form), _times(form))
        )

    return save(form, write, lambda: _product_page(form, None))


@room.get("/products/<uuid:product_id>")
@access(FITTER)
def product(product_id: object) -> str:
    """One product: what its tin and its sheet say, and its batches."""
    session, found = current.reading(), _product_or_404(product_id)
    batches = services.batches(session, found.product_id)
    return render_template(
        "finishing/product.html",
        product=found,
        batches=batches,
        day=today(),
        date_words=date_words,
        keeps=[services.keeps_until(found, one) for one in batches],
        TIME_WORDS=TIME_WORDS,
        people=names(session, [found.entry.by_id, *(one.entry.by_id for one in batches)]),
    )


@room.get("/products/<uuid:product_id>/edit")
@access(MAKER)
def edit_product(product_id: object) -> str:
    """Ask what is to be said of a product from now on."""
    found = _product_or_404(product_id)
    facts = {name: getattr(found.said, name) for name in PRODUCT_FACTS}
    rows = [{"what": what, "surface_c": at, "hours": hours} for what, rows in found.times.items() for at, hours in rows]
    return _product_page(ProductForm(data=facts | {"revises": found.entry.id, "times": rows}), found)


@room.post("/products/<uuid:product_id>/edit")
@access(MAKER)
def revise_product(product_id: object) -> Response:
    """Revise a product."""
    found = _product_or_404(product_id)
    form = ProductForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.revise_product(
            session,
            writer,
            product_id=found.product_id,
            revises=form.revises.data or "",
            facts=_product_facts(form),
            times=_times(form),
        )
        return url_for("finishing.product", product_id=found.product_id)

    return save(form, write, lambda: _product_page(form, found))


@room.get("/products/<uuid:product_id>/batch")
@access(FITTER)
def batch_form(product_id: object) -> str:
    """Ask for a batch, or for what is to be said of one from now on."""
    found = _product_or_404(product_id)
    wanted = request.args.get("correct", "")
    batch = next(
        (one for one in services.batches(current.reading(), found.product_id) if one.entry.id == wanted),
        None,
    )
    if wanted and batch is None:
        abort(404)
    form = BatchForm(data=_scanned())
    if batch:
        days = {name: _day(getattr(batch.said, name)) for name in ("expires_on", "opened_on", "made_on")}
        words = {name: getattr(batch.said, name) for name in ("number", "note", "barcode")} | {
            "corrects": batch.entry.id
        }
        form = BatchForm(data=words | days)
        for photo in batch.photos:
            form.photos.take(photo.sha256)
    return _batch_page(form, found)


@room.post("/products/<uuid:product_id>/batch")
@access(FITTER)
def add_batch(product_id: object) -> Response:
    """Keep a batch."""
    found = _product_or_404(product_id)
    form = BatchForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.add_batch(
            session,
            writer,
            product_id=found.product_id,
            facts=cast("services.BatchFacts", {name: form[name].plain() for name in BATCH_FACTS}),
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("finishing.product", product_id=found.product_id)

    return save(form, write, lambda: _batch_page(form, found))


def _scanned() -> dict[str, Any]:
    """What a scan of the tin's code brought along."""
    told: dict[str, Any] = {name: request.args[name][:200] for name in ("number", "barcode") if name in request.args}
    for name in ("expires_on", "made_on"):
        with suppress(ValueError):
            told[name] = _day(request.args.get(name))
    return told


def _product_page(form: ProductForm, product: ProductNow | None) -> str:
    return render_template("finishing/product_form.html", form=form, product=product)


def _batch_page(form: BatchForm, product: ProductNow) -> str:
    return render_template("finishing/batch_form.html", form=form, product=product)


def _product_facts(form: ProductForm) -> services.ProductFacts:
    facts: Any = {name: form[name].data for name in PRODUCT_FACTS}
    return cast("services.ProductFacts", facts)


def _times(form: ProductForm) -> list[services.TimeFacts]:
    return cast("list[services.TimeFacts]", form.times.rows())


def _product_or_404(product_id: object) -> ProductNow:
    found = services.product_now(current.reading(), str(product_id))
    if found is None:
        abort(404)
    return found


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
