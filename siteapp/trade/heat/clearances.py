"""How far what can burn must be from a fire: the appliance's plate first, published rules where it says nothing.

Each rule ends somewhere; beyond its end the answer is *cannot tell*, never *met*.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range, one_of
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.verdicts import Verdict

INCH_MM = 25.4
NEAREST_MM = 6 * INCH_MM
FURTHEST_MM = 12 * INCH_MM
SHARE = 8  # a millimetre of projection for eight of distance
FLAT_MM = 1.5 * INCH_MM  # NFPA 211: what projects more stands at least 12 in above the opening
PIPE, PIPE_SHIELDED = 3.0, 1.5  # of the flue pipe's outside diameter
FLUE_INSIDE_MM, FLUE_FACE_MM, METAL_FIXING_MM = 200.0, 40.0, 50.0
LARGEST_MM = 20_000.0
LARGEST_FLUE_MM = 1_000.0

MASONRY, FACTORY_BUILT, STOVE, GAS_FIRE = "masonry fireplace", "factory-built fireplace", "stove", "gas fire"
ELECTRIC_FIRE, OTHER = "electric fire", "other"
KINDS = (MASONRY, FACTORY_BUILT, STOVE, GAS_FIRE, ELECTRIC_FIRE, OTHER)
ABOVE, LEFT, RIGHT, FRONT, FLUE = "above", "left", "right", "front", "flue"
PLACES = (ABOVE, LEFT, RIGHT, FRONT, FLUE)
SOLID_FUELS = ("wood", "coal", "pellets")
UNITED_STATES, ENGLAND = "United States", "England"
PLATE = "plate"

PLATE_SOURCE = "distance to what can burn as the appliance's plate or instructions give it"
ASSUMPTIONS = (
    "distances are the shortest ones, measured with a tape from the edge of the opening or the outside of the flue",
    "whoever is licensed to judge the installation and the local code come first; another country has other rules",
    "a distance that is kept is no promise of how warm the piece gets: that is what the heat test is for",
)


@dataclass(frozen=True)
class Rule:
    """A published rule: whose it is, what it says in our words, how we know it, where it ends."""

    key: str
    country: str
    words: str
    source: str
    provenance: str  # "read in a copy" or "from memory"
    covers: str


IRC = Rule(
    "IRC R1001.11",
    UNITED_STATES,
    "nothing that can burn within 6 in (152.4 mm) of the opening; to 12 in (304.8 mm) it projects at most an eighth of "
    "its distance",
    "International Residential Code, R1001.11, exception 4",
    "from memory",
    "masonry fireplaces; things within 12 in of the opening",
)
NFPA_211 = Rule(
    "NFPA 211",
    UNITED_STATES,
    "what projects more than 1½ in (38.1 mm) above the opening is at least 12 in (304.8 mm) above it",
    "NFPA 211, clearance of woodwork and other combustible material to a fireplace opening",
    "read in a copy",
    "fireplaces; things above the opening",
)
FLUE_PIPE = Rule(
    "flue pipe 3 × diameter",
    ENGLAND,
    "an uninsulated flue pipe is 3 times its outside diameter from what can burn, 1.5 times behind a shield",
    "Approved Document J, diagram 19, and stove makers' instructions",
    "from memory",
    "uninsulated connecting flue pipes of solid fuel appliances",
)
CHIMNEY = Rule(
    "chimney 200 mm and 40 mm",
    ENGLAND,
    "what can burn is 200 mm from the inside of the flue and 40 mm from the chimney's outer face",
    "Approved Document J 2.18 and diagram 21; NHBC Standards 6.8.22",
    "read in a copy",
    "masonry chimneys of solid fuel appliances",
)
METAL = Rule(
    "metal fixings 50 mm",
    ENGLAND,
    "metal fixings that touch what can burn are 50 mm from the flue",
    "NHBC Standards 6.8.22",
    "read in a copy",
    "masonry chimneys of solid fuel appliances",
)
RULES = (IRC, NFPA_211, FLUE_PIPE, CHIMNEY, METAL)
COUNTRIES = (UNITED_STATES, ENGLAND)


@dataclass(frozen=True)
class Clearance:
    """What a rule lets something at one distance project, in mm; None where the rule says nothing of it."""

    allowed_projection_mm: float | None
    verdict: Verdict
    source: str
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...] = ASSUMPTIONS


@dataclass(frozen=True)
class Plate:
    """Distances in mm to what can burn, as the plate or the instructions give them; None is not given there."""

    above_mm: float | None = None
    beside_mm: float | None = None
    front_mm: float | None = None
    flue_mm: float | None = None

    def __post_init__(self) -> None:
        for place in ("above", "beside", "front", "flue"):
            value = getattr(self, f"{place}_mm")
            if value is not None:
                in_range(f"the plate's distance, {place}", value, 0, LARGEST_MM, "mm")

    def asked_mm(self, place: str) -> float | None:
        """What it asks for in one of `PLACES`."""
        beside = {LEFT: self.beside_mm, RIGHT: self.beside_mm}
        return {ABOVE: self.above_mm, FRONT: self.front_mm, FLUE: self.flue_mm, **beside}[place]


@dataclass(frozen=True)
class Thing:
    """Something near the fire: its distance and how far it stands out from the wall, mm; None is not measured.

    `combustible` None is not known; it then counts as what can burn.
    """

    name: str
    place: str
    distance_mm: float | None = None
    projection_mm: float | None = None
    combustible: bool | None = None
    metal_fixing: bool = False

    def __post_init__(self) -> None:
        one_of("place", self.place, PLACES)
        for what, value in (("distance", self.distance_mm), ("projection", self.projection_mm)):
            if value is not None:
                in_range(f"{self.name}: {what}", value, 0, LARGEST_MM, "mm")


@dataclass(frozen=True)
class Held:
    """One thing held against what is asked of it; `by` is `plate`, a rule's key, or "" where none covers it."""

    thing: Thing
    asked_mm: float | None
    verdict: Verdict
    by: str
    country: str
    source: str
    reason: str

    @property
    def spare_mm(self) -> float | None:
        """What is left beyond the distance asked for; negative where it is not kept."""
        measured = self.thing.distance_mm
        return None if measured is None or self.asked_mm is None else measured - self.asked_mm


