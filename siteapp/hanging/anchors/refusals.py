"""What is refused of anchors, by field and in words. For the services beside it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from siteapp.hanging.anchors.state import anchors_now, plain
from siteapp.web.i18n import _
from siteapp.web.parts import when
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.hanging.anchors.services import ProofFacts
    from siteapp.hanging.anchors.state import AnchorNow, Recorded
    from siteapp.pieces.services import PieceNow


def refuse_twin(told: Recorded, label: str) -> None:
    """Raise FieldProblem when more than one anchor of this label is recorded."""
    if sum(1 for one in told.sets if plain(one.said.label) == plain(label)) > 1:
        message = _(
            "Anchor: %(label)s is recorded already. Correct that one, or give this one a label of its own, such as "
            "%(other)s.",
            label=label.strip(),
            other=f"{label.partition('/')[0].strip()}/2",
        )
        raise FieldProblem("label", message)


def refuse_untestable(session: Session, piece: PieceNow, facts: ProofFacts) -> None:
    """Raise FieldProblem for a test of an anchor that is not recorded, was not set yet or had not cured.

    One that had not cured may be pulled where a note says why.
    """
    found = [one for one in anchors_now(session, piece) if plain(one.label) == plain(facts["label"]) and one.set]
    if not found or found[0].set is None:
        message = _(
            "Anchor: none is recorded at “%(label)s”. Record how it was set first, or tick that it was a test anchor.",
            label=facts["label"],
        )
        raise FieldProblem("label", message)
    made = found[0].set
    first = min([made.said.set_at, *(said.set_at for _entry, said in made.earlier)])
    if facts["tested_at"] < first:
        message = _("When: anchor %(label)s was set %(at)s, after that.", label=facts["label"], at=when(first))
        raise FieldProblem("tested_at", message)
    if is_early(found[0], facts["tested_at"]) and facts["note"] is None:
        raise FieldProblem("note", too_early(found))


def refuse_labels(now: Sequence[AnchorNow], named: Sequence[str]) -> None:
    """Raise FieldProblem when none is named, one twice, or one that is neither an anchor nor a hanging point."""
    if not named:
        raise FieldProblem("labels", _("Order: name at least one anchor, each on a line of its own."))
    known = {plain(one.label) for one in now}
    for at, label in enumerate(named):
        if plain(label) in {plain(each) for each in named[:at]}:
            raise FieldProblem("labels", _("Order: “%(label)s” is named twice.", label=label))
        if plain(label) not in known:
            there = ", ".join(one.label for one in now) or _("none yet")
            message = _("Order: there is no anchor “%(label)s”. Known are: %(known)s.", label=label, known=there)
            raise FieldProblem("labels", message)


def is_early(one: AnchorNow, at: datetime) -> bool:
    """Whether an anchor had not cured at a time after it was set."""
    return one.set is not None and one.earliest is not None and one.set.said.set_at <= at < one.earliest


def too_early(early: Sequence[AnchorNow]) -> str:
    """The message for anchors that were loaded before they had cured."""
    told = ", ".join(f"{one.label} {when(one.earliest)}" for one in early)
    return _(
        "Note: by the resin's sheet as typed the first time to load is: %(told)s. Wait, or write down why it was done "
        "all the same.",
        told=told,
    )


def refuse_no_day(field: str, text: str | None) -> None:
    """Raise FieldProblem for what is no day, ISO 8601."""
    try:
        date.fromisoformat(text or "2000-01-01")
    except ValueError:
        raise FieldProblem(field, _("“%(text)s” is no day. Give one such as 2026-11-25.", text=text)) from None


def field_of(message: str) -> str:
    """The form's field that a TradeError of this room is about, by the quantity that its message begins with."""
    known = {
        "curing table": "curing",
        "temperature of the wall": "wall_c",
        "drill": "drilled_mm",
        "embedment": "embedment_mm",
        "load asked for": "asked_kn",
        "load reached": "load_kn",
        "time held": "held_s",
        "movement allowed": "allowed_mm",
        "movement": "movement_mm",
    }
    return next((field for start, field in known.items() if message.startswith(start)), "note")
