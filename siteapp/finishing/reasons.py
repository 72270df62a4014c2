"""What a coat needs a reason for: each gives sentences, none where nothing stands against it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from siteapp.finishing import heading
from siteapp.finishing.names import same
from siteapp.finishing.products import keeps_until
from siteapp.trade.verdicts import NOT_MET
from siteapp.web.dates import day_words
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.parts import when

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from siteapp.finishing.products import BatchNow, ProductNow
    from siteapp.finishing.state import SessionState, Wait


def too_early(wait: Wait | None, at: datetime) -> list[str]:
    """The coat under this one may not be coated yet."""
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


def too_late(state: SessionState, zone: str, number: int, at: datetime) -> list[str]:
    """The coat under this one has set too hard for the next to hold without abrading, by its data sheet."""
    under = [one for one in state.coats if same(one.said.zone, zone) and one.said.number < number]
    last = max(under, key=lambda one: one.said.number, default=None)
    if last is None or last.said.recoat_latest_hours is None:
        return []
    until = last.at + timedelta(hours=last.said.recoat_latest_hours)
    if at <= until:
        return []
    return [
        _(
            "the next coat of “%(zone)s” at latest %(until)s: abrade it first, and say so.",
            zone=zone,
            until=when(until),
        )
    ]


def past_its_date(product: ProductNow | None, batch: BatchNow | None, at: datetime) -> list[str]:
    """The tin is past its date, by what it or its data sheet says."""
    day = at.astimezone().date()
    if product is None or batch is None:
        return []
    until, why = keeps_until(product, batch)
    if until is None or day <= until:
        return []
    words = _(
        "batch %(number)s is past its date, %(day)s. Take another tin, or say why this one is used all the same.",
        number=batch.said.number,
        day=f"{day_words(until)} ({why})",
    )
    return [words]


def too_thin(share: float | None, product: ProductNow | None) -> list[str]:
    """More thinner than the data sheet allows."""
    most = product.said.thinned_most_percent if product else None
    if most is None or share is None or share <= most:
        return []
    return [_("thinned by %(share)s %%; the data sheet allows %(most)s %%.", share=written(share), most=written(most))]


def climate(why_not: Sequence[str]) -> list[str]:
    """The latest climate reading does not let a coat go on."""
    if not why_not:
        return []
    return [_("%(why)s. Read the climate first, or say why the coat goes on all the same.", why="; ".join(why_not))]


def heading_down(state: SessionState) -> list[str]:
    """A margin that falls towards its limit while the coat is wet: an estimate, which may stop a coat."""
    found = heading.trend(state)
    return [f"{found.reason}."] if found.verdict == NOT_MET else []
