"""Entries, forms, photos, people, jobs, pieces."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the tables and the triggers of the recorded ones."""
    op.create_table(
        "chain_head",
        sa.Column("chain", sa.Text(), nullable=False),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("chain", name=op.f("pk_chain_head")),
        sqlite_strict=True,
    )
    op.create_table(
        "credential",
        sa.Column("person_id", sa.Text(), nullable=False),
        sa.Column("passphrase_hash", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_credential")),
        sqlite_strict=True,
    )
    entry = op.create_table(
        "entry",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Text(), nullable=True),
        sa.Column("piece_id", sa.Text(), nullable=True),
        sa.Column("chain", sa.Text(), nullable=False),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("at", sa.Text(), nullable=True),
        sa.Column("recorded_at", sa.Text(), nullable=False),
        sa.Column("by_id", sa.Text(), nullable=True),
        sa.Column("device", sa.Text(), nullable=True),
        sa.Column("body_digest", sa.Text(), nullable=False),
        sa.Column("previous_digest", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.CheckConstraint("seq >= 1", name=op.f("ck_entry_seq_from_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("chain", "seq", name=op.f("uq_entry_chain_seq")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_entry_job_id_kind"), "entry", ["job_id", "kind"], unique=False)
    op.create_index(
        op.f("ix_entry_kind_recorded_at"),
        "entry",
        ["kind", "recorded_at"],
        unique=False,
    )
    op.create_index(
        op.f("ix_entry_piece_id_recorded_at_id"),
        "entry",
        ["piece_id", "recorded_at", "id"],
        unique=False,
    )
    op.create_table(
        "form_post",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("by_id", sa.Text(), nullable=True),
        sa.Column("fingerprint", sa.Text(), nullable=False),
        sa.Column("status", WHOLE, nullable=True),
        sa.Column("location", sa.Text(), nullable=True),
        sa.Column("recorded_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_form_post")),
        sqlite_strict=True,
    )
    op.create_table(
        "photo",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("bytes", WHOLE, nullable=False),
        sa.Column("width", WHOLE, nullable=False),
        sa.Column("height", WHOLE, nullable=False),
        sa.Column("recorded_at", sa.Text(), nullable=False),
        sa.Column("by_id", sa.Text(), nullable=True),
        sa.CheckConstraint("bytes > 0", name=op.f("ck_photo_bytes_positive")),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_photo")),
        sqlite_strict=True,
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
        sqlite_strict=True,
    )
    op.create_table(
        "sign_in",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=True),
        sa.Column("started_at", sa.Text(), nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=True),
        sa.Column("pin_until", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_sign_in")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_sign_in_person_id"), "sign_in", ["person_id"], unique=False)
    op.create_table(
        "sign_in_delay",
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("failures", WHOLE, nullable=False),
        sa.Column("last_at", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("about", name=op.f("pk_sign_in_delay")),
        sqlite_strict=True,
    )
    body_head = op.create_table(
        "body_head",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("version", WHOLE, nullable=False),
        sa.Column("salt", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_body_head_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_body_head")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    build_up_line = op.create_table(
        "build_up_line",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("thickness_mm", FIGURE, nullable=True),
        sa.Column("mass_kg", FIGURE, nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("mass_kg > 0", name=op.f("ck_build_up_line_mass_positive")),
        sa.CheckConstraint("thickness_mm > 0", name=op.f("ck_build_up_line_thickness_positive")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_build_up_line_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_build_up_line")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    entry_corrects = op.create_table(
        "entry_corrects",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("corrects_id", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["corrects_id"], ["entry.id"], name=op.f("fk_entry_corrects_corrects_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_entry_corrects_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "corrects_id", name=op.f("pk_entry_corrects")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        op.f("ix_entry_corrects_corrects_id"),
        "entry_corrects",
        ["corrects_id"],
        unique=False,
    )
    entry_photo = op.create_table(
        "entry_photo",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("slot", sa.Text(), nullable=False),
        sa.Column("caption", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_entry_photo_entry_id")),
        sa.ForeignKeyConstraint(["sha256"], ["photo.sha256"], name=op.f("fk_entry_photo_sha256")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_entry_photo")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_entry_photo_sha256"), "entry_photo", ["sha256"], unique=False)
    erasure = op.create_table(
        "erasure",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("erased_id", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_erasure_entry_id")),
        sa.ForeignKeyConstraint(["erased_id"], ["entry.id"], name=op.f("fk_erasure_erased_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_erasure")),
        sa.UniqueConstraint("erased_id", name=op.f("uq_erasure_erased_id")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    hanging_point = op.create_table(
        "hanging_point",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("x_mm", FIGURE, nullable=False),
        sa.Column("y_mm", FIGURE, nullable=False),
        sa.Column("hole_mm", FIGURE, nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("hole_mm > 0", name=op.f("ck_hanging_point_hole_positive")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_hanging_point_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_hanging_point")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    job = op.create_table(
        "job",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("client", sa.Text(), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=True),
        sa.Column("access_notes", sa.Text(), nullable=True),
        sa.Column("brief", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_job_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_job")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    laptop_found_head = op.create_table(
        "laptop_found_head",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("chain", sa.Text(), nullable=False),
        sa.Column("seq", WHOLE, nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_laptop_found_head_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_laptop_found_head")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    laptop_start = op.create_table(
        "laptop_start",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("laptop_id", sa.Text(), nullable=False),
        sa.Column("public_key", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_laptop_start_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_laptop_start")),
        sa.UniqueConstraint("laptop_id", name=op.f("uq_laptop_start_laptop_id")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    particulars = op.create_table(
        "particulars",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("object_type", sa.Text(), nullable=False),
        sa.Column("description", sa.Text(), nullable=True),
        sa.Column("materials", sa.Text(), nullable=True),
        sa.Column("made_on", sa.Text(), nullable=True),
        sa.Column("width_mm", FIGURE, nullable=True),
        sa.Column("height_mm", FIGURE, nullable=True),
        sa.Column("depth_mm", FIGURE, nullable=True),
        sa.Column("mass_kg", FIGURE, nullable=True),
        sa.Column("mass_origin", sa.Text(), nullable=True),
        sa.Column("mass_note", sa.Text(), nullable=True),
        sa.Column("lift_people", WHOLE, nullable=True),
        sa.Column("way_up", sa.Text(), nullable=True),
        sa.Column("take_down", sa.Text(), nullable=True),
        sa.Column("finish", sa.Text(), nullable=True),
        sa.Column("fire_class", sa.Text(), nullable=True),
        sa.Column("fire_evidence", sa.Text(), nullable=True),
        sa.Column("fire_covers", sa.Text(), nullable=True),
        sa.Column("heat_limit_c", FIGURE, nullable=True),
        sa.Column("keep_away", sa.Text(), nullable=True),
        sa.Column("care", sa.Text(), nullable=True),
        sa.Column("care_never", sa.Text(), nullable=True),
        sa.Column("hazards", sa.Text(), nullable=True),
        sa.Column("who_to_ask", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "mass_origin IN ('weighed', 'estimated')",
            name=op.f("ck_particulars_mass_origin_known"),
        ),
        sa.CheckConstraint(
            "(mass_kg IS NULL) = (mass_origin IS NULL)",
            name=op.f("ck_particulars_mass_with_origin"),
        ),
        sa.CheckConstraint("lift_people >= 1", name=op.f("ck_particulars_lift_people_positive")),
        sa.CheckConstraint("mass_kg > 0", name=op.f("ck_particulars_mass_positive")),
        sa.CheckConstraint(
            "width_mm > 0 AND height_mm > 0 AND depth_mm > 0",
            name=op.f("ck_particulars_sizes_positive"),
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_particulars_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_particulars")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    person = op.create_table(
        "person",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("active", FLAG, nullable=False),
        sa.CheckConstraint("role IN ('maker', 'fitter')", name=op.f("ck_person_role_known")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_person_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_person")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_person_person_id"), "person", ["person_id"], unique=False)
    piece = op.create_table(
        "piece",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("piece_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_piece_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_piece")),
        sa.UniqueConstraint("number", name=op.f("uq_piece_number")),
        sa.UniqueConstraint("piece_id", name=op.f("uq_piece_piece_id")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    triggers.make(
        op.get_bind(),
        (
            entry,
            body_head,
            build_up_line,
            entry_corrects,
            entry_photo,
            erasure,
            hanging_point,
            job,
            laptop_found_head,
            laptop_start,
            particulars,
            person,
            piece,
        ),
    )
