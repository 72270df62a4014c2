"""Weighings, the wall, the template, holes, loads, anchors, the lift and the way in."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the new tables and triggers; add columns that may be null, so that every digest stays as it was."""
    _hanging_points()
    _build_up()
    made = (*_weighing(), *_wall(), *_template(), *_loads(), *_anchors(), *_lifting())
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


def _hanging_points() -> None:
    op.add_column(
        "particulars",
        sa.Column("points_from", sa.Text(), _known("particulars", "points_from", "front", "back"), nullable=True),
    )
    op.add_column("hanging_point", sa.Column("bolt_mm", FIGURE, nullable=True))
    op.add_column("hanging_point", sa.Column("slot_mm", FIGURE, nullable=True))
    op.add_column("hanging_point", sa.Column("slot_deg", FIGURE, nullable=True))
    op.add_column(
        "hanging_point",
        sa.Column("holds", sa.Text(), _known("hanging_point", "holds", "bolt", "slot", "hook", "rail"), nullable=True),
    )
    op.add_column("hanging_point", sa.Column("bevel_deg", FIGURE, nullable=True))
    op.add_column("hanging_point", sa.Column("edge_mm", FIGURE, nullable=True))
    op.add_column("hanging_point", sa.Column("fails_with", sa.Text(), nullable=True))