def combustible_trim(distance_mm: float, projection_mm: float) -> Clearance:
    """What IRC R1001.11 lets something combustible project, `distance_mm` from a masonry fireplace's opening.

    Both 0…20 000 mm. Under 152.4 mm nothing is allowed; to 304.8 mm an eighth of the distance; beyond, the rule says
    nothing, which is *cannot tell*. Source: IRC (from memory). Assumes ASSUMPTIONS. Raises TradeError outside
    the range.
    """
    in_range("distance from the opening", distance_mm, 0, LARGEST_MM, "mm")
    in_range("projection", projection_mm, 0, LARGEST_MM, "mm")
    source = f"{IRC.source} ({IRC.provenance}); {IRC.covers}"
    if distance_mm < NEAREST_MM:
        reason = f"{distance_mm:g} mm from the opening; nothing that can burn is allowed nearer than {NEAREST_MM:g} mm"
        return Clearance(0.0, NOT_MET, source, (reason,))
    if distance_mm > FURTHEST_MM:
        reason = f"not covered by this rule: it ends {FURTHEST_MM:g} mm from the opening"
        return Clearance(None, CANNOT_TELL, source, (reason,))
    allowed = distance_mm / SHARE
    reason = f"projects {projection_mm:g} mm; {allowed:g} mm are allowed at {distance_mm:g} mm, an eighth"
    return Clearance(allowed, MET if projection_mm <= allowed else NOT_MET, source, (reason,))


