"""What a certificate is made from. It is kept for the life of the piece: fields are only added, and may be absent.

Days and instants are ISO 8601 text. What is None or empty was not recorded, and the certificate says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from siteapp.documents import frozen
from siteapp.documents.certificate.finish_records import ColourMatch, TouchUpKit  # noqa: TC001 - see below
from siteapp.documents.certificate.fire_records import (  # noqa: TC001 - see below
    Appliance,
    FireReport,
    HeatTest,
    PartLimit,
)
from siteapp.documents.certificate.hung_records import Anchor, AnchorsAsked, Balance, Wall
from siteapp.documents.records import PhotoUse, Section  # noqa: TC001 - read back by `frozen` from the hints


@dataclass(frozen=True)
class Maker:
    """Who made the piece, as they want to be named; `contact` is the workshop's own, lines of text."""

    name: str
    workshop: str | None = None
    place: str | None = None
    contact: tuple[str, ...] = ()


@dataclass(frozen=True)
class ObjectId:
    """Description under the headings of Object ID, the open standard for describing cultural objects (from memory)."""

    type_of_object: str | None = None
    materials_and_techniques: str | None = None
    measurements: str | None = None
    inscriptions_and_markings: str | None = None
    distinguishing_features: str | None = None
    title: str | None = None
    subject: str | None = None
    date_or_period: str | None = None
    maker: str | None = None
    description: str | None = None


@dataclass(frozen=True)
class Sizes:
    """Overall sizes in mm as it hangs."""

    height_mm: float | None = None
    width_mm: float | None = None
    depth_mm: float | None = None


@dataclass(frozen=True)
class Layer:
    """One line of the build-up, from the face inwards: trade name and generic chemistry, thickness mm, mass kg."""

    material: str
    generic: str | None = None
    thickness_mm: float | None = None
    mass_kg: float | None = None
    note: str | None = None


@dataclass(frozen=True)
class Weight:
    """Mass in kg; `origin` is "weighed" or "estimated"; `how` tells the scales or how it was worked out."""

    mass_kg: float | None = None
    origin: str | None = None
    how: str | None = None
    on: str | None = None
    by: str | None = None


@dataclass(frozen=True)
class HangingPoint:
    """A hole or slot in the metalwork: x to the right and y up in mm from the lower left, seen from the front."""

    label: str
    x_mm: float | None = None
    y_mm: float | None = None
    hole_mm: float | None = None
    note: str | None = None


@dataclass(frozen=True)
class Coat:
    """One coat and the climate it went on in: temperatures °C, relative humidity %, wet film µm, margin K."""

    product: str
    area: str | None = None
    number: int | None = None
    batch: str | None = None
    at: str | None = None
    by: str | None = None
    wet_um: float | None = None
    air_c: float | None = None
    relative_humidity: float | None = None
    surface_c: float | None = None
    dew_point_c: float | None = None
    margin_c: float | None = None
    verdict: str | None = None
    limits_source: str | None = None
    reason: str | None = None
    note: str | None = None
    dry_um: float | None = None
    dry_low_um: float | None = None
    target_um: float | None = None
    film_how: str | None = None
    film_verdict: str | None = None


@dataclass(frozen=True)
class Fire:
    """Fire class, what shows it, and how far that reaches; `condition` is what must hold before any fire is lit.

    `covers` says what the evidence covers and what not, unless `does_not_cover` says the second part by itself.
    `tests` hold measured temperatures only.
    """

    fire_class: str | None = None
    evidence: str | None = None
    covers: str | None = None
    does_not_cover: str | None = None
    heat_limit_c: float | None = None
    condition: str | None = None
    reports: tuple[FireReport, ...] = ()
    limits: tuple[PartLimit, ...] = ()
    appliance: Appliance | None = None
    tests: tuple[HeatTest, ...] = ()


@dataclass(frozen=True)
class Arrival:
    """Condition when the piece reached the site."""

    at: str | None = None
    found: str | None = None
    indicators: str | None = None
    note: str | None = None
    by: str | None = None


@dataclass(frozen=True)
class Answer:
    """One check as it stands: verdict "met", "not met" or "cannot tell"; `reading` with its unit, as text.

    `told` are the figures of an answer that was worked out, one a line.
    """

    line: str
    verdict: str | None = None
    list_name: str | None = None
    reading: str | None = None
    by: str | None = None
    at: str | None = None
    hold_point: bool = False
    released_by: str | None = None
    release_reason: str | None = None
    told: str | None = None


