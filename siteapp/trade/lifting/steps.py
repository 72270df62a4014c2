"""One step of getting a piece up: who lifts, who guides, on what they stand, what bears the weight instead of arms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from siteapp.trade.errors import in_range, one_of, whole_in_range
from siteapp.trade.lifting.figures import HEAVIEST_KG, REACHES, ZONES, Reach, Zone

Kind = Literal["unload", "carry", "raise", "hold", "seat"]
Standing = Literal["floor", "platform", "stairs", "ladder"]
Aid = Literal["hoist", "trolley", "prop"]

KINDS: tuple[Kind, ...] = ("unload", "carry", "raise", "hold", "seat")
STANDINGS: tuple[Standing, ...] = ("floor", "platform", "stairs", "ladder")
# What an aid can carry instead of arms. A work platform carries people, not the piece.
CARRIES: dict[Aid, tuple[Kind, ...]] = {
    "hoist": ("unload", "raise", "hold", "seat"),
    "trolley": ("unload", "carry"),
    "prop": ("hold", "seat"),
}
MOST_PEOPLE = 20
LONGEST_M = 1_000.0


@dataclass(frozen=True)
class LiftStep:
    """One step of getting it up; None for what nobody has said.

    `lifting` people carry it (0…20), `guiding` people say where it goes and carry nothing. `zones` are all those the
    hands pass through, `reach` the furthest from the body. On stairs `lower` of those lifting are below. A carry is
    `carry_m` long without a rest (0…1000 m). An `aid` bears the weight instead of arms, up to `aid_rated_kg` on its
    plate. `in_crate`: the crate's gross weight counts, not the piece's. Raises TradeError for what cannot be.
    """

    kind: Kind
    lifting: int | None = None
    guiding: int | None = None
    zones: tuple[Zone, ...] = ()
    reach: Reach | None = None
    standing: Standing | None = None
    lower: int | None = None
    carry_m: float | None = None
    aid: Aid | None = None
    aid_rated_kg: float | None = None
    in_crate: bool = False

    def __post_init__(self) -> None:
        one_of("step", self.kind, KINDS)
        for zone in self.zones:
            one_of("zone", zone, ZONES)
        for what, said, allowed in (
            ("reach", self.reach, REACHES),
            ("standing on", self.standing, STANDINGS),
            (f"aid to {self.kind}", self.aid, tuple(aid for aid, kinds in CARRIES.items() if self.kind in kinds)),
        ):
            if said is not None:
                one_of(what, said, allowed)
        for what, people in (("people lifting", self.lifting), ("people guiding", self.guiding)):
            if people is not None:
                whole_in_range(what, people, 0, MOST_PEOPLE, "people")
        if self.lower is not None:
            most = MOST_PEOPLE if self.lifting is None else self.lifting
            whole_in_range("people below on the stairs", self.lower, 0, most, "people")
        if self.carry_m is not None:
            in_range("carry without a rest", self.carry_m, 0, LONGEST_M, "m")
        if self.aid_rated_kg is not None:
            in_range("load on the aid's plate", self.aid_rated_kg, 0, HEAVIEST_KG, "kg", above_low=True)
