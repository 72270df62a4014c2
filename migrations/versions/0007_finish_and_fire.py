"""Data sheets in full, films and zones, colour, touching up, the appliance, fire evidence and the heat test."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add columns that may be null, so that every digest stays as it was; make the new tables and triggers."""
    _data_sheets()
    _coats()
    made = (*_finishing(), *_colour(), *_appliance(), *_heat_test())
    op.create_index(op.f("ix_colour_reading_sample_id"), "colour_reading", ["sample_id"])
    op.create_index(op.f("ix_colour_answer_sample_id"), "colour_answer", ["sample_id"])
    op.create_index(op.f("ix_heat_readings_test_id"), "heat_readings", ["test_id"])
    op.create_index(op.f("ix_heat_log_test_id"), "heat_log", ["test_id"])
    op.create_index(op.f("ix_heat_event_test_id"), "heat_event", ["test_id"])
    op.create_index(op.f("ix_heat_test_end_test_id"), "heat_test_end", ["test_id"])
    triggers.make(op.get_bind(), made)


def _recorded(name: str, *columns: sa.schema.SchemaItem) -> sa.Table:
    """A table of bodies, one row or several an entry."""
    return op.create_table(
        name,
        sa.Column("entry_id", sa.Text(), nullable=False),
        *columns,
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f(f"fk_{name}_entry_id")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )


def _one(name: str, *columns: sa.schema.SchemaItem) -> sa.Table:
    return _recorded(name, *columns, sa.PrimaryKeyConstraint("entry_id", name=op.f(f"pk_{name}")))


def _rows(name: str, *columns: sa.schema.SchemaItem) -> sa.Table:
    position = sa.Column("position", WHOLE, nullable=False)
    return _recorded(name, position, *columns, sa.PrimaryKeyConstraint("entry_id", "position", name=op.f(f"pk_{name}")))


def _known(table: str, column: str, *values: str) -> sa.CheckConstraint:
    listed = ", ".join(f"'{value}'" for value in values)
    return sa.CheckConstraint(f"{column} IN ({listed})", name=op.f(f"ck_{table}_{column}_known"))


def _data_sheets() -> None:
    op.add_column("product", sa.Column("volume_solids_percent", FIGURE, nullable=True))
    op.add_column("product", sa.Column("density_g_ml", FIGURE, nullable=True))
    op.add_column("product", sa.Column("thinner", sa.Text(), nullable=True))
    op.add_column("product", sa.Column("thinned_most_percent", FIGURE, nullable=True))
    op.add_column("product", sa.Column("target_um", FIGURE, nullable=True))
    op.add_column("product", sa.Column("target_most_um", FIGURE, nullable=True))
    op.add_column("product", sa.Column("film_min_c", FIGURE, nullable=True))
    op.add_column(
        "product", sa.Column("mix_by", sa.Text(), _known("product", "mix_by", "by mass", "by volume"), nullable=True)
    )
    op.add_column("product", sa.Column("mix_a", FIGURE, nullable=True))
    op.add_column("product", sa.Column("mix_b", FIGURE, nullable=True))
    op.add_column("product", sa.Column("density_a_g_ml", FIGURE, nullable=True))
    op.add_column("product", sa.Column("density_b_g_ml", FIGURE, nullable=True))
    op.add_column("product", sa.Column("catalyst_least_percent", FIGURE, nullable=True))
    op.add_column("product", sa.Column("catalyst_most_percent", FIGURE, nullable=True))
    op.add_column("product", sa.Column("catalyst_density_g_ml", FIGURE, nullable=True))
    op.add_column("product", sa.Column("pot_life_min", FIGURE, nullable=True))
    op.add_column("product", sa.Column("pot_life_c", FIGURE, nullable=True))
    op.add_column("product", sa.Column("shelf_months", WHOLE, nullable=True))
    op.add_column("product", sa.Column("opened_months", WHOLE, nullable=True))
    op.add_column("product", sa.Column("barcode", sa.Text(), nullable=True))
    op.add_column("batch", sa.Column("made_on", sa.Text(), nullable=True))
    op.add_column("batch", sa.Column("barcode", sa.Text(), nullable=True))


