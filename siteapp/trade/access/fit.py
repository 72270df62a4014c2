"""One way up of a crate at one step of its way: whether it passes, how, with how much to spare."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from siteapp.trade.access.passing import longest_pole_mm, round_corner, stand_up, through_opening
from siteapp.trade.access.steps import WAYS, Box, Corner, Lift, Opening, Slope, Stairs, Stand
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.access.steps import Step, Way
    from siteapp.trade.verdicts import Verdict

# As lifts are rated: EN 81-20, from memory.
RIDER_KG = 75.0
STANDARD_GRAVITY = 9.80665  # m/s², CGPM 1901
# 1 in 12: the steepest that building guidance gives for ramps, from memory; as a limit for carrying it is ours.
GENTLE_DEG = math.degrees(math.atan(1 / 12))
# The steepest private stair of building guidance, from memory: it takes most of the headroom.
PITCH_DEG = 42.0

STAIRS_SOURCE = (
    "landings: the corner's rule for a quarter turn; for a half turn the corner between flight and landing, and no "
    "longer than two flights are wide; these are enough to pass, not needed (derived)"
)
LIFT_SOURCE = (
    "lifts: car and door by their sizes; the plate against the gross weight and 75 kg a person (EN 81-20, from memory)"
)
NOT_LEANT = "only if it may be leant, which is not worked out here"
MISSING = "a size is missing"
TOLD = "its sizes were told, not measured"


@dataclass(frozen=True)
class Fit:
    """What comes of a step, and the size that stands upright after it. `spare_*` negative: what is short."""

    verdict: Verdict
    how: str
    way_out: Way
    spare_mm: float | None = None
    spare_kg: float | None = None


@dataclass(frozen=True)
class _Seen:
    """The crate as it travels, grown by the room for hands: upright, and the longer and shorter side on plan, in mm."""

    way: Way
    up: float | None
    long: float | None
    short: float | None
    tilt: bool | None

    def sides(self) -> tuple[float, float, float] | None:
        if self.up is None or self.long is None or self.short is None:
            return None
        return self.up, self.long, self.short

    def fit(self, verdict: Verdict, how: str, spare_mm: float | None = None, spare_kg: float | None = None) -> Fit:
        return Fit(verdict, how, self.way, spare_mm, spare_kg)


def fits(box: Box, way: Way, step: Step, room_mm: float) -> list[Fit]:
    """Every way out of a step for a crate that comes to it with the size `way` upright; at least one.

    Sizes that were told, not measured, may stop it and let it on nowhere.
    """
    found = (
        _stood(step, box, way, room_mm) if isinstance(step, Stand) else [_passed(step, _seen(box, way, room_mm), box)]
    )
    if step.measured:
        return found
    return [replace(fit, verdict=CANNOT_TELL, how=f"{fit.how}; {TOLD}") if fit.verdict == MET else fit for fit in found]


def _seen(box: Box, way: Way, room_mm: float) -> _Seen:
    sizes = _sizes(box)
    plan = sorted((size for name, size in sizes.items() if name != way and size is not None), reverse=True)
    room = 2 * room_mm
    up = sizes[way]
    known = len(plan) == len(WAYS) - 1
    long, short = (plan[0] + room, plan[1] + room) if known else (None, None)
    return _Seen(way, None if up is None else up + room, long, short, box.may_tilt)


def _passed(step: Opening | Corner | Stairs | Lift | Slope, seen: _Seen, box: Box) -> Fit:
    match step:
        case Opening():
            return _opening(step, seen)
        case Corner():
            return _corner(step, seen)
        case Stairs():
            return _stairs(step, seen)
        case Lift():
            return _lift(step, seen, box)
        case Slope():
            return _slope(step, seen, box)


def _opening(step: Opening, seen: _Seen) -> Fit:
    sides = seen.sides()
    if sides is None or step.width_mm is None or step.height_mm is None:
        return seen.fit(CANNOT_TELL, MISSING)
    up, long, short = sides
    spare = min(step.width_mm - short, step.height_mm - up)
    if spare >= 0:
        return seen.fit(MET, "straight", spare)
    opening = (step.width_mm, step.height_mm)
    tilted = through_opening((short, up), opening, room_mm=0)
    if seen.tilt is False:
        return seen.fit(NOT_MET, "not straight, and it may not be tilted", spare)
    if tilted.verdict == MET:
        if seen.tilt:
            return seen.fit(MET, tilted.how, tilted.spare_mm)
        return seen.fit(CANNOT_TELL, f"{tilted.how}, if it may be leant, which nobody said", spare)
    if any(through_opening(face, opening, room_mm=0).verdict == MET for face in ((short, long), (up, long))):
        return seen.fit(CANNOT_TELL, NOT_LEANT, spare)
    return seen.fit(NOT_MET, tilted.how, tilted.spare_mm)


def _corner(step: Corner, seen: _Seen) -> Fit:
    sides = seen.sides()
    if sides is None or step.from_mm is None or step.into_mm is None or step.height_mm is None:
        return seen.fit(CANNOT_TELL, MISSING)
    up, long, short = sides
    turned = round_corner(long, short, step.from_mm, step.into_mm, room_mm=0)
    headroom = step.height_mm - up
    spare = min(headroom, turned.spare_mm or 0.0)
    if spare >= 0:
        return seen.fit(MET, turned.how, spare)
    how = turned.how if turned.verdict == NOT_MET else "too tall for the height there"
    if seen.tilt is not False:
        # Tipped up, its longest edge goes no further than a pole does, and no way on is narrower than its least side.
        pole = longest_pole_mm(step.from_mm, step.into_mm, step.height_mm)
        if max(sides) <= pole and min(sides) <= min(step.from_mm, step.into_mm, step.height_mm):
            return seen.fit(CANNOT_TELL, f"{how}; {NOT_LEANT}", spare)
    return seen.fit(NOT_MET, how, spare)


def _stood(step: Stand, box: Box, way: Way, room_mm: float) -> list[Fit]:
    """Left as it is, or turned over an edge until another permitted size stands upright."""
    targets = (step.to,) if step.to else WAYS
    found = [_turned(step, box, (way, to), room_mm) for to in targets if to in (box.ways_up or WAYS)]
    return found or [Fit(NOT_MET, f"it may not travel with its {step.to} upright", way)]


def _turned(step: Stand, box: Box, between: tuple[Way, Way], room_mm: float) -> Fit:
    sizes, (way, to) = _sizes(box), between
    if way == to:
        up = sizes[way]
        if up is None or step.ceiling_mm is None:
            return Fit(CANNOT_TELL, MISSING, to)
        spare = step.ceiling_mm - up - 2 * room_mm
        return Fit(MET if spare >= 0 else NOT_MET, "left as it is", to, spare)
    stood = stand_up(sizes[way], sizes[to], step.ceiling_mm, room_mm=room_mm)
    if box.may_tilt is False:
        return Fit(NOT_MET, "it may not be tilted, so it cannot be turned over", to)
    how = f"turned over until its {to} is upright" if stood.verdict == MET else stood.how
    if box.may_tilt is None and stood.verdict == MET:
        return Fit(CANNOT_TELL, f"{how}, if it may be tilted, which nobody said", to, stood.spare_mm)
    return Fit(stood.verdict, how, to, stood.spare_mm)


def _stairs(step: Stairs, seen: _Seen) -> Fit:
    sides = seen.sides()
    if sides is None or step.flight_mm is None or step.headroom_mm is None:
        return seen.fit(CANNOT_TELL, MISSING)
    up, long, short = sides
    # A slab of the crate's height on the stair's pitch takes more than its height of the headroom, straight up.
    across, above = step.flight_mm - short, step.headroom_mm - up / math.cos(math.radians(PITCH_DEG))
    narrowest = min(sides) if seen.tilt is not False else short
    lowest = min(sides) if seen.tilt is not False else min(up, long)
    if narrowest > step.flight_mm or lowest > step.headroom_mm:
        return seen.fit(NOT_MET, "wider or taller than the flight", min(across, step.headroom_mm - up))
    landing = _landing(step, seen, long, short)
    if landing.verdict != MET or min(across, above) >= 0:
        return landing
    return seen.fit(CANNOT_TELL, "may be too wide or too tall on the pitch of the flight", min(across, above))


def _landing(step: Stairs, seen: _Seen, long: float, short: float) -> Fit:
    """The turn of the landing, by a rule that is enough and not needed: beyond it nobody can tell."""
    flight = step.flight_mm or 0.0
    if step.turn == "none":
        return seen.fit(MET, "straight up the flight", flight - short)
    beyond = step.next_mm if step.turn == "quarter" else step.landing_mm
    if step.turn is None or beyond is None:
        return seen.fit(CANNOT_TELL, MISSING if step.turn else "how the landing turns is not said")
    turned = round_corner(long, short, flight, beyond, room_mm=0)
    longest = turned.longest_mm or 0.0
    if step.turn == "half":
        longest = min(longest, 2 * flight)
    if long <= longest:
        return seen.fit(MET, "level round the landing", longest - long)
    return seen.fit(
        CANNOT_TELL, "longer than surely goes round the landing: it may pass lifted or stood up", longest - long
    )


def _lift(step: Lift, seen: _Seen, box: Box) -> Fit:
    """The lift's load first: it stops whatever the sizes say."""
    spare_kg = None
    if step.rated_kg is not None and box.gross_kg is not None:
        spare_kg = step.rated_kg - box.gross_kg - RIDER_KG * (step.riders or 0)
        if spare_kg < 0:
            return seen.fit(NOT_MET, "heavier than the lift's plate allows", None, spare_kg)
    fit = replace(_car(step, seen), spare_kg=spare_kg)
    if fit.verdict != MET:
        return fit
    if spare_kg is None or step.riders is None:
        return replace(
            fit, verdict=CANNOT_TELL, how="weight of the crate, load on the plate or who rides with it is missing"
        )
    if not box.weighed:
        return replace(fit, verdict=CANNOT_TELL, how="the crate is not weighed; an estimate lets nothing go on")
    return fit


