"""Colour and sheen: differences to the agreed sample and between zones, and what a screen can show of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from statistics import mean, median
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range
from siteapp.trade.findings import Findings

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.trade.verdicts import Verdict

LIGHTEST, WIDEST = 100.0, 128.0
MOST_TOLERANCE = 20.0
MOST_GLOSS = 2000.0  # a mirror at 20° reads near 2000
FEWEST = 3  # readings a zone, so that one that is off can be told from the others (ours)
ODD_LEAST, ODD_TIMES = 1.0, 3.0  # ΔE2000, and times the usual distance of the others (ours)
ANGLES = (20, 60, 85)
ILLUMINANTS = ("D65", "D50", "A", "C", "F2", "F11", "LED-B3")
OBSERVERS = ("2°", "10°")

SOURCE = (
    "ΔE2000 (ISO/CIE 11664-6; Sharma, Wu & Dalal 2005) with kL = kC = kH = 1; a zone is met when its worst reading "
    "lies "
    "within the tolerance"
)
ASSUMPTIONS = (
    "one instrument, one illuminant, one observer, for the sample as for the piece",
    "the surface is dry and clean, and each reading is of another spot",
    "the tolerance is the one agreed for this job; the eye of the client decides in the end",
)
GLOSS_SOURCE = "gloss units at one angle (ISO 2813)"
GLOSS_ASSUMPTIONS = ("the same angle for the sample as for the piece", "the surface is flat where it is read")
SCREEN = "a screen shows colours for D65 and the 2° observer, and each screen another way: a patch is no evidence"

# IEC 61966-2-1, linear light to XYZ of D65; the white that Lab is taken against is the one of this very matrix.
TO_XYZ = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
TO_RGB = ((3.2406255, -1.5372080, -0.4986286), (-0.9689307, 1.8757561, 0.0415175), (0.0557101, -0.2040211, 1.0569959))
WHITE = (0.9505, 1.0, 1.0890)
EPSILON, KAPPA = 216 / 24389, 24389 / 27  # CIE 15:2004, the exact ratios
IN_GAMUT = 1e-4


@dataclass(frozen=True)
class Lab:
    """A colour in CIE L*a*b*: `l` 0…100, `a` and `b` −128…128. Raises TradeError outside."""

    l: float  # noqa: E741 - CIE 1976 calls it so
    a: float
    b: float

    def __post_init__(self) -> None:
        in_range("L*", self.l, 0, LIGHTEST, "")
        in_range("a*", self.a, -WIDEST, WIDEST, "")
        in_range("b*", self.b, -WIDEST, WIDEST, "")


@dataclass(frozen=True)
class Srgb:
    """A colour for a screen, 0…255 each; `out_of_gamut` when it was clipped because no screen of sRGB has it."""

    r: int
    g: int
    b: int
    out_of_gamut: bool

    @property
    def hex(self) -> str:
        """As styles and drawings write it."""
        return f"#{self.r:02x}{self.g:02x}{self.b:02x}"


@dataclass(frozen=True)
class Reading:
    """One reading with what it was read by; None where that was not said."""

    lab: Lab
    instrument: str | None = None
    illuminant: str | None = None
    observer: str | None = None
    label: str = ""

    @property
    def by(self) -> tuple[str | None, str | None, str | None]:
        """Instrument, illuminant, observer."""
        return self.instrument, self.illuminant, self.observer


@dataclass(frozen=True)
class Match:
    """Readings of one zone against the sample, in ΔE2000.

    `delta_e` is of their mean, `worst` of the reading furthest off, `spread` the furthest of one from the mean;
    `odd_one_out` the label of one that lies apart from all others.
    """

    mean: Lab | None
    spread: float | None
    delta_e: float | None
    worst: float | None
    verdict: Verdict
    odd_one_out: str | None
    reasons: tuple[str, ...]
    each: tuple[tuple[str, float], ...]
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE


@dataclass(frozen=True)
class ZonePair:
    """The difference of two zones' means, in ΔE2000."""

    zone: str
    other: str
    delta_e: float | None
    verdict: Verdict
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class GlossMatch:
    """Sheen of one zone against the sample's, in gloss units."""

    mean: float | None
    difference: float | None
    worst: float | None
    verdict: Verdict
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...] = GLOSS_ASSUMPTIONS
    source: str = GLOSS_SOURCE


