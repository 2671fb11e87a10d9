"""Keep entries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def _id() -> sa.String:
    return sa.String(32).with_variant(sa.String(32, collation="C"), "postgresql")


def upgrade() -> None:
    op.create_table(
        "entries",
        sa.Column("id", _id(), primary_key=True),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("pump", sa.String(63), nullable=False),
        sa.Column("visit", _id(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(200), nullable=False),
        sa.Column("place", sa.String(200), nullable=False),
        sa.Column("device", sa.String(200), nullable=False),
        sa.Column("version", sa.String(200), nullable=False),
        sa.Column("corrects", _id(), nullable=True),
        sa.Column("payload", sa.Text(), nullable=False),
    )
    op.create_index("entries_by_pump", "entries", ["pump", "id"])
    op.create_index("entries_by_visit", "entries", ["visit", "id"])
    op.create_index("entries_by_kind", "entries", ["kind", "id"])


def downgrade() -> None:
    op.drop_table("entries")