@dataclass(frozen=True)
class Release:
    """A check that was not met, or a whole list (`line` is None), let go by somebody who may; `at` an instant."""

    reason: str
    line: str | None = None
    list_name: str | None = None
    by: str | None = None
    at: str | None = None


@dataclass(frozen=True)
class SnagLeft:
    """Something to put right. Open, or left as it is where `accepted_by` says who agreed to that; `at` an instant."""

    words: str
    place: str | None = None
    accepted_by: str | None = None
    said: str | None = None
    at: str | None = None


@dataclass(frozen=True)
class Agreed:
    """The client's yes to a stage or a change: when, who said it, in which words, what shows it."""

    what: str
    on: str | None = None
    evidence: str | None = None
    by: str | None = None
    said: str | None = None


@dataclass(frozen=True)
class Supersedes:
    """The certificate that this one takes the place of, and why one was issued again."""

    number: str
    issued_on: str | None = None
    why: str | None = None


@dataclass(frozen=True)
class Signature:
    """Who signed: name, the words agreed to, when, as what; `image_sha256` of a drawn signature, else typed."""

    name: str
    said: str | None = None
    at: str | None = None
    capacity: str | None = None
    image_sha256: str | None = None


@dataclass(frozen=True)
class Proof:
    """How to see that the record is unaltered: its SHA-256, the chain head it was written under, and the way.

    `signed_by` is the name in the key that signs the file, `key_fingerprint` the SHA-256 of that key's certificate.
    """

    record_digest: str | None = None
    chain: str | None = None
    chain_seq: int | None = None
    chain_head: str | None = None
    how: tuple[str, ...] = ()
    signed_by: str | None = None
    key_fingerprint: str | None = None


@dataclass(frozen=True)
class CertificateRecord(frozen.Record):
    """Everything a certificate prints. Kept as canonical JSON; see `to_json` and `from_json`.

    No field is meant for a price or an insurance value, the client's contacts, access notes or interiors, nor for the
    site's address: that stands on a leaf of its own (`leaf.py`). `paper` is what it was laid out for.
    """

    number: str
    piece_number: str
    title: str
    maker: Maker
    issued_on: str | None = None
    language: str = "en"
    invented: bool = False
    link: str | None = None
    object_id: ObjectId = field(default_factory=ObjectId)
    made_on: str | None = None
    hung_on: str | None = None
    handed_over_on: str | None = None
    sizes: Sizes = field(default_factory=Sizes)
    build_up: tuple[Layer, ...] = ()
    weight: Weight = field(default_factory=Weight)
    people_to_lift: str | None = None
    way_up: str | None = None
    hanging_points: tuple[HangingPoint, ...] = ()
    taking_down: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    balance: Balance = field(default_factory=Balance)
    lift_points: tuple[str, ...] = ()
    nuts: tuple[str, ...] = ()
    wall: Wall | None = None
    anchors_asked: AnchorsAsked | None = None
    anchors: tuple[Anchor, ...] = ()
    agreed: tuple[Agreed, ...] = ()
    conditions: tuple[str, ...] = ()
    finish: tuple[str, ...] = ()
    touch_up: str | None = None
    kit: TouchUpKit | None = None
    colours: tuple[ColourMatch, ...] = ()
    coats: tuple[Coat, ...] = ()
    fire: Fire = field(default_factory=Fire)
    keep_away: tuple[str, ...] = ()
    arrival: Arrival = field(default_factory=Arrival)
    checks: tuple[Answer, ...] = ()
    releases: tuple[Release, ...] = ()
    snags: tuple[SnagLeft, ...] = ()
    left_open: tuple[str, ...] = ()
    care_do: tuple[str, ...] = ()
    care_never: tuple[str, ...] = ()
    expected_wear: tuple[str, ...] = ()
    inspections: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    who_to_call: tuple[str, ...] = ()
    copyright_line: str | None = None
    moral_rights: str | None = None
    photos: tuple[PhotoUse, ...] = ()
    signature: Signature | None = None
    further_signatures: tuple[Signature, ...] = ()
    supersedes: Supersedes | None = None
    proof: Proof = field(default_factory=Proof)
    paper: str = "A4"
    sections: tuple[Section, ...] = ()