def delta_e_76(reference: Lab, reading: Lab) -> float:
    """The plain distance of two colours in L*a*b* (ISO/CIE 11664-4)."""
    return math.dist((reference.l, reference.a, reference.b), (reading.l, reading.a, reading.b))


def delta_e_2000(reference: Lab, reading: Lab, kl: float = 1, kc: float = 1, kh: float = 1) -> float:
    """The difference of two colours by CIEDE2000 (ISO/CIE 11664-6; Sharma, Wu & Dalal, Color Res. Appl. 30, 2005, 21).

    `kl`, `kc`, `kh` (0.1…10) are 1 in the standard's reference conditions: D65, 1000 lx, grey ground, differences
    under 5. Raises TradeError outside the range.
    """
    for name, factor in (("kl", kl), ("kc", kc), ("kh", kh)):
        in_range(name, factor, 0.1, 10, "")
    chroma = (math.hypot(reference.a, reference.b) + math.hypot(reading.a, reading.b)) / 2
    stretch = 1.5 - 0.5 * math.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    c1, h1 = _polar(reference.a * stretch, reference.b)
    c2, h2 = _polar(reading.a * stretch, reading.b)
    hue = _turn(c1, h1, c2, h2)
    mean_h = _mean_hue(c1, h1, c2, h2)
    mean_l, mean_c = (reference.l + reading.l) / 2, (c1 + c2) / 2
    dl = (reading.l - reference.l) / kl / (1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2))
    dc = (c2 - c1) / kc / (1 + 0.045 * mean_c)
    weight = (
        1
        - 0.17 * math.cos(math.radians(mean_h - 30))
        + 0.24 * math.cos(math.radians(2 * mean_h))
        + 0.32 * math.cos(math.radians(3 * mean_h + 6))
        - 0.20 * math.cos(math.radians(4 * mean_h - 63))
    )
    dh = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(hue / 2)) / kh / (1 + 0.015 * mean_c * weight)
    around_blue = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))
    turned = -2 * math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7)) * math.sin(math.radians(2 * around_blue))
    return math.sqrt(max(0.0, dl**2 + dc**2 + dh**2 + turned * dc * dh))


def srgb_to_lab(r: float, g: float, b: float) -> Lab:
    """A screen's colour, 0…255 each, in L*a*b* (IEC 61966-2-1, D65, 2°). Raises TradeError outside the range."""
    linear = [_linear(in_range(name, value, 0, 255, "") / 255) for name, value in (("R", r), ("G", g), ("B", b))]
    x, y, z = (sum(share * light for share, light in zip(row, linear, strict=True)) for row in TO_XYZ)
    fx, fy, fz = (_cube(part / white) for part, white in zip((x, y, z), WHITE, strict=True))
    return Lab(min(LIGHTEST, max(0.0, 116 * fy - 16)), 500 * (fx - fy), 200 * (fy - fz))


def lab_to_srgb(lab: Lab) -> Srgb:
    """The nearest a screen of sRGB comes by clipping each part, and whether it had to be clipped."""
    fy = (lab.l + 16) / 116
    parts = (fy + lab.a / 500, fy, fy - lab.b / 200)
    xyz = [_uncube(part) * white for part, white in zip(parts, WHITE, strict=True)]
    linear = [sum(share * part for share, part in zip(row, xyz, strict=True)) for row in TO_RGB]
    out = any(not -IN_GAMUT <= light <= 1 + IN_GAMUT for light in linear)
    r, g, b = (round(255 * _gamma(min(1.0, max(0.0, light)))) for light in linear)
    return Srgb(r, g, b, out)