def _car(step: Lift, seen: _Seen) -> Fit:
    """Into the car, lengthways in or sideways in; *not met* only when no rectangle of its size lies in the car."""
    sides = seen.sides()
    car = (step.width_mm, step.depth_mm, step.height_mm)
    door = (step.door_width_mm, step.door_height_mm)
    if sides is None or None in (*car, *door):
        return seen.fit(CANNOT_TELL, MISSING)
    up, long, short = sides
    wide, deep, high = (float(size or 0) for size in car)
    door_wide, door_high = (float(size or 0) for size in door)
    top = min(high, door_high) - up
    lengthways = min(min(wide, door_wide) - short, deep - long, top)
    sideways = min(min(wide, door_wide) - long, deep - short, top)
    spare = max(lengthways, sideways)
    if spare >= 0:
        return seen.fit(MET, "lengthways into the car" if lengthways >= sideways else "sideways into the car", spare)
    if _may_lie_in(seen, sides, (wide, deep, high)):
        return seen.fit(CANNOT_TELL, "not square into the car; askew or leant is not worked out here", spare)
    return seen.fit(NOT_MET, "larger than the car", spare)


def _may_lie_in(seen: _Seen, sides: tuple[float, float, float], car: tuple[float, float, float]) -> bool:
    """Whether nothing known forbids it: askew on plan, or, where it may be tilted, leant in any way."""
    up, long, short = sides
    if seen.tilt is not False:
        return max(sides) <= math.hypot(*car) and min(sides) <= min(car)
    return up <= car[2] and through_opening((long, short), car[:2], room_mm=0).verdict == MET


