"""Coats applied: with the climate they went on in, and what was chosen from the workshop's list."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, NotRequired, TypedDict

from siteapp.finishing import film, reasons
from siteapp.finishing.models import HANDLING, RECOAT, RECOAT_LATEST, Coat, GaugeReading
from siteapp.finishing.names import same
from siteapp.finishing.products import batch_now, product_now
from siteapp.finishing.state import for_coat, wait_under
from siteapp.finishing.times import time_of
from siteapp.finishing.writing import open_session
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.revisions import believed
from siteapp.trade.coating import LEAST_CATALYST_PERCENT, MOST_CATALYST_PERCENT
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.products import BatchNow, ProductNow
    from siteapp.finishing.state import SessionState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer


class CoatFacts(TypedDict):
    """A coat as typed: `number` from 1, `wet_um` the wet film in µm when it was measured.

    `recoat_hours` is how long the next one waits, in h from the data sheet, None when it is not known. `product_id`
    and `batch_id` name a product and a batch of the workshop's list; their words then stand for `product` and `batch`,
    which may be None, and the product's hours for `recoat_hours` when those are None: by its table at
    `recoat_surface_c`, else at the surface's temperature of the latest climate reading. `gauge` are readings of the wet
    film in µm; `volume_l` and `area_m2` what was used on what; shares are in %.
    """

    product_id: NotRequired[str | None]
    batch_id: NotRequired[str | None]
    product: str | None
    batch: str | None
    number: int
    zone: str
    wet_um: float | None
    recoat_hours: float | None
    reason: str | None
    note: str | None
    recoat_surface_c: NotRequired[float | None]
    gauge: NotRequired[Sequence[float]]
    thinned_percent: NotRequired[float | None]
    mixed_resin_g: NotRequired[float | None]
    mixed_catalyst_percent: NotRequired[float | None]
    volume_l: NotRequired[float | None]
    area_m2: NotRequired[float | None]
    loss_percent: NotRequired[float | None]
    volume_solids_percent: NotRequired[float | None]
    target_um: NotRequired[float | None]
    target_most_um: NotRequired[float | None]


def apply_coat(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    facts: CoatFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a coat with the climate it went on in; returns its entry's id.

    A correction keeps the climate of the coat it corrects. Raises FieldProblem on `reason` when none is given
    although the latest reading is absent, not met, older than four hours or of another product, although a coat under
    it asks for more time, or although the batch is past its date; on `number` when this zone has that coat already; on
    `product` and `batch` when other words are typed than those of the line chosen; StoreError when that is not on the
    list; StoreError and Superseded as `record_climate`.
    """
    state = open_session(session, piece, session_id, Coat, corrects)
    before = next((one for one in state.coats if one.entry.id in corrects), None)
    at = before.at if before else believed(writer.at, datetime.now(UTC))
    product, batch = _from_list(session, facts)
    facts = _with_words(facts, product, batch)
    names = [facts["product"] or "", *([product.said.name] if product else [])]
    surface_c = facts.get("recoat_surface_c")
    if surface_c is None and state.climate is not None:
        surface_c = state.climate.said.surface_c
    _refuse_catalyst(facts, product)
    told = _columns(facts, product, surface_c)
    held = for_coat(_as_then(state, before.said.climate_id) if before else state, names, at)
    _refuse_without_reason(
        state,
        facts,
        at,
        [
            *reasons.past_its_date(product, batch, at),
            *reasons.too_thin(facts.get("thinned_percent"), product),
            *reasons.too_late(state, facts["zone"], facts["number"], at),
            *([] if before else reasons.heading_down(state)),
            *reasons.climate(held.why_not),
        ],
        corrects,
    )
    gauge = [GaugeReading(position=place, wet_um=wet) for place, wet in enumerate(facts.get("gauge", ()))]
    body = Coat(
        session_id=session_id,
        climate_id=held.climate.entry.id if held.climate else None,
        climate_verdict=held.verdict,
        **told,
    )
    entry_id = entries.append(
        session,
        writer,
        kind="coat",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body, *gauge],
        photos=photos,
        corrects=corrects,
    ).id
    state = open_session(session, piece, session_id, Coat, corrects)  # see open_session: now nobody else can end it
    _refuse_twin(state, entry_id, body)
    _refuse_without_reason(state, facts, at, (), [entry_id])
    return entry_id


def _as_then(state: SessionState, climate_id: str | None) -> SessionState:
    """The session with only the reading that a coat went on under, as it stands now."""
    known = (*state.climates, *state.corrected)
    first = next((one.first.id for one in known if one.entry.id == climate_id), None)
    return replace(state, climates=tuple(one for one in state.climates if one.first.id == first))