def match(reference: Reading | None, readings: Sequence[Reading], tolerance: float | None) -> Match:
    """Hold the readings of one zone against the sample, within `tolerance` (ΔE2000, above 0 to 20).

    *Not met* when the worst of them is further off. *Met* only with three or more, all within it, one instrument,
    illuminant and observer for all and for the sample. Otherwise *cannot tell*. The odd one is named where the others
    agree, and still counts: it is to be read again. Source: SOURCE. Assumes ASSUMPTIONS. Raises TradeError outside
    the range.
    """
    findings = Findings()
    if tolerance is None:
        findings.cannot_tell("no tolerance is agreed")
    else:
        in_range("tolerance", tolerance, 0, MOST_TOLERANCE, "ΔE2000", above_low=True)
    middle = _mean(readings)
    odd = _odd(readings)
    spread = max((delta_e_2000(middle, one.lab) for one in readings), default=None) if middle else None
    _same_eyes(findings, [*([reference] if reference else []), *readings])
    if reference is None:
        findings.cannot_tell("the sample was not measured")
    if len(readings) < FEWEST:
        findings.cannot_tell(f"{len(readings)} of at least {FEWEST} readings: how far they scatter is not known")
    if odd is not None:
        findings.cannot_tell(f"reading {odd} lies apart from the others: read it again")
    each = tuple((one.label, delta_e_2000(reference.lab, one.lab)) for one in readings) if reference else ()
    worst = max((value for _label, value in each), default=None)
    mixed = _mixed([*([reference] if reference else []), *readings])
    if worst is not None and tolerance is not None and worst > tolerance and not mixed:
        findings.not_met(f"the worst reading is {worst:.2f} off; {tolerance:g} is agreed")
    off = delta_e_2000(reference.lab, middle) if reference and middle else None
    return Match(middle, spread, off, worst, findings.verdict, odd, tuple(findings.reasons), each)


def between_zones(by_zone: Mapping[str, Sequence[Reading]], tolerance: float | None) -> tuple[ZonePair, ...]:
    """The difference of each pair of zones that was read, by their means; fewer than three readings cannot tell."""
    told: list[ZonePair] = []
    for (zone, one), (other, two) in combinations(by_zone.items(), 2):
        findings = Findings()
        first, second = _mean(one), _mean(two)
        _same_eyes(findings, [*one, *two])
        if tolerance is None:
            findings.cannot_tell("no tolerance is agreed")
        if min(len(one), len(two)) < FEWEST:
            findings.cannot_tell(f"fewer than {FEWEST} readings in a zone")
        off = delta_e_2000(first, second) if first and second else None
        if off is not None and tolerance is not None and off > tolerance and not _mixed([*one, *two]):
            findings.not_met(f"{off:.2f} apart; {tolerance:g} is agreed")
        told.append(ZonePair(zone, other, off, findings.verdict, tuple(findings.reasons)))
    return tuple(told)


