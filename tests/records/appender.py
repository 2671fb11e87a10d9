"""A program of its own that appends entries for as long as it lives, saying each id once kept.

``appender.py RECORD`` waits for lines on standard input; at each it starts a child that appends,
and when the child is gone it says so. One program with many children spares the tests the start-up.
"""

from __future__ import annotations

import itertools
import os
import sys

import psycopg  # noqa: F401  these three are loaded once, before there are children
import sqlalchemy.dialects.postgresql
import sqlalchemy.dialects.sqlite  # noqa: F401

from wetend.pump.readings import Note
from wetend.records.entries import new_entry
from wetend.records.store import Depot


def append_for_ever(where: str, size: int) -> None:
    """Append batches of entries that belong together, saying the ids when they are kept."""
    with Depot.open(where) as depot:
        for turn in itertools.count():
            batch = [
                new_entry("note", Note(text=f"{n} of {size}, " * 40), pump="p", who=f"{turn}")
                for n in range(size)
            ]
            depot.append(*batch)
            os.write(1, (" ".join(entry.id for entry in batch) + "\n").encode())


def main() -> None:
    """One child a line."""
    for _ in sys.stdin:
        child = os.fork()
        if child == 0:
            append_for_ever(sys.argv[1], 3)
        os.write(1, f"pid {child}\n".encode())
        os.waitpid(child, 0)
        os.write(1, b"gone\n")


if __name__ == "__main__":
    main()