def clearances(
    plate: Plate | None,
    things: Sequence[Thing],
    *,
    country: str | None,
    kind: str,
    fuel: str,
    flue_diameter_mm: float | None = None,
    flue_shielded: bool | None = None,
) -> tuple[Held, ...]:
    """Hold everything near a fire against its plate, and against published rules where the plate gives no distance.

    `kind` one of KINDS; `country` one of COUNTRIES, another one or None has no rules here; `flue_diameter_mm` 0…1000,
    the outside of an uninsulated flue pipe, None where there is none or it is not measured. Source: by each answer.
    Assumes ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    one_of("kind of appliance", kind, KINDS)
    if flue_diameter_mm is not None:
        in_range("diameter of the flue pipe", flue_diameter_mm, 0, LARGEST_FLUE_MM, "mm", above_low=True)
    site = _Site(plate or Plate(), country, kind, fuel, flue_diameter_mm, flue_shielded)
    return tuple(site.held(thing) for thing in things)


def worst(held: Sequence[Held]) -> Verdict:
    """*Not met* when one is, else *cannot tell* when one is or there is none, else *met*."""
    verdicts = {one.verdict for one in held}
    if NOT_MET in verdicts:
        return NOT_MET
    return MET if verdicts == {MET} else CANNOT_TELL


@dataclass(frozen=True)
class _Site:
    plate: Plate
    country: str | None
    kind: str
    fuel: str
    pipe_mm: float | None
    shielded: bool | None

    def held(self, thing: Thing) -> Held:
        if thing.combustible is False and not thing.metal_fixing:
            words = "not asked of what cannot burn, by the evidence recorded"
            return Held(thing, None, MET, "", "", PLATE_SOURCE, words)
        asked = self.plate.asked_mm(thing.place)
        if asked is not None:
            return _distance(thing, asked, PLATE, "", PLATE_SOURCE, f"the plate asks for {asked:g} mm")
        if thing.place == FLUE and self.country == ENGLAND and self.fuel in SOLID_FUELS:
            return self._flue(thing)
        if self.kind == MASONRY and self.country == UNITED_STATES and thing.place in {ABOVE, LEFT, RIGHT}:
            return self._opening(thing)
        where = self.country or "a country that is not named"
        words = f"not covered by the plate or by a rule known here ({self.kind}, {where}, {thing.place})"
        return Held(thing, None, CANNOT_TELL, "", self.country or "", "none", words)

    def _flue(self, thing: Thing) -> Held:
        if thing.metal_fixing:
            return _by_rule(thing, METAL_FIXING_MM, METAL)
        if self.pipe_mm is not None:
            times = PIPE_SHIELDED if self.shielded else PIPE
            return _by_rule(thing, times * self.pipe_mm, FLUE_PIPE)
        held = _by_rule(thing, FLUE_FACE_MM, CHIMNEY)
        if held.verdict == MET and (thing.distance_mm or 0) < FLUE_INSIDE_MM:
            words = f"{CHIMNEY.words}; how thick the chimney's wall is was not measured"
            return Held(thing, FLUE_FACE_MM, CANNOT_TELL, held.by, held.country, held.source, words)
        return held

    def _opening(self, thing: Thing) -> Held:
        if thing.distance_mm is None:
            return _by_rule(thing, NEAREST_MM, IRC)
        if thing.distance_mm >= NEAREST_MM and thing.projection_mm is None:
            words = f"{IRC.words}; how far it stands out from the wall is not measured"
            return Held(thing, NEAREST_MM, CANNOT_TELL, IRC.key, IRC.country, _told(IRC), words)
        projection = thing.projection_mm or 0.0
        found = combustible_trim(thing.distance_mm, projection)
        if found.verdict == CANNOT_TELL and thing.place == ABOVE:
            return _by_rule(thing, FURTHEST_MM, NFPA_211)
        asked = NEAREST_MM if found.verdict == CANNOT_TELL else max(NEAREST_MM, SHARE * projection)
        return Held(thing, asked, found.verdict, IRC.key, IRC.country, _told(IRC), found.reasons[0])


def _by_rule(thing: Thing, asked: float, rule: Rule) -> Held:
    return _distance(thing, asked, rule.key, rule.country, _told(rule), rule.words)


def _distance(thing: Thing, asked: float, by: str, country: str, source: str, words: str) -> Held:
    if thing.distance_mm is None:
        return Held(thing, asked, CANNOT_TELL, by, country, source, f"{words}; its distance is not measured")
    verdict: Verdict = MET if thing.distance_mm >= asked else NOT_MET
    return Held(thing, asked, verdict, by, country, source, words)


def _told(rule: Rule) -> str:
    return f"{rule.source} ({rule.provenance}); covers {rule.covers}"