def _slope(step: Slope, seen: _Seen, box: Box) -> Fit:
    sides = seen.sides()
    if sides is None or step.width_mm is None or step.angle_deg is None:
        return seen.fit(CANNOT_TELL, MISSING if step.angle_deg is not None else "how steep it is, is not known")
    spare = step.width_mm - sides[2]
    if spare < 0:
        if seen.tilt is not False and min(sides) <= step.width_mm:
            return seen.fit(CANNOT_TELL, NOT_LEANT, spare)
        return seen.fit(NOT_MET, "wider than the way", spare)
    if step.angle_deg > GENTLE_DEG:
        return seen.fit(
            CANNOT_TELL, f"steeper than 1 in 12{_pull(step, box)}: somebody competent says what holds it", spare
        )
    return seen.fit(MET, f"up or down the slope{_pull(step, box)}", spare)


def _pull(step: Slope, box: Box) -> str:
    """What runs down the slope, m·g·sin of its angle, in words."""
    if box.gross_kg is None or step.angle_deg is None:
        return ""
    pull_n = box.gross_kg * STANDARD_GRAVITY * math.sin(math.radians(step.angle_deg))
    return f", {pull_n:.0f} N of it pulling downhill"


def _sizes(box: Box) -> dict[Way, float | None]:
    return {"height": box.height_mm, "width": box.width_mm, "depth": box.depth_mm}