def _from_list(session: Session, facts: CoatFacts) -> tuple[ProductNow | None, BatchNow | None]:
    """The product and the batch that a coat names by their ids."""
    product_id, batch_id = facts.get("product_id"), facts.get("batch_id")
    product = product_now(session, product_id) if product_id else None
    batch = batch_now(session, product_id, batch_id) if product_id and batch_id else None
    if bool(product_id) != bool(product) or bool(batch_id) != bool(batch):
        raise StoreError(_("That product or batch is not on the list. Choose again, or type its name."))
    return product, batch


def _with_words(facts: CoatFacts, product: ProductNow | None, batch: BatchNow | None) -> CoatFacts:
    """A coat with the words and hours of what was chosen, so that no later revision of the list changes it."""
    if product is None:
        return facts
    _refuse_other_words("product", facts["product"], (product.words, product.said.name))
    told: CoatFacts = {**facts, "product": product.words}
    if batch is not None:
        _refuse_other_words("batch", facts["batch"], (batch.said.number,))
        told["batch"] = batch.said.number
    return told


def _columns(facts: CoatFacts, product: ProductNow | None, surface_c: float | None) -> dict[str, Any]:
    """A coat's columns: what was typed, the sheet's times at the surface's temperature, what the film comes to.

    Raises TradeError for figures that cannot be.
    """
    said: dict[str, Any] = {name: value for name, value in facts.items() if name != "gauge"}
    gauge = list(facts.get("gauge", ()))
    if said["wet_um"] is None and gauge:
        said["wet_um"] = sum(gauge) / len(gauge)
    if said["recoat_hours"] is None:
        said["recoat_hours"] = time_of(product, RECOAT, surface_c).hours
    if product is not None and product.times:
        said["recoat_surface_c"] = surface_c
    said["recoat_latest_hours"] = time_of(product, RECOAT_LATEST, surface_c).hours
    said["handling_hours"] = time_of(product, HANDLING, surface_c).hours
    return said | film.work_out(
        facts | {"gauge": gauge or ([said["wet_um"]] if said["wet_um"] else [])}, product.said if product else None
    )


def _refuse_catalyst(facts: CoatFacts, product: ProductNow | None) -> None:
    """Catalyst outside what the sheet allows, or outside 1 to 4 % where it says nothing, is never a coat."""
    percent = facts.get("mixed_catalyst_percent")
    if percent is None:
        return
    said = product.said if product else None
    least = said.catalyst_least_percent if said and said.catalyst_least_percent is not None else LEAST_CATALYST_PERCENT
    most = said.catalyst_most_percent if said and said.catalyst_most_percent is not None else MOST_CATALYST_PERCENT
    if not least <= percent <= most:
        words = _(
            "Catalyst: %(percent)s %% is not taken. The data sheet allows %(least)s to %(most)s %% by mass.",
            percent=written(percent),
            least=written(least),
            most=written(most),
        )
        raise FieldProblem("mixed_catalyst_percent", words)


def _refuse_other_words(name: str, typed: str | None, chosen: Sequence[str]) -> None:
    if typed and not any(same(typed, words) for words in chosen):
        message = _(
            "“%(typed)s” is typed here, but “%(chosen)s” is chosen from the list. Keep one of them.",
            typed=typed,
            chosen=chosen[0],
        )
        raise FieldProblem(name, message)


def _refuse_without_reason(
    state: SessionState, facts: CoatFacts, at: datetime, problems: Sequence[str], apart: Sequence[str]
) -> None:
    """Refuse a coat with `problems`, or before the coats under it may be coated, unless it says why.

    Asked before the entry is written, so that everything is said at once, and again after: see `open_session`.
    """
    if facts["reason"] is not None:
        return
    told = [*reasons.too_early(wait_under(state, facts["zone"], facts["number"], apart), at), *problems]
    if told:
        raise FieldProblem("reason", _("Reason: %(problems)s", problems=" ".join(told)))


def _refuse_twin(state: SessionState, entry_id: str, coat: Coat) -> None:
    for other in state.coats:
        said = other.said
        if other.entry.id != entry_id and said.number == coat.number and same(said.zone, coat.zone):
            message = _(
                "Coat number: coat %(number)s of “%(zone)s” is recorded in this session already (%(product)s). "
                "Give the next number, or correct that one.",
                number=said.number,
                zone=said.zone,
                product=said.product,
            )
            raise FieldProblem("number", message)
