"""What phones said, and this laptop's addresses over time."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

WHOLE = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make two ordinary tables; nothing recorded is touched."""
    op.create_table(
        "phone",
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Text(), nullable=False),
        sa.Column("host", sa.Text(), nullable=False),
        sa.Column("waiting", WHOLE, nullable=False),
        sa.Column("look", WHOLE, nullable=False),
        sa.Column("seen_at", sa.Text(), nullable=False),
        sa.CheckConstraint("waiting >= 0 AND waiting <= 10000", name=op.f("ck_phone_waiting_range")),
        sa.CheckConstraint("look >= 0 AND look <= 10000", name=op.f("ck_phone_look_range")),
        sa.PrimaryKeyConstraint("device", name=op.f("pk_phone")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_phone_seen_at"), "phone", ["seen_at"], unique=False)
    op.create_table(
        "lan_address",
        sa.Column("laptop_id", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("since_at", sa.Text(), nullable=False),
        sa.Column("rank", WHOLE, nullable=False),
        sa.Column("gone_at", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("laptop_id", "address", "since_at", name=op.f("pk_lan_address")),
        sqlite_strict=True,
    )