def gloss_match(
    reference: tuple[float, int] | None, readings: Sequence[tuple[float, int]], tolerance: float | None
) -> GlossMatch:
    """Hold sheen against the sample's: (gloss units 0…2000, angle 20, 60 or 85°), within `tolerance` in gloss units.

    Rules as for `match`; another angle is *cannot tell*. Source: GLOSS_SOURCE. Raises TradeError outside the ranges.
    """
    findings = Findings()
    for units, _angle in (*([reference] if reference else ()), *readings):
        in_range("gloss", units, 0, MOST_GLOSS, "gloss units")
    if tolerance is None:
        findings.cannot_tell("no tolerance of sheen is agreed")
    else:
        in_range("tolerance of sheen", tolerance, 0, MOST_GLOSS, "gloss units", above_low=True)
    if reference is None:
        findings.cannot_tell("the sheen of the sample was not measured")
    if len(readings) < FEWEST:
        findings.cannot_tell(f"{len(readings)} of at least {FEWEST} readings of sheen")
    angles = {angle for _units, angle in (*([reference] if reference else ()), *readings)}
    if len(angles) > 1:
        findings.cannot_tell("sheen was read at different angles, which nothing converts")
        return GlossMatch(None, None, None, findings.verdict, tuple(findings.reasons))
    middle = mean(units for units, _angle in readings) if readings else None
    worst = max((abs(units - reference[0]) for units, _angle in readings), default=None) if reference else None
    if worst is not None and tolerance is not None and worst > tolerance:
        findings.not_met(f"the worst reading is {worst:.1f} gloss units off; {tolerance:g} are agreed")
    off = middle - reference[0] if reference and middle is not None else None
    return GlossMatch(middle, off, worst, findings.verdict, tuple(findings.reasons))


def better_angle(units_at_60: float) -> int:
    """The angle that ISO 2813 asks for by the reading at 60°: above 70 units 20°, below 10 units 85°, else 60°."""
    units = in_range("gloss at 60°", units_at_60, 0, MOST_GLOSS, "gloss units")
    if units > 70:  # noqa: PLR2004 - the standard's own figures
        return 20
    return 85 if units < 10 else 60  # noqa: PLR2004


def _polar(a: float, b: float) -> tuple[float, float]:
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _turn(c1: float, h1: float, c2: float, h2: float) -> float:
    if c1 * c2 == 0:
        return 0.0
    turn = h2 - h1
    if abs(turn) <= 180:  # noqa: PLR2004 - half a turn
        return turn
    return turn - 360 if turn > 0 else turn + 360


def _mean_hue(c1: float, h1: float, c2: float, h2: float) -> float:
    if c1 * c2 == 0:
        return h1 + h2
    middle = (h1 + h2) / 2
    if abs(h1 - h2) <= 180:  # noqa: PLR2004
        return middle
    return middle + 180 if h1 + h2 < 360 else middle - 180  # noqa: PLR2004


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4  # noqa: PLR2004 - IEC 61966-2-1


def _gamma(light: float) -> float:
    return 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055  # noqa: PLR2004


def _cube(part: float) -> float:
    return math.cbrt(part) if part > EPSILON else (KAPPA * part + 16) / 116


def _uncube(part: float) -> float:
    return part**3 if part**3 > EPSILON else (116 * part - 16) / KAPPA


def _mean(readings: Sequence[Reading]) -> Lab | None:
    if not readings:
        return None
    return Lab(*(mean(getattr(one.lab, axis) for one in readings) for axis in "lab"))


def _odd(readings: Sequence[Reading]) -> str | None:
    """The reading that lies apart while three or more others agree among themselves (ours)."""
    apart = []
    for at, one in enumerate(readings):
        others = [other.lab for place, other in enumerate(readings) if place != at]
        if len(others) < FEWEST:
            return None
        middle = Lab(*(median(getattr(other, axis) for other in others) for axis in "lab"))
        usual = max(delta_e_2000(middle, other) for other in others)
        off = delta_e_2000(middle, one.lab)
        if off > max(ODD_LEAST, ODD_TIMES * usual):
            apart.append(one.label)
    return apart[0] if len(apart) == 1 else None


def _mixed(readings: Sequence[Reading]) -> bool:
    return len({one.by for one in readings}) > 1


def _same_eyes(findings: Findings, readings: Sequence[Reading]) -> None:
    for place, what in enumerate(("instrument", "illuminant", "observer")):
        said = {one.by[place] for one in readings}
        if None in said:
            findings.cannot_tell(f"which {what} a reading is of is not said")
        if len(said - {None}) > 1:
            findings.cannot_tell(f"read with more than one {what}, which cannot be compared")
