"""A backup restored to a place, as ``wetend restore`` does."""

from __future__ import annotations

from pathlib import Path

from wetend.records.backup import RestoreReport, restore_into
from wetend.records.store import Depot


def restore(source: str | Path, where: str | Path, *, photos: Path | None = None) -> RestoreReport:
    """Merge a backup into the record at ``where``, made where there is none."""
    return restore_into(lambda: Depot.open(where, photos=photos), source)
