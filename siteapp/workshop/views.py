"""The settings page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, url_for

from siteapp.web import current
from siteapp.web.access import MAKER, access
from siteapp.web.fields import typed
from siteapp.web.saving import save
from siteapp.workshop import services
from siteapp.workshop.forms import WorkshopForm

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.store.entries import Writer

room = Blueprint("workshop", __name__)


@room.get("/settings")
@access(MAKER)
def page() -> str:
    """Ask for the workshop's name and address."""
    said = services.workshop(current.reading())
    return render_template("workshop/settings.html", form=WorkshopForm(data=vars(said)))


@room.post("/settings")
@access(MAKER)
def change() -> Response:
    """Set them."""
    form = WorkshopForm(typed())

    def write(session: Session, _writer: Writer) -> str:
        services.set_workshop(session, services.Workshop(form.name.data, form.link_base.data))
        return url_for("workshop.page")

    return save(form, write, lambda: render_template("workshop/settings.html", form=form))
