"""Reads names from a depot's file for shell completion, without opening the depot.

Nothing is made, locked, brought up to date or checked; what can't be seen at once is left out.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

_MOST = 200
_PUMPS = "SELECT DISTINCT pump FROM entries WHERE kind = 'pump-described' AND pump LIKE ? LIMIT ?"
_VISITS = "SELECT visit FROM entries WHERE kind = 'visit-started' ORDER BY id DESC LIMIT ?"


def _rows(file: Path, query: str, *values: str | int) -> tuple[str, ...]:
    """The first column of a query; nothing where there is no such file, or it is busy."""
    try:
        address = f"{file.absolute().as_uri()}?mode=ro"
        asked = sqlite3.connect(address, uri=True, timeout=0.2)
        try:
            return tuple(str(row[0]) for row in asked.execute(query, values) if row[0])
        finally:
            asked.close()
    except (sqlite3.Error, OSError, ValueError):
        return ()


def pumps(file: Path, beginning: str = "") -> tuple[str, ...]:
    """Keys of pumps that begin so."""
    return _rows(file, _PUMPS, beginning.replace("%", "").replace("_", "") + "%", _MOST)


def visits(file: Path) -> tuple[str, ...]:
    """The last letters of visits' ids, the latest first, as commands take them."""
    return tuple(visit[-6:] for visit in _rows(file, _VISITS, 30))
