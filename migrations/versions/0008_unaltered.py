"""Signed certificates and the keys they are signed with; what is left when something is erased."""

import sqlalchemy as sa
from alembic import op

from siteapp.store import triggers

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Add columns that may be null, so that every digest stays as it was; make the new tables and triggers."""
    op.add_column("certificate", sa.Column("file_sha256", sa.Text(), nullable=True))
    op.add_column("certificate", sa.Column("key_fingerprint", sa.Text(), nullable=True))
    made = (
        _recorded(
            "signing_key",
            sa.Column("fingerprint", sa.Text(), nullable=False),
            sa.Column("certificate", sa.Text(), nullable=False),
            sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_signing_key")),
            sa.UniqueConstraint("fingerprint", name=op.f("uq_signing_key_fingerprint")),
        ),
        _recorded(
            "erasure_left",
            sa.Column("left_id", sa.Text(), nullable=False),
            sa.Column("left_digest", sa.Text(), nullable=True),
            sa.Column("reason", sa.Text(), nullable=False),
            sa.PrimaryKeyConstraint("entry_id", name=op.f("pk_erasure_left")),
            sa.ForeignKeyConstraint(["left_id"], ["entry.id"], name=op.f("fk_erasure_left_left_id")),
        ),
        _recorded(
            "erased_photo",
            sa.Column("position", WHOLE, nullable=False),
            sa.Column("sha256", sa.Text(), nullable=False),
            sa.Column("reason", sa.Text(), nullable=False),
            sa.PrimaryKeyConstraint("entry_id", "position", name=op.f("pk_erased_photo")),
            sa.ForeignKeyConstraint(["sha256"], ["photo.sha256"], name=op.f("fk_erased_photo_sha256")),
        ),
    )
    op.create_index(op.f("ix_erasure_left_left_id"), "erasure_left", ["left_id"])
    op.create_index(op.f("ix_erased_photo_sha256"), "erased_photo", ["sha256"])
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
