"""What was acknowledged survives: writers killed at any moment, and several writing at once."""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wetend.records.entries import said_by
from wetend.records.store import Depot

APPENDER = Path(__file__).with_name("appender.py")


@contextmanager
def appender(where: str) -> Iterator[subprocess.Popen[str]]:
    """The appending program, its children ended with it."""
    with subprocess.Popen(
        [sys.executable, APPENDER, where], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ) as program:  # fmt: skip
        try:
            yield program
        finally:
            program.stdin.close()


def start_child(program: subprocess.Popen[str], kept: list[str]) -> int:
    """Have a child append; its process id. Ids it says meanwhile are noted."""
    program.stdin.write("\n")
    program.stdin.flush()
    while not (line := program.stdout.readline()).startswith("pid "):
        kept += line.split()
    return int(line.split()[1])


def await_end(program: subprocess.Popen[str]) -> Iterator[str]:
    """Ids the child acknowledged until it was gone."""
    while (line := program.stdout.readline()) != "gone\n":
        assert line.endswith("\n"), "an acknowledgement is written whole or not at all"
        yield from line.split()


def test_killed_fifty_times_no_acknowledged_entry_is_lost(depot_place: str) -> None:
    """SIGKILL at a random moment of opening, appending or committing."""
    chance = random.Random(50)
    kept: list[str] = []
    Depot.open(depot_place).close()
    with appender(depot_place) as program:
        for turn in range(50):
            child = start_child(program, kept)
            if turn % 5:  # else killed while still opening, most times
                kept += program.stdout.readline().split()
            time.sleep(chance.uniform(0, 0.03))
            os.kill(child, signal.SIGKILL)
            kept += await_end(program)
    with Depot.open(depot_place) as depot:
        entries = depot.entries()
    assert len(kept) >= 120  # a batch of three from each that was let begin, at the least
    assert set(kept) <= {entry.id for entry in entries}
    assert all(said_by(entry) is not None for entry in entries)


def test_killed_between_no_batch_is_half_there(tmp_path: Path) -> None:
    """Entries appended together are there together: batches of three leave multiples of three."""
    place = str(tmp_path / "d.sqlite3")
    with appender(place) as program:
        for turn in range(10):
            child = start_child(program, [])
            time.sleep(0.005 * turn)
            os.kill(child, signal.SIGKILL)
            list(await_end(program))
            with Depot.open(place) as depot:
                texts = Counter(entry.payload for entry in depot.entries())
            assert len(set(texts.values())) <= 1
            assert len(texts) in (0, 3)
    with sqlite3.connect(place) as raw:
        assert raw.execute("pragma integrity_check").fetchone() == ("ok",)
    raw.close()


def test_two_processes_append_at_once(depot_place: str) -> None:
    kept: list[str] = []
    Depot.open(depot_place).close()
    with appender(depot_place) as one, appender(depot_place) as other:
        children = [start_child(program, kept) for program in (one, other)]
        told = [[program.stdout.readline() for _ in range(20)] for program in (one, other)]
        for child in children:
            os.kill(child, signal.SIGKILL)
        kept += [i for lines in told for line in lines for i in line.split()]
        for program in (one, other):
            kept += await_end(program)
    with Depot.open(depot_place) as depot:
        ids = [entry.id for entry in depot.entries()]
    assert len(kept) >= 120
    assert len(set(kept)) == len(kept)
    assert set(kept) <= set(ids)
