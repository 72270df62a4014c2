"""A tin known by its own code: from a photo, or typed; a new one is offered with what the code says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask import redirect, render_template, url_for

from siteapp.finishing import products as services
from siteapp.finishing.room import room
from siteapp.pieces.reading_labels import read_label
from siteapp.store.images import PhotoError
from siteapp.trade.gs1 import parse_item
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import today
from siteapp.web.fields import Photos, RoomForm, Words, typed
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

LONGEST_CODE = 200


class TinForm(RoomForm):
    """A photo of a tin's code, or the code as typed. Nothing is recorded, so nothing waits on a phone."""

    waits = False

    photo = Photos(_l("Photo of the code on the tin"), slot="tin", one=True, camera=True)
    code = Words(_l("Or the code as printed"), longest=LONGEST_CODE)


@room.get("/products/scan")
@access(FITTER)
def scan_form() -> str:
    """Ask for a photo of a tin's code, or for the code."""
    return _page(TinForm(), None, None)


@room.post("/products/scan")
@access(FITTER)
def scan() -> Response | tuple[str, int]:
    """Lead to the tin's batch, to its product, or to a choice of products for a new one."""
    form = TinForm(typed())
    form.validate()
    code, why_not = _code_of(form)
    if code is None:
        return _page(form, None, why_not), 422
    session = current.reading()
    product, batch = services.by_code(session, code)
    item = parse_item(code, this_year=today().year)
    if product is None and item is not None and item.gtin is not None:
        product, batch = services.by_code(session, item.gtin)
    if product is not None and batch is not None:
        return redirect(url_for("finishing.product", product_id=product.product_id), 303)
    asked = _asked(code, item)
    if product is not None:
        return redirect(url_for("finishing.batch_form", product_id=product.product_id, **asked), 303)
    return _page(form, (code, asked), None), 200


def _code_of(form: TinForm) -> tuple[str | None, str | None]:
    """The code, or why there is none."""
    most = current.program().settings.max_photo_bytes
    for part in form.photo.files:
        data = part.stream.read(most + 1)
        if not data:
            continue
        if len(data) > most:
            return None, _("This photo is larger than %(limit)s MB.", limit=most // 1024**2)
        try:
            texts = read_label(data, any_code=True).texts
        except PhotoError as error:
            return None, str(error)
        if texts:
            return texts[0][:LONGEST_CODE], None
        return None, _("No code can be read in this photo. Go nearer, hold still; or type the code.")
    typed_code = (form.code.data or "").strip()
    return (typed_code, None) if typed_code else (None, _("Take a photo of the code on the tin, or type it."))


def _asked(code: str, item: Any) -> dict[str, str]:
    """What a new batch's form is filled with."""
    told = {"barcode": code}
    if item is not None:
        days = {"made_on": item.made_on, "expires_on": item.expires_on or item.best_before}
        told |= {name: day.isoformat() for name, day in days.items() if day}
        told |= {"number": item.batch} if item.batch else {}
    return told


def _page(form: TinForm, found: tuple[str, dict[str, str]] | None, why_not: str | None) -> str:
    listed = [one for one in services.products(current.reading()) if not one.said.dropped] if found else []
    return render_template("finishing/scan.html", form=form, found=found, why_not=why_not, listed=listed)