def _build_up() -> None:
    op.add_column(
        "build_up_line",
        sa.Column(
            "made_as",
            sa.Text(),
            _known(
                "build_up_line",
                "made_as",
                "laminate",
                "film",
                "block",
                "plate",
                "round bar",
                "round tube",
                "square tube",
                "as weighed",
            ),
            nullable=True,
        ),
    )
    op.add_column("build_up_line", sa.Column("area_m2", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("glass_g_m2", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("glass_fraction", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("film_um", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("density_kg_m3", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("length_mm", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("width_mm", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("height_mm", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("pieces", WHOLE, nullable=True))
    op.add_column("build_up_line", sa.Column("x_mm", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("y_mm", FIGURE, nullable=True))
    op.add_column("build_up_line", sa.Column("z_mm", FIGURE, nullable=True))


def _weighing() -> tuple[sa.Table, ...]:
    return (
        _one(
            "weighing",
            sa.Column("scales", sa.Text(), nullable=False),
            sa.Column("mass_kg", FIGURE, nullable=False),
            sa.Column("x_mm", FIGURE, nullable=True),
            sa.Column("y_mm", FIGURE, nullable=True),
            sa.Column("z_mm", FIGURE, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("mass_kg > 0", name=op.f("ck_weighing_mass_positive")),
        ),
        _rows(
            "weighing_reading",
            sa.Column("way", sa.Text(), nullable=False),
            sa.Column("x_mm", FIGURE, nullable=True),
            sa.Column("y_mm", FIGURE, nullable=True),
            sa.Column("z_mm", FIGURE, nullable=True),
            sa.Column("mass_kg", FIGURE, nullable=False),
            sa.CheckConstraint("mass_kg >= 0", name=op.f("ck_weighing_reading_mass_not_negative")),
            _known("weighing_reading", "way", "lying", "on edge"),
        ),
    )


def _wall() -> tuple[sa.Table, ...]:
    return (
        _one(
            "wall_found",
            sa.Column("material", sa.Text(), nullable=True),
            sa.Column("material_words", sa.Text(), nullable=True),
            sa.Column("proved_by", sa.Text(), nullable=True),
            sa.Column("thickness_mm", FIGURE, nullable=True),
            sa.Column("sound", FLAG, nullable=True),
            sa.Column("gap_mm", FIGURE, nullable=True),
            sa.Column("studs", sa.Text(), nullable=True),
            sa.Column("lintels", sa.Text(), nullable=True),
            sa.Column("flue", sa.Text(), nullable=True),
            sa.Column("bow_mm", FIGURE, nullable=True),
            sa.Column("plumb_mm_m", FIGURE, nullable=True),
            sa.Column("services_front", sa.Text(), nullable=True),
            sa.Column("services_back", sa.Text(), nullable=True),
            sa.Column("services_words", sa.Text(), nullable=True),
            sa.Column("detector", sa.Text(), nullable=True),
            sa.Column("consent", sa.Text(), nullable=True),
            sa.Column("consent_by", sa.Text(), nullable=True),
            sa.Column("asbestos", sa.Text(), nullable=True),
            sa.Column("asbestos_words", sa.Text(), nullable=True),
            sa.Column("found_by", sa.Text(), nullable=False),
            sa.Column("found_on", sa.Text(), nullable=False),
            sa.Column("from_form", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("wall_found", "asbestos", "surveyed clear", "built after the ban", "found", "not known"),
            _known("wall_found", "consent", "in writing", "spoken", "not given"),
            sa.CheckConstraint("gap_mm >= 0", name=op.f("ck_wall_found_gap_not_negative")),
            _known(
                "wall_found", "material", "concrete", "solid masonry", "hollow masonry", "timber", "stud wall", "other"
            ),
            _known("wall_found", "proved_by", "trial hole", "looked", "told"),
            _known("wall_found", "services_back", "none near", "near", "not looked"),
            _known("wall_found", "services_front", "none near", "near", "not looked"),
            sa.CheckConstraint("thickness_mm > 0", name=op.f("ck_wall_found_thickness_positive")),
        ),
        _one(
            "strength",
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "strength_point",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("proof", sa.Text(), nullable=False),
            sa.Column("bond_area_mm2", FIGURE, nullable=True),
            sa.Column("coupon_area_mm2", FIGURE, nullable=True),
            sa.Column("proof_n", FIGURE, nullable=True),
            sa.Column("factor", FIGURE, nullable=True),
            sa.Column("factor_why", sa.Text(), nullable=True),
            sa.Column("bond_service_c", FIGURE, nullable=True),
            sa.Column("plate_mm", FIGURE, nullable=True),
            sa.Column("proved_on", sa.Text(), nullable=True),
            sa.Column("proved_by", sa.Text(), nullable=True),
            sa.Column("evidence", sa.Text(), nullable=True),
            sa.CheckConstraint("bond_area_mm2 > 0", name=op.f("ck_strength_point_bond_area_positive")),
            sa.CheckConstraint("coupon_area_mm2 > 0", name=op.f("ck_strength_point_coupon_area_positive")),
            sa.CheckConstraint("factor >= 1", name=op.f("ck_strength_point_factor_not_below_one")),
            _known("strength_point", "proof", "coupon pull", "proof load", "not proved"),
            sa.CheckConstraint("proof_n > 0", name=op.f("ck_strength_point_proof_positive")),
        ),
    )


def _template() -> tuple[sa.Table, ...]:
    return (
        _one(
            "fixing_template",
            sa.Column("datum", sa.Text(), nullable=False),
            sa.Column("x_mm", FIGURE, nullable=False),
            sa.Column("y_mm", FIGURE, nullable=False),
            sa.Column("level_line", sa.Text(), nullable=True),
            sa.Column("level_mm", FIGURE, nullable=True),
            sa.Column("wall_asked", sa.Text(), nullable=True),
            sa.Column("anchor", sa.Text(), nullable=True),
            sa.Column("anchor_document", sa.Text(), nullable=True),
            sa.Column("drill_mm", FIGURE, nullable=True),
            sa.Column("embedment_mm", FIGURE, nullable=True),
            sa.Column("torque_nm", FIGURE, nullable=True),
            sa.Column("proof_kn", FIGURE, nullable=True),
            sa.Column("designed_by", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.Column("particulars_id", sa.Text(), nullable=False),
            sa.CheckConstraint("drill_mm > 0", name=op.f("ck_fixing_template_drill_positive")),
            sa.CheckConstraint("embedment_mm > 0", name=op.f("ck_fixing_template_embedment_positive")),
            sa.CheckConstraint("proof_kn > 0", name=op.f("ck_fixing_template_proof_positive")),
            sa.CheckConstraint("torque_nm > 0", name=op.f("ck_fixing_template_torque_positive")),
        ),
        _one(
            "pack_back",
            sa.Column("filled_by", sa.Text(), nullable=False),
            sa.Column("filled_on", sa.Text(), nullable=False),
            sa.Column("template_id", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _one(
            "hole_survey",
            sa.Column("unit", sa.Text(), nullable=False),
            sa.Column("caller", sa.Text(), nullable=True),
            sa.Column("tape", sa.Text(), nullable=True),
            sa.Column("laser", sa.Text(), nullable=True),
            sa.Column("from_form", FLAG, nullable=True),
            sa.Column("mirrored", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("hole_survey", "unit", "mm", "in"),
        ),
        _rows(
            "hole_reading",
            sa.Column("what", sa.Text(), nullable=False),
            sa.Column("a", sa.Text(), nullable=False),
            sa.Column("b", sa.Text(), nullable=True),
            sa.Column("mm", FIGURE, nullable=False),
            sa.Column("typed", sa.Text(), nullable=False),
            sa.Column("from_mm", FIGURE, nullable=True),
            sa.CheckConstraint(
                "what = 'height' OR (b IS NOT NULL AND mm > 0)", name=op.f("ck_hole_reading_tape_whole")
            ),
            _known("hole_reading", "what", "tape", "height"),
        ),
        _one(
            "hole_easing",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("dx_mm", FIGURE, nullable=False),
            sa.Column("dy_mm", FIGURE, nullable=False),
            sa.Column("hole_mm", FIGURE, nullable=False),
            sa.Column("slot_mm", FIGURE, nullable=True),
            sa.Column("slot_deg", FIGURE, nullable=True),
            sa.Column("reason", sa.Text(), nullable=False),
            sa.Column("particulars_id", sa.Text(), nullable=False),
            sa.CheckConstraint("hole_mm > 0", name=op.f("ck_hole_easing_hole_positive")),
        ),
    )


def _loads() -> tuple[sa.Table, ...]:
    return (
        _one(
            "load_sheet",
            sa.Column("lean_n", FIGURE, nullable=True),
            sa.Column("lean_x_mm", FIGURE, nullable=True),
            sa.Column("lean_y_mm", FIGURE, nullable=True),
            sa.Column("lean_why", sa.Text(), nullable=True),
            sa.Column("sudden", FIGURE, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.Column("verdict", sa.Text(), nullable=False),
            sa.Column("outcome", sa.Text(), nullable=False),
            sa.Column("calculation", sa.Text(), nullable=False),
            sa.Column("particulars_id", sa.Text(), nullable=False),
            sa.Column("weighing_id", sa.Text(), nullable=True),
            sa.Column("wall_id", sa.Text(), nullable=True),
            sa.CheckConstraint("lean_n >= 0", name=op.f("ck_load_sheet_lean_not_negative")),
            sa.CheckConstraint("sudden >= 1", name=op.f("ck_load_sheet_sudden_not_below_one")),
            _known("load_sheet", "verdict", "met", "not met", "cannot tell"),
        ),
        _rows(
            "load_pad",
            sa.Column("x_mm", FIGURE, nullable=False),
            sa.Column("y_mm", FIGURE, nullable=False),
        ),
        _rows(
            "load_resistance",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("kind", sa.Text(), nullable=False),
            sa.Column("pull_n", FIGURE, nullable=True),
            sa.Column("shear_n", FIGURE, nullable=True),
            sa.Column("document", sa.Text(), nullable=True),
            sa.Column("covered", FLAG, nullable=True),
            _known(
                "load_resistance",
                "kind",
                "steel",
                "concrete",
                "masonry solid",
                "masonry hollow",
                "timber",
                "tested on site",
            ),
            sa.CheckConstraint("pull_n > 0", name=op.f("ck_load_resistance_pull_positive")),
            sa.CheckConstraint("shear_n > 0", name=op.f("ck_load_resistance_shear_positive")),
        ),
    )


def _anchors() -> tuple[sa.Table, ...]:
    return (
        _one(
            "anchor_set",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("kind", sa.Text(), nullable=False),
            sa.Column("product", sa.Text(), nullable=False),
            sa.Column("batch", sa.Text(), nullable=True),
            sa.Column("expires_on", sa.Text(), nullable=True),
            sa.Column("drilled_mm", FIGURE, nullable=True),
            sa.Column("embedment_mm", FIGURE, nullable=True),
            sa.Column("cleaned", FLAG, nullable=True),
            sa.Column("cleaning", sa.Text(), nullable=True),
            sa.Column("wall_c", FIGURE, nullable=True),
            sa.Column("set_at", sa.Text(), nullable=False),
            sa.Column("set_by", sa.Text(), nullable=False),
            sa.Column("from_form", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("drilled_mm > 0", name=op.f("ck_anchor_set_drilled_positive")),
            sa.CheckConstraint("embedment_mm > 0", name=op.f("ck_anchor_set_embedment_positive")),
            _known("anchor_set", "kind", "resin", "expansion", "screw", "other"),
        ),
        _rows(
            "anchor_curing",
            sa.Column("wall_c", FIGURE, nullable=False),
            sa.Column("minutes", FIGURE, nullable=False),
            sa.CheckConstraint("minutes > 0", name=op.f("ck_anchor_curing_minutes_positive")),
        ),
        _one(
            "anchor_tightened",
            sa.Column("labels", sa.Text(), nullable=False),
            sa.Column("torque_nm", FIGURE, nullable=True),
            sa.Column("wrench", sa.Text(), nullable=True),
            sa.Column("marked", FLAG, nullable=False),
            sa.Column("locked", FLAG, nullable=True),
            sa.Column("lock", sa.Text(), nullable=True),
            sa.Column("done_by", sa.Text(), nullable=False),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("torque_nm > 0", name=op.f("ck_anchor_tightened_torque_positive")),
        ),
        _one(
            "anchor_proof",
            sa.Column("label", sa.Text(), nullable=False),
            sa.Column("asked_kn", FIGURE, nullable=True),
            sa.Column("load_kn", FIGURE, nullable=False),
            sa.Column("held_s", FIGURE, nullable=True),
            sa.Column("movement_mm", FIGURE, nullable=True),
            sa.Column("allowed_mm", FIGURE, nullable=True),
            sa.Column("gauge", sa.Text(), nullable=True),
            sa.Column("calibrated_until", sa.Text(), nullable=True),
            sa.Column("tested_at", sa.Text(), nullable=False),
            sa.Column("tested_by", sa.Text(), nullable=False),
            sa.Column("sacrificed", FLAG, nullable=True),
            sa.Column("from_form", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            sa.CheckConstraint("held_s >= 0", name=op.f("ck_anchor_proof_held_not_negative")),
            sa.CheckConstraint("load_kn > 0", name=op.f("ck_anchor_proof_load_positive")),
        ),
    )


def _lifting() -> tuple[sa.Table, ...]:
    return (
        _one(
            "lift_plan",
            sa.Column("calls", sa.Text(), nullable=True),
            sa.Column("guides", sa.Text(), nullable=True),
            sa.Column("lifters", sa.Text(), nullable=True),
            sa.Column("stop_call", sa.Text(), nullable=True),
            sa.Column("lift_points", sa.Text(), nullable=True),
            sa.Column("nuts", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
        ),
        _rows(
            "lift_step",
            sa.Column("step", sa.Text(), nullable=False),
            sa.Column("zone_from", sa.Text(), nullable=True),
            sa.Column("zone_to", sa.Text(), nullable=True),
            sa.Column("reach", sa.Text(), nullable=True),
            sa.Column("standing", sa.Text(), nullable=True),
            sa.Column("aid", sa.Text(), nullable=False),
            sa.Column("rated_kg", FIGURE, nullable=True),
            sa.Column("people", WHOLE, nullable=True),
            sa.Column("lower", WHOLE, nullable=True),
            sa.Column("carry_m", FIGURE, nullable=True),
            sa.Column("in_crate", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("lift_step", "aid", "none", "hoist", "trolley", "prop"),
            sa.CheckConstraint("people >= 0", name=op.f("ck_lift_step_people_not_negative")),
            _known("lift_step", "standing", "floor", "platform", "stairs", "ladder"),
            _known("lift_step", "step", "unload", "carry", "raise", "hold", "seat"),
        ),
        _one(
            "route",
            sa.Column("ways_up", sa.Text(), nullable=True),
            sa.Column("may_tilt", FLAG, nullable=True),
            sa.Column("room_mm", FIGURE, nullable=True),
            sa.Column("measured_by", sa.Text(), nullable=True),
            sa.Column("measured_on", sa.Text(), nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("route", "ways_up", "upright", "upright or on its side", "any"),
        ),
        _rows(
            "route_step",
            sa.Column("kind", sa.Text(), nullable=False),
            sa.Column("name", sa.Text(), nullable=False),
            sa.Column("width_mm", FIGURE, nullable=True),
            sa.Column("height_mm", FIGURE, nullable=True),
            sa.Column("second_mm", FIGURE, nullable=True),
            sa.Column("slope_deg", FIGURE, nullable=True),
            sa.Column("turn", sa.Text(), nullable=True),
            sa.Column("door_width_mm", FIGURE, nullable=True),
            sa.Column("door_height_mm", FIGURE, nullable=True),
            sa.Column("load_kg", FIGURE, nullable=True),
            sa.Column("riders", WHOLE, nullable=True),
            sa.Column("measured", FLAG, nullable=True),
            sa.Column("note", sa.Text(), nullable=True),
            _known("route_step", "kind", "opening", "passage", "corner", "stand up", "stairs", "lift", "slope"),
            _known("route_step", "turn", "none", "quarter", "half"),
        ),
    )