def _coats() -> None:
    op.add_column("climate_reading", sa.Column("film_min_c", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("recoat_surface_c", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("recoat_latest_hours", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("handling_hours", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("thinned_percent", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("mixed_resin_g", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("mixed_catalyst_percent", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("volume_l", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("area_m2", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("loss_percent", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("volume_solids_percent", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("target_um", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("target_most_um", FIGURE, nullable=True))
    op.add_column(
        "coat", sa.Column("film_how", sa.Text(), _known("coat", "film_how", "comb gauge", "volume used"), nullable=True)
    )
    op.add_column("coat", sa.Column("dry_um", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("dry_low_um", FIGURE, nullable=True))
    op.add_column("coat", sa.Column("dry_high_um", FIGURE, nullable=True))
    op.add_column(
        "coat",
        sa.Column(
            "film_verdict", sa.Text(), _known("coat", "film_verdict", "met", "not met", "cannot tell"), nullable=True
        ),
    )
    op.add_column("coat", sa.Column("film_reasons", sa.Text(), nullable=True))
    op.add_column("coat", sa.Column("film_source", sa.Text(), nullable=True))
    op.add_column("coat", sa.Column("film_calculation", sa.Text(), nullable=True))


def _finishing() -> tuple[sa.Table, ...]:
    return (
        _rows(
            "coat_gauge",
            sa.Column("wet_um", FIGURE, nullable=False),
            sa.CheckConstraint("wet_um > 0", name=op.f("ck_coat_gauge_wet_positive")),
        ),
        _rows(
            "product_time",
            sa.Column("what", sa.Text(), nullable=False),
            sa.Column("surface_c", FIGURE, nullable=False),
            sa.Column("hours", FIGURE, nullable=False),
            sa.CheckConstraint("hours > 0", name=op.f("ck_product_time_hours_positive")),
            _known("product_time", "what", "recoat", "recoat at latest", "handling"),
        ),
        _one(
            "zone_map",
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "surface_zone",
            sa.Column("name", sa.Text(), nullable=False),
            sa.Column("area_m2", FIGURE, nullable=True),
            sa.Column("coats", WHOLE, nullable=True),
            sa.Column("target_um", FIGURE, nullable=True),
            sa.Column("target_most_um", FIGURE, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("area_m2 > 0", name=op.f("ck_surface_zone_area_positive")),
            sa.CheckConstraint("coats >= 1", name=op.f("ck_surface_zone_coats_from_one")),
        ),
    )


def _colour() -> tuple[sa.Table, ...]:
    return (
        _one(
            "colour_sample",
            sa.Column("sample_id", sa.Text(), nullable=False),
            sa.Column("name", sa.Text(), nullable=False),
            sa.Column("made_of", sa.Text(), nullable=True),
            sa.Column("zones", sa.Text(), nullable=True),
            sa.Column("l", FIGURE, nullable=True),
            sa.Column("a", FIGURE, nullable=True),
            sa.Column("b", FIGURE, nullable=True),
            sa.Column("gloss", FIGURE, nullable=True),
            sa.Column("gloss_deg", WHOLE, nullable=True),
            sa.Column("instrument", sa.Text(), nullable=True),
            sa.Column("illuminant", sa.Text(), nullable=True),
            sa.Column("observer", sa.Text(), nullable=True),
            sa.Column("geometry", sa.Text(), nullable=True),
            sa.Column("gloss_instrument", sa.Text(), nullable=True),
            sa.Column("tolerance", FIGURE, nullable=True),
            sa.Column("gloss_tolerance", FIGURE, nullable=True),
            sa.Column("tolerance_from", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.Column("dropped", FLAG, nullable=False),
            sa.CheckConstraint("gloss_deg IN (20, 60, 85)", name=op.f("ck_colour_sample_gloss_deg_known")),
            sa.CheckConstraint("gloss_tolerance > 0", name=op.f("ck_colour_sample_gloss_tolerance_positive")),
            sa.CheckConstraint("tolerance > 0", name=op.f("ck_colour_sample_tolerance_positive")),
        ),
        _one(
            "colour_reading",
            sa.Column("sample_id", sa.Text(), nullable=False),
            sa.Column("zone", sa.Text(), nullable=False),
            sa.Column("spot", sa.Text(), nullable=True),
            sa.Column("l", FIGURE, nullable=True),
            sa.Column("a", FIGURE, nullable=True),
            sa.Column("b", FIGURE, nullable=True),
            sa.Column("gloss", FIGURE, nullable=True),
            sa.Column("gloss_deg", WHOLE, nullable=True),
            sa.Column("instrument", sa.Text(), nullable=True),
            sa.Column("illuminant", sa.Text(), nullable=True),
            sa.Column("observer", sa.Text(), nullable=True),
            sa.Column("geometry", sa.Text(), nullable=True),
            sa.Column("gloss_instrument", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("gloss_deg IN (20, 60, 85)", name=op.f("ck_colour_reading_gloss_deg_known")),
        ),
        _one(
            "colour_answer",
            sa.Column("sample_id", sa.Text(), nullable=False),
            sa.Column("yes", FLAG, nullable=False),
            sa.Column("client_name", sa.Text(), nullable=False),
            sa.Column("client_words", sa.Text(), nullable=True),
            sa.Column("light", sa.Text(), nullable=True),
            sa.Column("delta_e", FIGURE, nullable=True),
            sa.Column("mean_delta_e", FIGURE, nullable=True),
            sa.Column("gloss_difference", FIGURE, nullable=True),
            sa.Column("tolerance", FIGURE, nullable=True),
            sa.Column("gloss_tolerance", FIGURE, nullable=True),
            sa.Column("verdict", sa.Text(), nullable=False),
            sa.Column("reasons", sa.Text(), nullable=True),
            sa.Column("source", sa.Text(), nullable=False),
            sa.Column("calculation", sa.Text(), nullable=False),
            _known("colour_answer", "verdict", "met", "not met", "cannot tell"),
        ),
        _rows(
            "colour_answer_reading",
            sa.Column("reading_id", sa.Text(), nullable=False),
        ),
        _one(
            "touch_up",
            sa.Column("recipe", sa.Text(), nullable=False),
            sa.Column("assembled", sa.Text(), nullable=True),
            sa.Column("kept", sa.Text(), nullable=True),
            sa.Column("keeps_until", sa.Text(), nullable=True),
            sa.Column("keeps_why", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "touch_up_item",
            sa.Column("what", sa.Text(), nullable=False),
            sa.Column("amount", sa.Text(), nullable=True),
            sa.Column("product_id", sa.Text(), nullable=True),
            sa.Column("batch_id", sa.Text(), nullable=True),
            sa.Column("batch", sa.Text(), nullable=True),
            sa.Column("keeps_until", sa.Text(), nullable=True),
            sa.Column("why", sa.Text(), nullable=True),
        ),
    )


def _appliance() -> tuple[sa.Table, ...]:
    return (
        _one(
            "appliance",
            sa.Column("kind", sa.Text(), nullable=True),
            sa.Column("model", sa.Text(), nullable=True),
            sa.Column("serial", sa.Text(), nullable=True),
            sa.Column("fuel", sa.Text(), nullable=True),
            sa.Column("output_kw", FIGURE, nullable=True),
            sa.Column("country", sa.Text(), nullable=True),
            sa.Column("instructions", sa.Text(), nullable=True),
            sa.Column("plate_above_mm", FIGURE, nullable=True),
            sa.Column("plate_beside_mm", FIGURE, nullable=True),
            sa.Column("plate_front_mm", FIGURE, nullable=True),
            sa.Column("plate_flue_mm", FIGURE, nullable=True),
            sa.Column("opening_width_mm", FIGURE, nullable=True),
            sa.Column("opening_height_mm", FIGURE, nullable=True),
            sa.Column("opening_floor_mm", FIGURE, nullable=True),
            sa.Column("flue", sa.Text(), nullable=True),
            sa.Column("flue_diameter_mm", FIGURE, nullable=True),
            sa.Column("flue_shielded", FLAG, nullable=True),
            sa.Column("commissioned", sa.Text(), nullable=True),
            sa.Column("commissioning", sa.Text(), nullable=True),
            sa.Column("seen_by", sa.Text(), nullable=True),
            sa.Column("seen_on", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("appliance", "commissioned", "paper seen", "no paper", "not known"),
            sa.CheckConstraint("flue_diameter_mm > 0", name=op.f("ck_appliance_flue_positive")),
            _known("appliance", "fuel", "wood", "coal", "pellets", "gas", "oil", "ethanol", "electricity", "other"),
            _known(
                "appliance",
                "kind",
                "masonry fireplace",
                "factory-built fireplace",
                "stove",
                "gas fire",
                "electric fire",
                "other",
            ),
            sa.CheckConstraint(
                "opening_width_mm > 0 AND opening_height_mm > 0", name=op.f("ck_appliance_opening_positive")
            ),
            sa.CheckConstraint("output_kw > 0", name=op.f("ck_appliance_output_positive")),
        ),
        _one(
            "heat_distances",
            sa.Column("measured_by", sa.Text(), nullable=True),
            sa.Column("measured_on", sa.Text(), nullable=True),
            sa.Column("tape", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "heat_distance",
            sa.Column("thing", sa.Text(), nullable=False),
            sa.Column("place", sa.Text(), nullable=False),
            sa.Column("distance_mm", FIGURE, nullable=True),
            sa.Column("projection_mm", FIGURE, nullable=True),
            sa.Column("combustible", FLAG, nullable=True),
            sa.Column("metal_fixing", FLAG, nullable=True),
            sa.Column("known_from", sa.Text(), nullable=True),
            sa.CheckConstraint("distance_mm >= 0", name=op.f("ck_heat_distance_distance_not_negative")),
            _known("heat_distance", "place", "above", "left", "right", "front", "flue"),
            sa.CheckConstraint("projection_mm >= 0", name=op.f("ck_heat_distance_projection_not_negative")),
        ),
        _one(
            "fire_evidence",
            sa.Column("tested", sa.Text(), nullable=False),
            sa.Column("tested_words", sa.Text(), nullable=True),
            sa.Column("report", sa.Text(), nullable=False),
            sa.Column("laboratory", sa.Text(), nullable=True),
            sa.Column("standard", sa.Text(), nullable=True),
            sa.Column("result", sa.Text(), nullable=True),
            sa.Column("reported_on", sa.Text(), nullable=True),
            sa.Column("covers", sa.Text(), nullable=False),
            sa.Column("covers_not", sa.Text(), nullable=False),
            sa.Column("note", sa.Text(), nullable=True),
            sa.Column("dropped", FLAG, nullable=False),
            _known("fire_evidence", "tested", "coupon", "assembly", "whole piece", "material"),
        ),
        _one(
            "heat_limits",
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "heat_limit",
            sa.Column("part", sa.Text(), nullable=False),
            sa.Column("named", sa.Text(), nullable=True),
            sa.Column("absent", FLAG, nullable=False),
            sa.Column("limit_c", FIGURE, nullable=True),
            sa.Column("known_from", sa.Text(), nullable=True),
            sa.Column("document", sa.Text(), nullable=True),
            _known("heat_limit", "known_from", "data sheet", "approval document", "test report", "estimate"),
            _known("heat_limit", "part", "laminate", "bond", "foam", "coat", "anchor resin", "other"),
        ),
    )


def _heat_test() -> tuple[sa.Table, ...]:
    return (
        _one(
            "heat_test",
            sa.Column("lit_at", sa.Text(), nullable=False),
            sa.Column("fuel", sa.Text(), nullable=True),
            sa.Column("by_hand", FLAG, nullable=True),
            sa.Column("output", sa.Text(), nullable=True),
            sa.Column("output_from", sa.Text(), nullable=True),
            sa.Column("room_c", FIGURE, nullable=True),
            sa.Column("hottest_room_c", FIGURE, nullable=True),
            sa.Column("hottest_from", sa.Text(), nullable=True),
            sa.Column("margin_c", FIGURE, nullable=False),
            sa.Column("watched_by", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("margin_c >= 0", name=op.f("ck_heat_test_margin_not_negative")),
            _known("heat_test", "output", "rated output", "less than rated", "not known"),
        ),
        _rows(
            "heat_probe",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("spot", sa.Text(), nullable=False),
            sa.Column("placed", sa.Text(), nullable=True),
            sa.Column("thermometer", sa.Text(), nullable=True),
            sa.Column("error_c", FIGURE, nullable=False),
            sa.CheckConstraint("error_c >= 0", name=op.f("ck_heat_probe_error_not_negative")),
            _known("heat_probe", "spot", "face", "back", "bond", "anchor"),
        ),
        _one(
            "heat_readings",
            sa.Column("test_id", sa.Text(), nullable=False),
            sa.Column("note", sa.Text(), nullable=True),
            sa.ForeignKeyConstraint(["test_id"], ["entry.id"], name=op.f("fk_heat_readings_test_id")),
        ),
        _rows(
            "heat_reading",
            sa.Column("probe", sa.Text(), nullable=False),
            sa.Column("minutes", FIGURE, nullable=False),
            sa.Column("surface_c", FIGURE, nullable=False),
        ),
        _one(
            "heat_log",
            sa.Column("test_id", sa.Text(), nullable=False),
            sa.Column("file_name", sa.Text(), nullable=False),
            sa.Column("text", sa.Text(), nullable=False),
            sa.Column("points", sa.Text(), nullable=False),
            sa.Column("left_out", sa.Text(), nullable=True),
            sa.Column("reader", sa.Text(), nullable=False),
            sa.ForeignKeyConstraint(["test_id"], ["entry.id"], name=op.f("fk_heat_log_test_id")),
        ),
        _one(
            "heat_event",
            sa.Column("test_id", sa.Text(), nullable=False),
            sa.Column("what", sa.Text(), nullable=False),
            sa.Column("minutes", FIGURE, nullable=False),
            sa.Column("probe", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("heat_event", "what", "refuelled", "shut down", "probe slipped", "other"),
            sa.ForeignKeyConstraint(["test_id"], ["entry.id"], name=op.f("fk_heat_event_test_id")),
        ),
        _one(
            "heat_test_end",
            sa.Column("test_id", sa.Text(), nullable=False),
            sa.Column("verdict", sa.Text(), nullable=False),
            sa.Column("outcome", sa.Text(), nullable=False),
            sa.Column("calculation", sa.Text(), nullable=False),
            sa.Column("note", sa.Text(), nullable=True),
            _known("heat_test_end", "verdict", "met", "not met", "cannot tell"),
            sa.ForeignKeyConstraint(["test_id"], ["entry.id"], name=op.f("fk_heat_test_end_test_id")),
        ),
    )
