"""What a round of readings comes to, as one faces the wall: a line a hole, how it hangs, the drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from siteapp.drawing.plan import FOUND, PlanArrow, PlanLine, PlanPoint, plan_svg
from siteapp.pieces.points.reading import places, plan_of, said_of
from siteapp.trade.survey import TapeReading
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.hanging.holes.state import HolesNow
    from siteapp.pieces.services import PieceNow
    from siteapp.trade.survey import Easing, OfferUp, Reading

# Less than this is not told as an offset: nobody sees it on a tape.
LEAST_TOLD_MM = 0.5
ARROW_SHARE = 0.12
MOST_TIMES = 50


@dataclass(frozen=True)
class HoleLine:
    """One hole as one faces the wall: where it is from where the piece wants it, and the room left in it."""

    label: str
    across_mm: float
    up_mm: float
    words: str
    room_mm: float | None


def hole_lines(piece: PieceNow, now: HolesNow) -> list[HoleLine]:
    """A line for each measured hole, in the order of the points."""
    if now.adjustment is None:
        return []
    offsets = _offsets(piece, now)
    slack = now.offered.slack_mm if now.offered else {}
    return [
        HoleLine(label, across, up, off_words(across, up), slack.get(label)) for label, (across, up) in offsets.items()
    ]


def off_words(across_mm: float, up_mm: float) -> str:
    """An offset as it is said at the wall: *3 mm left, 1 mm low*."""
    parts = []
    if abs(across_mm) >= LEAST_TOLD_MM:
        side = _("%(mm)s mm right") if across_mm > 0 else _("%(mm)s mm left")
        parts.append(side % {"mm": written(abs(across_mm), 0 if abs(across_mm) >= 1 else 1)})
    if abs(up_mm) >= LEAST_TOLD_MM:
        side = _("%(mm)s mm high") if up_mm > 0 else _("%(mm)s mm low")
        parts.append(side % {"mm": written(abs(up_mm), 0 if abs(up_mm) >= 1 else 1)})
    return ", ".join(parts) or _("where it should be")


def hang_words(piece: PieceNow, offered: OfferUp) -> str | None:
    """How it hangs once it has dropped until it bears; None where it does not go on."""
    if offered.seated_rotation_deg is None or offered.seated_drop_mm is None:
        return None
    drop = _("It drops %(mm)s mm until it bears.", mm=written(max(offered.seated_drop_mm, 0.0), 1))
    wide = piece.particulars.width_mm
    turned = offered.seated_rotation_deg
    if wide is None:
        return f"{drop} " + _("It then hangs %(deg)s° out of level.", deg=written(abs(turned), 2))
    lower = abs(math.tan(math.radians(turned))) * wide
    if lower < LEAST_TOLD_MM:
        return f"{drop} " + _("It then hangs level to half a millimetre over its width.")
    words = (
        _("It then hangs %(mm)s mm lower on the left over its width (%(deg)s°).")
        if turned > 0
        else _("It then hangs %(mm)s mm lower on the right over its width (%(deg)s°).")
    )
    return f"{drop} " + words % {"mm": written(lower, 1), "deg": written(abs(turned), 2)}


def ease_words(easing: Easing) -> str:
    """What would have to be eased: which hole, which way, how far."""
    words = _(
        "%(label)s: %(mm)s mm towards %(way)s (%(sure)s mm to be certain of it)",
        label=easing.label,
        mm=written(easing.by_mm, 1),
        sure=written(easing.sure_mm, 1),
        way=_way(easing.across_mm, easing.up_mm),
    )
    if easing.edge_left_mm is None:
        return words + _("; how much metal is then left to the plate's edge is not known")
    return words + _("; %(mm)s mm of metal left to the plate's edge", mm=written(easing.edge_left_mm, 1))


def picture(piece: PieceNow, now: HolesNow | None, asked: tuple[Reading, ...]) -> str:
    """The piece from the front, the tapes asked for, and the holes as found with their offsets drawn larger."""
    planned = places(piece)
    plan = plan_of(piece)
    suspects = {reading.key for reading in now.adjustment.suspects} if now and now.adjustment else set()
    lines = []
    for a, b in tapes(piece, asked):
        again = (min(a, b), max(a, b)) in suspects
        lines.append(PlanLine(*planned[a], *planned[b], _("read again") if again else "", hidden=not again))
    points, arrows = plan.points, []
    if now and now.adjustment:
        offsets = _offsets(piece, now)
        size = max(
            plan.width_mm or 0.0, *(math.dist(one, other) for one in planned.values() for other in planned.values())
        )
        most = max((math.hypot(*offset) for offset in offsets.values()), default=0.0)
        times = min(MOST_TIMES, max(1, math.floor(size * ARROW_SHARE / most))) if most >= LEAST_TOLD_MM else 1
        for label, (across, up) in offsets.items():
            x, y = planned[label]
            if math.hypot(across, up) >= LEAST_TOLD_MM:
                words = f"{written(math.hypot(across, up), 1)} mm"
                arrows.append(PlanArrow(x, y, across * times, up * times, words))
            else:
                points = (*points, PlanPoint("", x, y, None, kind=FOUND))
        if arrows:
            plan = replace(plan, seen=_("from the front, offsets × %(times)s", times=times))
    plan = replace(plan, lines=tuple(lines), points=points, arrows=tuple(arrows))
    told = " ".join(f"{line.label}: {line.words}." for line in hole_lines(piece, now)) if now else ""
    return plan_svg(plan, title=_("The holes as one faces the wall"), said=f"{said_of(plan_of(piece))} {told}".strip())


def tapes(piece: PieceNow, asked: tuple[Reading, ...]) -> list[tuple[str, str]]:
    """The pairs of points between which a tape is asked for, each once, in the order in which they are drawn."""
    planned = places(piece)
    pairs = [
        (reading.a, reading.b)
        for reading in asked
        if isinstance(reading, TapeReading) and reading.a in planned and reading.b in planned
    ]
    return list(dict.fromkeys(pairs))


def _offsets(piece: PieceNow, now: HolesNow) -> dict[str, tuple[float, float]]:
    """From where the piece at its best place wants each bolt to where it is, mm, in the piece's own directions."""
    planned = places(piece)
    if now.adjustment is None:
        return {}
    points = now.adjustment.points
    turn, shift = 0.0, None
    if now.offered is not None and now.offered.shift_x_mm is not None and now.offered.shift_y_mm is not None:
        turn = math.radians(now.offered.rotation_deg or 0.0)
        shift = (now.offered.shift_x_mm, now.offered.shift_y_mm)
    elif now.fit is not None:
        turn, shift = math.radians(now.fit.rotation_deg), (now.fit.shift_x_mm, now.fit.shift_y_mm)
    if shift is None:
        return {}
    cos, sin = math.cos(turn), math.sin(turn)
    found = {}
    for label, (x, y) in planned.items():
        if label in points:
            back_x, back_y = points[label][0] - shift[0], points[label][1] - shift[1]
            found[label] = (cos * back_x + sin * back_y - x, cos * back_y - sin * back_x - y)
    return found


def _way(across_mm: float, up_mm: float) -> str:
    size = max(math.hypot(across_mm, up_mm), 1e-9)
    parts = []
    if abs(up_mm) > size / 3:
        parts.append(_("the top") if up_mm > 0 else _("the bottom"))
    if abs(across_mm) > size / 3:
        parts.append(_("the right") if across_mm > 0 else _("the left"))
    return _(" and ").join(parts)
