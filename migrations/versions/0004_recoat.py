"""How long a coat waits for the next one, from the product's data sheet."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

FIGURE = sa.Double().with_variant(sa.REAL(), "sqlite")


def upgrade() -> None:
    """Add a column that may be null: the recorded table is not rebuilt, its triggers and every digest stay."""
    op.add_column(
        "coat",
        sa.Column(
            "recoat_hours",
            FIGURE,
            sa.CheckConstraint("recoat_hours > 0", name=op.f("ck_coat_recoat_positive")),
            nullable=True,
        ),
    )
