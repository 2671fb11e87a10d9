"""SQLite's log read without SQLite: what was committed, and whether any of it is damaged."""

from __future__ import annotations

import sqlite3

import pytest

from wetend.records.write_ahead import read_log

HEADER, FRAME, PAGE = 32, 24, 512
STEP = FRAME + PAGE


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A log of several commits, taken while the database is open."""
    path = tmp_path_factory.mktemp("log") / "some.sqlite3"
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute(f"PRAGMA page_size = {PAGE}")
        connection.execute("PRAGMA journal_mode = wal")
        connection.execute("CREATE TABLE some (a TEXT)")
        for n in range(6):
            connection.execute("INSERT INTO some VALUES (?)", (f"row {n} " * 20,))
        return path.with_name("some.sqlite3-wal").read_bytes()
    finally:
        connection.close()


def frames(log: bytes) -> int:
    return (len(log) - HEADER) // STEP


def spoilt(log: bytes, frame: int, at: int) -> bytes:
    """One bit of one frame turned."""
    data = bytearray(log)
    data[HEADER + frame * STEP + at] ^= 1
    return bytes(data)


def test_a_sound_log_is_read_to_its_last_commit(log: bytes) -> None:
    found = read_log(log)
    assert (found.fit, found.damaged, found.beyond) == (frames(log), False, ())
    assert found.size > 0
    assert all(len(image) == PAGE for image in found.pages.values())


@pytest.mark.parametrize("at", [0, 8, 16, FRAME + 100], ids=["page", "salt", "sum", "image"])
def test_damage_in_the_middle_is_seen_and_what_follows_is_shown_apart(log: bytes, at: int) -> None:
    """SQLite would take the log to end there, in silence."""
    found = read_log(spoilt(log, 3, at))
    assert found.fit == 3
    assert found.damaged
    assert len(found.beyond) >= frames(log) - 4


def test_frames_of_an_older_log_behind_this_one_are_no_damage(log: bytes) -> None:
    """The file is written over from its beginning; what lies behind has other salts."""
    older = bytearray(log)
    for frame in range(3, frames(log)):
        older[HEADER + frame * STEP + 8] ^= 1
    found = read_log(bytes(older))
    assert (found.fit, found.damaged) == (3, False)
    # nor is one among them that bears this log's salts by chance and fits nothing
    by_chance = bytearray(older)
    last = HEADER + (frames(log) - 1) * STEP
    by_chance[last + 8] ^= 1
    by_chance[last + FRAME + 7] ^= 1
    assert not read_log(bytes(by_chance)).damaged


@pytest.mark.parametrize("data", [b"", b"x" * 20, bytes(600)])
def test_what_is_no_log_holds_nothing(data: bytes) -> None:
    found = read_log(data)
    assert (found.pages, found.size, found.damaged) == ({}, 0, False)
