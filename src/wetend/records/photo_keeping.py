"""Saves photos and the entries that refer to them together or not at all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress

from sqlalchemy import select

from wetend.errors import StorageFailed
from wetend.records.photos import Stage
from wetend.records.store import Depot
from wetend.records.tables import entries as table


@contextmanager
def with_entries(depot: Depot, stage: Stage) -> Iterator[None]:
    """Take photos away again that took their places for entries that then could not be kept.

    Photos take their places within the transaction that keeps their entries, as its last act; so
    while no other writes nobody can count on one that no entry speaks of. With PostgreSQL, where
    others do write meanwhile, such a photo is left: it is on no page, and is used if sent again.
    """
    try:
        yield
    except StorageFailed:
        if stage.moved and depot.file is not None:
            with suppress(StorageFailed):
                _take_away(depot, stage.moved)
        raise


def _take_away(depot: Depot, moved: list[str]) -> None:
    with depot.writing() as connection:
        photos = select(table.c.payload).where(table.c.kind == "photo")
        spoken_of = "".join(connection.scalars(photos))
        for sha in moved:
            if sha not in spoken_of:
                depot.photos.remove(sha)
