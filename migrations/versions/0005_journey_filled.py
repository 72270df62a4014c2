"""Made ready in full, lists for each way of standing, snags, marks, products, conditions, aftercare."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:  # noqa: PLR0915 - one statement a table
    """Make the new tables and triggers; add columns that may be null, so that every digest stays as it was."""
    op.create_table(
        "given_link",
        sa.Column("token_digest", sa.Text(), nullable=False),
        sa.Column("certificate_id", sa.Text(), nullable=False),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("until_at", sa.Text(), nullable=False),
        sa.Column("opened", WHOLE, nullable=False),
        sa.CheckConstraint("opened >= 0", name=op.f("ck_given_link_opened_not_negative")),
        sa.PrimaryKeyConstraint("token_digest", name=op.f("pk_given_link")),
        sqlite_strict=True,
    )
    agreed = op.create_table(
        "agreed",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("agreed_on", sa.Text(), nullable=False),
        sa.Column("agreed_by", sa.Text(), nullable=True),
        sa.Column("said", sa.Text(), nullable=True),
        sa.Column("evidence", sa.Text(), nullable=True),
        sa.CheckConstraint("about IN ('stage', 'change')", name=op.f("ck_agreed_about_known")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_agreed_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_agreed")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    batch = op.create_table(
        "batch",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("batch_id", sa.Text(), nullable=False),
        sa.Column("product_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("expires_on", sa.Text(), nullable=True),
        sa.Column("opened_on", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_batch_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_batch")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_batch_product_id"), "batch", ["product_id"], unique=False)
    brought = op.create_table(
        "brought",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("item_id", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("how IN ('packed', 'not needed')", name=op.f("ck_brought_how_known")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_brought_entry_id")),
        sa.ForeignKeyConstraint(["item_id"], ["entry.id"], name=op.f("fk_brought_item_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_brought")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_brought_item_id"), "brought", ["item_id"], unique=False)
    care_date = op.create_table(
        "care_date",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("due_on", sa.Text(), nullable=False),
        sa.Column("every_months", WHOLE, nullable=True),
        sa.Column("dropped", FLAG, nullable=False),
        sa.CheckConstraint("every_months >= 1 AND every_months <= 600", name=op.f("ck_care_date_every_months_range")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_care_date_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_care_date")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_care_date_due_on"), "care_date", ["due_on"], unique=False)
    certificate_withdrawal = op.create_table(
        "certificate_withdrawal",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("certificate_id", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["certificate_id"], ["entry.id"], name=op.f("fk_certificate_withdrawal_certificate_id")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_certificate_withdrawal_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_certificate_withdrawal")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        op.f("ix_certificate_withdrawal_certificate_id"), "certificate_withdrawal", ["certificate_id"], unique=False
    )
    check_release = op.create_table(
        "check_release",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("list_id", sa.Text(), nullable=False),
        sa.Column("line_key", sa.Text(), nullable=True),
        sa.Column("released", FLAG, nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("seen", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_check_release_entry_id")),
        sa.ForeignKeyConstraint(["list_id"], ["entry.id"], name=op.f("fk_check_release_list_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_check_release")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_check_release_list_id_line_key"), "check_release", ["list_id", "line_key"], unique=False)
    check_taken_back = op.create_table(
        "check_taken_back",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("list_id", sa.Text(), nullable=False),
        sa.Column("line_key", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_check_taken_back_entry_id")),
        sa.ForeignKeyConstraint(["list_id"], ["entry.id"], name=op.f("fk_check_taken_back_list_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_check_taken_back")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    condition_look = op.create_table(
        "condition_look",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("occasion", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("light", sa.Text(), nullable=True),
        sa.Column("surroundings", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("advice", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "found IN ('nothing found', 'something found', 'not looked at yet')",
            name=op.f("ck_condition_look_found_known"),
        ),
        sa.CheckConstraint("occasion IN ('handover', 'later visit')", name=op.f("ck_condition_look_occasion_known")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_condition_look_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_condition_look")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    crate = op.create_table(
        "crate",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("width_mm", FIGURE, nullable=True),
        sa.Column("height_mm", FIGURE, nullable=True),
        sa.Column("depth_mm", FIGURE, nullable=True),
        sa.Column("gross_kg", FIGURE, nullable=True),
        sa.Column("gross_origin", sa.Text(), nullable=True),
        sa.Column("way_up", sa.Text(), nullable=True),
        sa.Column("shock_indicator", sa.Text(), nullable=True),
        sa.Column("tilt_indicator", sa.Text(), nullable=True),
        sa.Column("acclimatise_hours", FIGURE, nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("acclimatise_hours >= 0", name=op.f("ck_crate_acclimatise_not_negative")),
        sa.CheckConstraint("gross_origin IN ('weighed', 'estimated')", name=op.f("ck_crate_gross_origin_known")),
        sa.CheckConstraint("gross_kg > 0", name=op.f("ck_crate_gross_positive")),
        sa.CheckConstraint("(gross_kg IS NULL) = (gross_origin IS NULL)", name=op.f("ck_crate_gross_with_origin")),
        sa.CheckConstraint("width_mm > 0 AND height_mm > 0 AND depth_mm > 0", name=op.f("ck_crate_sizes_positive")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_crate_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_crate")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    dispatch = op.create_table(
        "dispatch",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("packed_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "found IN ('nothing found', 'something found', 'not looked at yet')", name=op.f("ck_dispatch_found_known")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_dispatch_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_dispatch")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    handover_condition = op.create_table(
        "handover_condition",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_handover_condition_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_handover_condition")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    handover_signature = op.create_table(
        "handover_signature",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("capacity", sa.Text(), nullable=True),
        sa.Column("signature_sha256", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_handover_signature_entry_id")),
        sa.ForeignKeyConstraint(
            ["signature_sha256"], ["photo.sha256"], name=op.f("fk_handover_signature_signature_sha256")
        ),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_handover_signature")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    keeper = op.create_table(
        "keeper",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=True),
        sa.Column("since", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_keeper_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_keeper")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    later_visit = op.create_table(
        "later_visit",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("done_on", sa.Text(), nullable=False),
        sa.Column("done_by", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("care_date_id", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "what IN ('inspected', 'cleaned', 'touched up', 're-hung', 'taken down', 'other')",
            name=op.f("ck_later_visit_what_known"),
        ),
        sa.ForeignKeyConstraint(["care_date_id"], ["entry.id"], name=op.f("fk_later_visit_care_date_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_later_visit_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_later_visit")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_later_visit_care_date_id"), "later_visit", ["care_date_id"], unique=False)
    mark_set = op.create_table(
        "mark_set",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("of_id", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_mark_set_entry_id")),
        sa.ForeignKeyConstraint(["of_id"], ["entry.id"], name=op.f("fk_mark_set_of_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_mark_set")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_mark_set_of_id"), "mark_set", ["of_id"], unique=False)
    moved = op.create_table(
        "moved",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=True),
        sa.Column("moved_on", sa.Text(), nullable=False),
        sa.Column("moved_by", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_moved_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_moved")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    photo_mark = op.create_table(
        "photo_mark",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("x", FIGURE, nullable=False),
        sa.Column("y", FIGURE, nullable=False),
        sa.Column("kind", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("number >= 1", name=op.f("ck_photo_mark_number_from_one")),
        sa.CheckConstraint("x >= 0 AND x <= 1 AND y >= 0 AND y <= 1", name=op.f("ck_photo_mark_on_the_photo")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_photo_mark_entry_id")),
        sa.ForeignKeyConstraint(["sha256"], ["photo.sha256"], name=op.f("fk_photo_mark_sha256")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_photo_mark")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    product = op.create_table(
        "product",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("product_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("maker", sa.Text(), nullable=True),
        sa.Column("what", sa.Text(), nullable=True),
        sa.Column("sheet", sa.Text(), nullable=True),
        sa.Column("hazards", sa.Text(), nullable=True),
        sa.Column("protection", sa.Text(), nullable=True),
        sa.Column("ventilation", sa.Text(), nullable=True),
        sa.Column("room_again_hours", FIGURE, nullable=True),
        sa.Column("recoat_hours", FIGURE, nullable=True),
        sa.Column("air_min_c", FIGURE, nullable=True),
        sa.Column("air_max_c", FIGURE, nullable=True),
        sa.Column("surface_min_c", FIGURE, nullable=True),
        sa.Column("surface_max_c", FIGURE, nullable=True),
        sa.Column("humidity_min", FIGURE, nullable=True),
        sa.Column("humidity_max", FIGURE, nullable=True),
        sa.Column("margin_limit_c", FIGURE, nullable=True),
        sa.Column("touch_up", sa.Text(), nullable=True),
        sa.Column("keeps_until", sa.Text(), nullable=True),
        sa.Column("dropped", FLAG, nullable=False),
        sa.CheckConstraint("recoat_hours > 0", name=op.f("ck_product_recoat_positive")),
        sa.CheckConstraint("room_again_hours >= 0", name=op.f("ck_product_room_again_not_negative")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_product_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_product")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    site_contact = op.create_table(
        "site_contact",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=True),
        sa.Column("phone", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_site_contact_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_site_contact")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    site_contacts = op.create_table(
        "site_contacts",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_site_contacts_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_site_contacts")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    snag = op.create_table(
        "snag",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=True),
        sa.Column("list_id", sa.Text(), nullable=True),
        sa.Column("line_key", sa.Text(), nullable=True),
        sa.Column("answer_id", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_snag_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_snag")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    snag_close = op.create_table(
        "snag_close",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("snag_id", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=True),
        sa.Column("accepted_by", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "how <> 'accepted' OR accepted_by IS NOT NULL", name=op.f("ck_snag_close_accepted_by_somebody")
        ),
        sa.CheckConstraint(
            "how IN ('cleared', 'accepted', 'check met', 'taken back')", name=op.f("ck_snag_close_how_known")
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_snag_close_entry_id")),
        sa.ForeignKeyConstraint(["snag_id"], ["entry.id"], name=op.f("fk_snag_close_snag_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_snag_close")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_snag_close_snag_id"), "snag_close", ["snag_id"], unique=False)
    to_bring = op.create_table(
        "to_bring",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_to_bring_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_to_bring")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    unwrap_reading = op.create_table(
        "unwrap_reading",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("arrival_id", sa.Text(), nullable=False),
        sa.Column("piece_c", FIGURE, nullable=True),
        sa.Column("air_c", FIGURE, nullable=True),
        sa.Column("relative_humidity", FIGURE, nullable=True),
        sa.Column("instrument", sa.Text(), nullable=True),
        sa.Column("dew_point_c", FIGURE, nullable=True),
        sa.Column("margin_c", FIGURE, nullable=True),
        sa.Column("margin_low_c", FIGURE, nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("reasons", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("calculation", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "verdict IN ('met', 'not met', 'cannot tell')", name=op.f("ck_unwrap_reading_verdict_known")
        ),
        sa.ForeignKeyConstraint(["arrival_id"], ["entry.id"], name=op.f("fk_unwrap_reading_arrival_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_unwrap_reading_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_unwrap_reading")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_unwrap_reading_arrival_id"), "unwrap_reading", ["arrival_id"], unique=False)
    visit = op.create_table(
        "visit",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("visit_id", sa.Text(), nullable=False),
        sa.Column("day", sa.Text(), nullable=False),
        sa.Column("from_time", sa.Text(), nullable=True),
        sa.Column("until_time", sa.Text(), nullable=True),
        sa.Column("purpose", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_visit_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_visit")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_visit_day"), "visit", ["day"], unique=False)
    visit_person = op.create_table(
        "visit_person",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=True),
        sa.Column("role", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_visit_person_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_visit_person")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.add_column(
        "particulars",
        sa.Column(
            "stands",
            sa.Text(),
            sa.CheckConstraint(
                "stands IN ('on points', 'on rails', 'free-standing', 'suspended')",
                name=op.f("ck_particulars_stands_known"),
            ),
            nullable=True,
        ),
    )
    op.add_column("particulars", sa.Column("near_heat", FLAG, nullable=True))
    op.add_column("check_list", sa.Column("list_key", sa.Text(), nullable=True))
    op.add_column("check_line", sa.Column("second", FLAG, nullable=True))
    op.add_column("check_line", sa.Column("calculation", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("second_name", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("second_id", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("calculation", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("inputs", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("outcome", sa.Text(), nullable=True))
    op.add_column("check_answer", sa.Column("particulars_id", sa.Text(), nullable=True))
    op.add_column("arrival", sa.Column("shock", sa.Text(), nullable=True))
    op.add_column("arrival", sa.Column("tilt", sa.Text(), nullable=True))
    op.add_column("finishing_session", sa.Column("ventilation", sa.Text(), nullable=True))
    op.add_column("coat", sa.Column("product_id", sa.Text(), nullable=True))
    op.add_column("coat", sa.Column("batch_id", sa.Text(), nullable=True))
    op.add_column("finishing_close", sa.Column("client_name", sa.Text(), nullable=True))
    op.add_column("finishing_close", sa.Column("client_yes", FLAG, nullable=True))
    op.add_column("certificate", sa.Column("why", sa.Text(), nullable=True))
    triggers.make(
        op.get_bind(),
        (
            agreed,
            batch,
            brought,
            care_date,
            certificate_withdrawal,
            check_release,
            check_taken_back,
            condition_look,
            crate,
            dispatch,
            handover_condition,
            handover_signature,
            keeper,
            later_visit,
            mark_set,
            moved,
            photo_mark,
            product,
            site_contact,
            site_contacts,
            snag,
            snag_close,
            to_bring,
            unwrap_reading,
            visit,
            visit_person,
        ),
    )
