"""Coats applied: with the climate they went on in, and what was chosen from the workshop's list."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, NotRequired, TypedDict

from siteapp.finishing.models import Coat
from siteapp.finishing.names import same
from siteapp.finishing.products import PAST, batch_now, product_now
from siteapp.finishing.state import for_coat, wait_under
from siteapp.finishing.writing import open_session
from siteapp.pieces.writing import append
from siteapp.store.errors import StoreError
from siteapp.store.revisions import believed
from siteapp.web.dates import day_words
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.parts import when
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.products import BatchNow, ProductNow
    from siteapp.finishing.state import SessionState, Wait
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer


class CoatFacts(TypedDict):
    """A coat as typed: `number` from 1, `wet_um` the wet film in µm when it was measured.

    `recoat_hours` is how long the next one waits, in h from the data sheet, None when it is not known. `product_id`
    and `batch_id` name a product and a batch of the workshop's list; their words then stand for `product` and `batch`,
    which may be None, and the product's hours for `recoat_hours` when those are None.
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
    held = for_coat(_as_then(state, before.said.climate_id) if before else state, names, at)
    _refuse_without_reason(state, facts, at, [*_past(batch, at), *_climate_problem(held.why_not)], corrects)
    body = Coat(
        session_id=session_id,
        climate_id=held.climate.entry.id if held.climate else None,
        climate_verdict=held.verdict,
        **facts,
    )
    entry_id = append(session, writer, piece, "coat", body, photos=photos, corrects=corrects)
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
    if facts["recoat_hours"] is None:
        told["recoat_hours"] = product.said.recoat_hours
    if batch is not None:
        _refuse_other_words("batch", facts["batch"], (batch.said.number,))
        told["batch"] = batch.said.number
    return told


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
    told = [*_too_early(wait_under(state, facts["zone"], facts["number"], apart), at), *problems]
    if told:
        raise FieldProblem("reason", _("Reason: %(problems)s", problems=" ".join(told)))


def _too_early(wait: Wait | None, at: datetime) -> list[str]:
    if wait is None or at >= wait.until:
        return []
    words = _(
        "the next coat of “%(zone)s” not before %(until)s (%(hours)s h after %(at)s, by the data sheet as "
        "typed). Wait, or say why the coat goes on all the same.",
        zone=wait.zone,
        until=when(wait.until),
        hours=written(wait.hours),
        at=when(wait.coat.at),
    )
    return [words]


def _past(batch: BatchNow | None, at: datetime) -> list[str]:
    day = at.astimezone().date()
    if batch is None or batch.dated(day) != PAST:
        return []
    words = _(
        "batch %(number)s is past its date, %(day)s. Take another tin, or say why this one is used all the same.",
        number=batch.said.number,
        day=day_words(date.fromisoformat(batch.said.expires_on or "")),
    )
    return [words]


def _climate_problem(why_not: Sequence[str]) -> list[str]:
    if not why_not:
        return []
    return [_("%(why)s. Read the climate first, or say why the coat goes on all the same.", why="; ".join(why_not))]


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
