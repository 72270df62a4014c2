"""Finishing sessions, their climate readings and coats; products and their batches.

Entries of kind `finishing_session`, `climate`, `coat` and `finishing_close`; all but the first name their session.
Entries of kind `product` and `batch` belong to the workshop and to no job. A `zone_map` is the piece's own.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Id, IdType, Whole, Words, WordsType

BY_MASS, BY_VOLUME = "by mass", "by volume"
RECOAT, RECOAT_LATEST, HANDLING = "recoat", "recoat at latest", "handling"
TABLES = (RECOAT, RECOAT_LATEST, HANDLING)
COMB_GAUGE, VOLUME_USED = "comb gauge", "volume used"


class FinishingSession(Body, Base):
    """A stretch of surface work begins: on which area, to do what."""

    __tablename__ = "finishing_session"

    zone: Mapped[Words]
    purpose: Mapped[Words | None]
    ventilation: Mapped[Words | None]  # what was done for air, and who was kept out


class ClimateReading(Body, Base):
    """Climate as read, the data sheet's limits it was held against, and what was worked out from them."""

    __tablename__ = "climate_reading"
    __table_args__ = recorded_args(
        Index(None, "session_id"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    air_c: Mapped[Figure | None]
    relative_humidity: Mapped[Figure | None]
    surface_c: Mapped[Figure | None]
    instrument: Mapped[Words | None]
    air_error_c: Mapped[Figure]
    humidity_error: Mapped[Figure]
    surface_error_c: Mapped[Figure]
    product: Mapped[Words | None]
    limits_source: Mapped[Words | None]  # data sheet and its date
    air_min_c: Mapped[Figure | None]
    air_max_c: Mapped[Figure | None]
    surface_min_c: Mapped[Figure | None]
    surface_max_c: Mapped[Figure | None]
    humidity_min: Mapped[Figure | None]
    humidity_max: Mapped[Figure | None]
    margin_limit_c: Mapped[Figure | None]
    dew_point_c: Mapped[Figure | None]
    margin_c: Mapped[Figure | None]
    margin_low_c: Mapped[Figure | None]
    verdict: Mapped[Words]
    reasons: Mapped[Words]
    source: Mapped[Words]
    calculation: Mapped[Words]  # name and version of what worked it out
    film_min_c: Mapped[Figure | None]  # lowest temperature at which a water-based paint forms a film (ISO 2115)


class Coat(Body, Base):
    """One application of one product over one area."""

    __tablename__ = "coat"
    __table_args__ = recorded_args(
        Index(None, "session_id"),
        CheckConstraint("number >= 1", name="number_from_one"),
        CheckConstraint("wet_um > 0", name="wet_positive"),
    )

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    climate_id: Mapped[str | None] = mapped_column(IdType, ForeignKey("entry.id"))
    number: Mapped[Whole]
    product: Mapped[Words]
    batch: Mapped[Words | None]
    zone: Mapped[Words]
    wet_um: Mapped[Figure | None]
    climate_verdict: Mapped[Words]
    reason: Mapped[Words | None]  # why it was applied although the climate was not met
    note: Mapped[Words | None]
    # Until the next coat, at the surface's temperature, as the data sheet says. Its check stands with the column, since
    # it came later and SQLite adds no constraint to a table.
    recoat_hours: Mapped[Figure | None] = mapped_column(CheckConstraint("recoat_hours > 0", name="recoat_positive"))
    product_id: Mapped[Id | None]
    batch_id: Mapped[Id | None]
    recoat_surface_c: Mapped[Figure | None]  # the surface's temperature that the hours were read for
    recoat_latest_hours: Mapped[Figure | None]  # after these the coat is abraded before the next
    handling_hours: Mapped[Figure | None]
    thinned_percent: Mapped[Figure | None]  # thinner by volume, of the paint's
    mixed_resin_g: Mapped[Figure | None]
    mixed_catalyst_percent: Mapped[Figure | None]  # by mass, of the resin's
    volume_l: Mapped[Figure | None]  # used, before thinning
    area_m2: Mapped[Figure | None]
    loss_percent: Mapped[Figure | None]
    # What the film came to, and from what; absent where nothing was measured.
    volume_solids_percent: Mapped[Figure | None]
    target_um: Mapped[Figure | None]  # dry
    target_most_um: Mapped[Figure | None]
    film_how: Mapped[str | None] = mapped_column(
        WordsType, CheckConstraint("film_how IN ('comb gauge', 'volume used')", name="film_how_known")
    )
    dry_um: Mapped[Figure | None]
    dry_low_um: Mapped[Figure | None]
    dry_high_um: Mapped[Figure | None]
    film_verdict: Mapped[str | None] = mapped_column(
        WordsType, CheckConstraint("film_verdict IN ('met', 'not met', 'cannot tell')", name="film_verdict_known")
    )
    film_reasons: Mapped[Words | None]
    film_source: Mapped[Words | None]
    film_calculation: Mapped[Words | None]


class GaugeReading(BodyRow, Base):
    """One reading of the wet film of a coat with a comb gauge."""

    __tablename__ = "coat_gauge"
    __table_args__ = recorded_args(CheckConstraint("wet_um > 0", name="wet_positive"))

    wet_um: Mapped[Figure]


class FinishingClose(Body, Base):
    """A finishing session ends."""

    __tablename__ = "finishing_close"
    __table_args__ = recorded_args(Index(None, "session_id"))

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    note: Mapped[Words | None]
    client_words: Mapped[Words | None]  # the client's yes, in their words
    client_name: Mapped[Words | None]
    client_yes: Mapped[Flag | None]  # whether the client said yes to the surface; absent when nobody asked


class Product(Body, Base):
    """A product as its tin and its data sheet say it. Temperatures °C, humidity %, times h; absent is not known."""

    __tablename__ = "product"
    __table_args__ = recorded_args(
        CheckConstraint("recoat_hours > 0", name="recoat_positive"),
        CheckConstraint("room_again_hours >= 0", name="room_again_not_negative"),
    )

    product_id: Mapped[Id]
    name: Mapped[Words]
    maker: Mapped[Words | None]
    what: Mapped[Words | None]  # primer, paint, wax, and its generic chemistry
    sheet: Mapped[Words | None]  # data sheet and its date
    hazards: Mapped[Words | None]  # as on the tin
    protection: Mapped[Words | None]  # gloves, mask and filter, as the sheets say
    ventilation: Mapped[Words | None]
    room_again_hours: Mapped[Figure | None]  # until the room may be used again
    recoat_hours: Mapped[Figure | None]
    air_min_c: Mapped[Figure | None]
    air_max_c: Mapped[Figure | None]
    surface_min_c: Mapped[Figure | None]
    surface_max_c: Mapped[Figure | None]
    humidity_min: Mapped[Figure | None]
    humidity_max: Mapped[Figure | None]
    margin_limit_c: Mapped[Figure | None]
    touch_up: Mapped[Words | None]  # how it is touched up, and what thins and cleans it
    keeps_until: Mapped[Words | None]  # how long an opened tin keeps, as the tin says
    dropped: Mapped[Flag]  # a revision that says it is not used any more
    volume_solids_percent: Mapped[Figure | None]  # ISO 3233
    density_g_ml: Mapped[Figure | None]
    thinner: Mapped[Words | None]
    thinned_most_percent: Mapped[Figure | None]  # by volume
    target_um: Mapped[Figure | None]  # dry, a coat
    target_most_um: Mapped[Figure | None]
    film_min_c: Mapped[Figure | None]  # ISO 2115; a sheet that names none leaves it blank
    mix_by: Mapped[str | None] = mapped_column(
        WordsType, CheckConstraint("mix_by IN ('by mass', 'by volume')", name="mix_by_known")
    )
    mix_a: Mapped[Figure | None]
    mix_b: Mapped[Figure | None]
    density_a_g_ml: Mapped[Figure | None]
    density_b_g_ml: Mapped[Figure | None]
    catalyst_least_percent: Mapped[Figure | None]  # by mass, of the resin's
    catalyst_most_percent: Mapped[Figure | None]
    catalyst_density_g_ml: Mapped[Figure | None]
    pot_life_min: Mapped[Figure | None]
    pot_life_c: Mapped[Figure | None]
    shelf_months: Mapped[Whole | None]  # unopened, from the day it was made
    opened_months: Mapped[Whole | None]
    barcode: Mapped[Words | None]  # what the tin's own code says, so that a tin is known by scanning it


class ProductTime(BodyRow, Base):
    """One row of a product's tables of times by the surface's temperature, in the order of its data sheet."""

    __tablename__ = "product_time"
    __table_args__ = recorded_args(
        CheckConstraint("what IN ('recoat', 'recoat at latest', 'handling')", name="what_known"),
        CheckConstraint("hours > 0", name="hours_positive"),
    )

    what: Mapped[Words]
    surface_c: Mapped[Figure]
    hours: Mapped[Figure]


class Batch(Body, Base):
    """One batch of a product, with what its tin says; days are ISO 8601."""

    __tablename__ = "batch"
    __table_args__ = recorded_args(Index(None, "product_id"))

    batch_id: Mapped[Id]
    product_id: Mapped[Id]
    number: Mapped[Words]
    expires_on: Mapped[Words | None]
    opened_on: Mapped[Words | None]
    note: Mapped[Words | None]
    made_on: Mapped[Words | None]
    barcode: Mapped[Words | None]  # as scanned from this tin


class ZoneMap(Body, Base):
    """The zones of a piece's surface, marked on its photos; a later map takes the place of this one."""

    __tablename__ = "zone_map"

    note: Mapped[Words | None]


class SurfaceZone(BodyRow, Base):
    """One zone. Its spot on the photo is the mark of the same number (`marks.PhotoMark`) in the entry's body."""

    __tablename__ = "surface_zone"
    __table_args__ = recorded_args(
        CheckConstraint("area_m2 > 0", name="area_positive"),
        CheckConstraint("coats >= 1", name="coats_from_one"),
    )

    name: Mapped[Words]
    area_m2: Mapped[Figure | None]
    coats: Mapped[Whole | None]
    target_um: Mapped[Figure | None]  # dry, of all its coats together
    target_most_um: Mapped[Figure | None]
    note: Mapped[Words | None]
