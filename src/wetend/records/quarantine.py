"""Moves damaged entries out of a live database and corrects its count."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, delete, select

from wetend.records import settings
from wetend.records.checksums import Tally
from wetend.records.rows import columns, entries_of
from wetend.records.store import Depot
from wetend.records.tables import entries as table

_AT_ONCE = 500
_ASIDE = "aside-"


def set_aside(depot: Depot) -> None:
    """Move damaged entries out of the table of entries and put the depot's count right.

    Raises:
        StorageFailed: the disk or the server failed; nothing was done.
    """
    with depot.writing() as connection:
        tally = Tally()
        for row in _damaged(connection):
            kept = json.dumps([str(v) if v is not None else None for v in row], ensure_ascii=False)
            settings.put(connection, f"{_ASIDE}{row[0]}"[:40], kept)
            connection.execute(delete(table).where(table.c.id == row[0]))
        for checksum in connection.execute(select(table.c.checksum)).scalars():
            tally = tally.with_more([checksum])
        settings.put(connection, settings.TALLY, str(tally))


def _damaged(connection: Connection) -> list[Sequence[Any]]:
    found: list[Sequence[Any]] = []
    rows = connection.execute(select(*columns(connection.dialect.name)))
    for batch in rows.partitions(_AT_ONCE):
        if entries_of(batch)[1]:
            found += [row for row in batch if entries_of([row])[1]]
    return found
