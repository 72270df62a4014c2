"""A coat: its form with what the list offers, its keeping, and the mix beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from flask import render_template, request

from siteapp.finishing import listed, mix, products, services
from siteapp.finishing.acts import Act, ask, keep
from siteapp.finishing.forms import COAT_FACTS, FILM_FACTS, CoatForm, figures_of
from siteapp.finishing.mix import MixForm
from siteapp.finishing.models import BY_MASS, BY_VOLUME
from siteapp.finishing.names import same
from siteapp.finishing.room import room
from siteapp.finishing.state import next_coat
from siteapp.finishing.zones import zone_names
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import today
from siteapp.web.saving import photo_uses

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.products import ProductNow
    from siteapp.finishing.state import SessionState, Told
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


def _mix_facts(form: MixForm, *, worked_out: bool = False) -> dict[str, Any]:
    mixed = form.mixed() if worked_out else mix.Mixed({}, None, None)
    return {
        "mix": form,
        "mixed": mixed,
        "mix_figures": {"parts": figures_of(form, mix.PARTS_FIELDS), "catalyst": figures_of(form, mix.CATALYST)},
        "mix_sources": mix.sources(),
        "mix_assumptions": mix.assumptions(),
    }


def _coat_form(sent: Any, piece: PieceNow, state: SessionState, corrected: Told[Any] | None) -> CoatForm:
    session = current.reading()
    states = services.sessions(session, piece.piece_id)
    surface_c = state.climate.said.surface_c if state.climate else None
    offered = listed.with_batches(session, today(), surface_c)
    form = CoatForm(sent, data={} if sent else _coat_offer(states, state, corrected, offered))
    form.listed.offer(offered)
    form.zone.suggestions = zone_names(states)
    return form


def _coat_offer(
    states: Sequence[SessionState],
    state: SessionState,
    corrected: Told[Any] | None,
    offered: Sequence[listed.Offered],
) -> dict[str, Any]:
    """What a coat's form begins with: the coat to be corrected, else the next one of what was read for or went on last.

    A product that the climate was read for comes without a batch: which tin is open is for the person to say.
    """
    if corrected:
        said = corrected.said
        found = {name: getattr(said, name) for name in (*COAT_FACTS, *FILM_FACTS)}
        found["gauge"] = services.gauge_words(current.reading(), corrected.entry.id)
        return found | _chosen(said.product_id, said.batch_id, offered) | {"recoat_hours": said.recoat_hours}
    zone = state.coats[-1].said.zone if state.coats else state.begun.said.zone
    found = {"zone": zone, "number": next_coat(states, zone)}
    read_for = state.climate.said.product if state.climate else None
    applied = [one.said for one in state.coats if read_for is None or same(read_for, one.said.product)]
    if applied:
        last = applied[-1]
        return {"product": last.product, "batch": last.batch} | found | _chosen(last.product_id, last.batch_id, offered)
    names = [(one, (one.product.words, one.product.said.name)) for one in offered if one.batch is None]
    match = next((one for one, words in names if any(same(read_for or "", word) for word in words)), None)
    return {"product": read_for} | found | (_chosen(match.product.product_id, None, offered) if match else {})


def _chosen(product_id: str | None, batch_id: str | None, offered: Sequence[listed.Offered]) -> dict[str, Any]:
    """A line of the list as the choice; its words need not be typed as well."""
    for one in offered:
        if one.product.product_id == product_id and (one.batch.batch_id if one.batch else None) == batch_id:
            blank = {"product": None} | ({"batch": None} if batch_id else {})
            return {"listed": one.value, "recoat_hours": one.recoat_hours, **blank}
    return {}


def _write_coat(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    facts = cast("services.CoatFacts", {name: form[name].data for name in (*COAT_FACTS, *FILM_FACTS)})
    facts["gauge"] = form.gauge_readings()
    chosen = form.listed.chosen
    if chosen:
        facts["product_id"] = chosen.product.product_id
        facts["batch_id"] = chosen.batch.batch_id if chosen.batch else None
    services.apply_coat(session, writer, facts=facts, photos=photo_uses(form), **told)


COAT = Act("coat", lambda state: state.coats, _coat_form, _write_coat, lambda: _mix_facts(MixForm()))


@room.get("/p/<number>/finishing/<uuid:session_id>/coat")
@access(FITTER)
def coat_form(number: str, session_id: object) -> str:
    """Ask for a coat; its number and product are offered."""
    return ask(COAT, number, session_id)


@room.post("/p/<number>/finishing/<uuid:session_id>/coat")
@access(FITTER)
def apply_coat(number: str, session_id: object) -> Response:
    """Keep a coat."""
    return keep(COAT, number, session_id)


def _parts_of(product: ProductNow | None) -> dict[str, Any]:
    """The parts, densities and most catalyst of a product's data sheet, as the mix asks for them."""
    if product is None:
        return {}
    said = product.said
    told = {
        "by": {BY_MASS: "mass", BY_VOLUME: "volume"}.get(said.mix_by or ""),
        "part_a": said.mix_a,
        "part_b": said.mix_b,
        "density_a": said.density_a_g_ml,
        "density_b": said.density_b_g_ml,
        "catalyst_percent": said.catalyst_least_percent,
        "catalyst_density": said.catalyst_density_g_ml,
    }
    return {name: value for name, value in told.items() if value is not None}


@room.get("/mix")
@access(FITTER)
def mix_page() -> tuple[str, int]:
    """Work a mix out on the laptop, as pages do by themselves; nothing is recorded.

    `?product=` brings the parts of a product's data sheet into the form.
    """
    product = products.product_now(current.reading(), request.args["product"]) if "product" in request.args else None
    asked = bool(request.args) and "product" not in request.args
    form = MixForm(request.args) if asked else MixForm(data=_parts_of(product))
    good = asked and form.validate()
    return render_template(
        "finishing/mix.html", **_mix_facts(form, worked_out=good)
    ), 422 if asked and not good else 200
