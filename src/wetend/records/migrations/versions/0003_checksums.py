"""Give each entry a checksum, and the depot a tally of its entries."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from alembic import op

from wetend.records.checksums import Tally, checksum, moment_text

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_AT_ONCE = 500
_SUMMED = (
    "id", "kind", "pump", "visit", "at", "who", "place", "device", "version", "corrects", "payload",
)  # fmt: skip


def upgrade() -> None:
    about = op.create_table(
        "about",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("checksum", sa.String(32), nullable=False),
    )
    op.add_column(
        "entries", sa.Column("checksum", sa.String(32), nullable=False, server_default="none")
    )
    tally = str(_sum_up(op.get_bind()))
    op.bulk_insert(
        about, [{"name": "tally", "value": tally, "checksum": checksum(["tally", tally])}]
    )


def _sum_up(connection: sa.Connection) -> Tally:
    """Put each row's checksum beside it; one that holds what is no text stays without."""
    columns = ", ".join(f'"{name}"' for name in _SUMMED)
    rows = connection.execute(
        sa.text(f"SELECT {columns} FROM entries"),  # noqa: S608
        execution_options={"yield_per": _AT_ONCE},
    )
    summed = [(row[0], checksum(row)) for row in map(_texts, rows) if row is not None]
    put = sa.text("UPDATE entries SET checksum = :put WHERE id = :made")
    for some in _batched(summed):
        connection.execute(put, [{"made": made, "put": each} for made, each in some])
    return Tally().with_more(each for _, each in summed)


def _batched(summed: list[tuple[str | None, str]]) -> Iterator[list[tuple[str | None, str]]]:
    for start in range(0, len(summed), _AT_ONCE):
        yield summed[start : start + _AT_ONCE]


def _texts(row: Sequence[Any]) -> list[str | None] | None:
    texts = [moment_text(v) if isinstance(v, datetime) else v for v in row]
    try:
        return texts if "".join(v for v in texts if v is not None).encode() else None
    except (TypeError, UnicodeEncodeError):
        return None


def downgrade() -> None:
    op.drop_column("entries", "checksum")
    op.drop_table("about")
