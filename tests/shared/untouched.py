"""Whether a depot is byte for byte as it was: its tables, and the files beside it."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class Untouched:
    """Watches an SQLite depot through a connection of its own.

    SQLite tells such a connection of every commit by another that changed a page
    (https://www.sqlite.org/pragma.html#pragma_data_version), whatever it changed.
    """

    def __init__(self, place: Path) -> None:
        self.place = place
        self._own = sqlite3.connect(place, check_same_thread=False)

    def state(self) -> tuple[int, frozenset[tuple[str, int, int]]]:
        """What tells one state of the depot from every other."""
        (version,) = self._own.execute("PRAGMA data_version").fetchone()
        shelf = self.place.with_suffix(".photos")
        files = ((p, p.stat()) for p in shelf.rglob("*")) if shelf.exists() else ()
        return version, frozenset((str(p), s.st_size, s.st_mtime_ns) for p, s in files)

    def dump(self) -> str:
        """SHA-256 over all that its tables hold."""
        digest = hashlib.sha256()
        for line in self._own.iterdump():
            digest.update(line.encode())
        return digest.hexdigest()

    def close(self) -> None:
        """Let go of the depot."""
        self._own.close()


@contextmanager
def watching(place: Path) -> Iterator[Untouched]:
    """A watch over the depot in a file."""
    watch = Untouched(place)
    try:
        yield watch
    finally:
        watch.close()
