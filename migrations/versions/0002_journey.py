"""Checks, arrival, finishing, handover."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")
WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
FLAG = sa.Boolean().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the tables and the triggers of the recorded ones."""
    arrival = op.create_table(
        "arrival",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("indicators", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "found IN ('nothing found', 'something found', 'not looked at yet')",
            name=op.f("ck_arrival_found_known"),
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_arrival_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_arrival")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    certificate = op.create_table(
        "certificate",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("handover_id", sa.Text(), nullable=False),
        sa.Column("record", sa.Text(), nullable=False),
        sa.Column("record_digest", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_certificate_entry_id")),
        sa.ForeignKeyConstraint(["handover_id"], ["entry.id"], name=op.f("fk_certificate_handover_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_certificate")),
        sa.UniqueConstraint("number", name=op.f("uq_certificate_number")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    check_answer = op.create_table(
        "check_answer",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("list_id", sa.Text(), nullable=False),
        sa.Column("line_key", sa.Text(), nullable=False),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("reading", FIGURE, nullable=True),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("instrument", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint(
            "verdict IN ('met', 'not met', 'cannot tell')",
            name=op.f("ck_check_answer_verdict_known"),
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_check_answer_entry_id")),
        sa.ForeignKeyConstraint(["list_id"], ["entry.id"], name=op.f("fk_check_answer_list_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_check_answer")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        op.f("ix_check_answer_list_id_line_key"),
        "check_answer",
        ["list_id", "line_key"],
        unique=False,
    )
    check_line = op.create_table(
        "check_line",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("position", WHOLE, autoincrement=False, nullable=False),
        sa.Column("line_key", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("hold", FLAG, nullable=False),
        sa.Column("photo", FLAG, nullable=False),
        sa.Column("quantity", sa.Text(), nullable=True),
        sa.Column("unit", sa.Text(), nullable=True),
        sa.Column("low", FIGURE, nullable=True),
        sa.Column("high", FIGURE, nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_check_line_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_check_line")),
        sa.UniqueConstraint("entry_id", "line_key", name=op.f("uq_check_line_entry_id_line_key")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    check_list = op.create_table(
        "check_list",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("file_digest", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_check_list_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_check_list")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    climate_reading = op.create_table(
        "climate_reading",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("air_c", FIGURE, nullable=True),
        sa.Column("relative_humidity", FIGURE, nullable=True),
        sa.Column("surface_c", FIGURE, nullable=True),
        sa.Column("instrument", sa.Text(), nullable=True),
        sa.Column("air_error_c", FIGURE, nullable=False),
        sa.Column("humidity_error", FIGURE, nullable=False),
        sa.Column("surface_error_c", FIGURE, nullable=False),
        sa.Column("product", sa.Text(), nullable=True),
        sa.Column("limits_source", sa.Text(), nullable=True),
        sa.Column("air_min_c", FIGURE, nullable=True),
        sa.Column("air_max_c", FIGURE, nullable=True),
        sa.Column("surface_min_c", FIGURE, nullable=True),
        sa.Column("surface_max_c", FIGURE, nullable=True),
        sa.Column("humidity_min", FIGURE, nullable=True),
        sa.Column("humidity_max", FIGURE, nullable=True),
        sa.Column("margin_limit_c", FIGURE, nullable=True),
        sa.Column("dew_point_c", FIGURE, nullable=True),
        sa.Column("margin_c", FIGURE, nullable=True),
        sa.Column("margin_low_c", FIGURE, nullable=True),
        sa.Column("verdict", sa.Text(), nullable=False),
        sa.Column("reasons", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("calculation", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "verdict IN ('met', 'not met', 'cannot tell')",
            name=op.f("ck_climate_reading_verdict_known"),
        ),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_climate_reading_entry_id")),
        sa.ForeignKeyConstraint(["session_id"], ["entry.id"], name=op.f("fk_climate_reading_session_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_climate_reading")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        op.f("ix_climate_reading_session_id"),
        "climate_reading",
        ["session_id"],
        unique=False,
    )
    coat = op.create_table(
        "coat",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("climate_id", sa.Text(), nullable=True),
        sa.Column("number", WHOLE, nullable=False),
        sa.Column("product", sa.Text(), nullable=False),
        sa.Column("batch", sa.Text(), nullable=True),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("wet_um", FIGURE, nullable=True),
        sa.Column("climate_verdict", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.CheckConstraint("number >= 1", name=op.f("ck_coat_number_from_one")),
        sa.CheckConstraint("wet_um > 0", name=op.f("ck_coat_wet_positive")),
        sa.ForeignKeyConstraint(["climate_id"], ["entry.id"], name=op.f("fk_coat_climate_id")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_coat_entry_id")),
        sa.ForeignKeyConstraint(["session_id"], ["entry.id"], name=op.f("fk_coat_session_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_coat")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(op.f("ix_coat_session_id"), "coat", ["session_id"], unique=False)
    finishing_close = op.create_table(
        "finishing_close",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("client_words", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_finishing_close_entry_id")),
        sa.ForeignKeyConstraint(["session_id"], ["entry.id"], name=op.f("fk_finishing_close_session_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_finishing_close")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index(
        op.f("ix_finishing_close_session_id"),
        "finishing_close",
        ["session_id"],
        unique=False,
    )
    finishing_session = op.create_table(
        "finishing_session",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("purpose", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_finishing_session_entry_id")),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_finishing_session")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    handover = op.create_table(
        "handover",
        sa.Column("entry_id", sa.Text(), nullable=False),
        sa.Column("signed_name", sa.Text(), nullable=False),
        sa.Column("said", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("signature_sha256", sa.Text(), nullable=True),
        sa.CheckConstraint("length(signed_name) > 0", name=op.f("ck_handover_signed_name_given")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_handover_entry_id")),
        sa.ForeignKeyConstraint(
            ["signature_sha256"],
            ["photo.sha256"],
            name=op.f("fk_handover_signature_sha256"),
        ),
        sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_handover")),
        info={"recorded": True},
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    triggers.make(
        op.get_bind(),
        (
            arrival,
            certificate,
            check_answer,
            check_line,
            check_list,
            climate_reading,
            coat,
            finishing_close,
            finishing_session,
            handover,
        ),
    )
