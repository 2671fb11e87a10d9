"""Remember which forms were kept."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    ident = sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")
    op.create_table(
        "acts",
        sa.Column("id", sa.String(80), primary_key=True),
        sa.Column("first", ident, nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
    )


def downgrade() -> None:
    op.drop_table("acts")
