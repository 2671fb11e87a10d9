"""Rows read page by page are those that SQLite itself reads."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from wetend.records.carving import Pages, rows_in

WHOLE = (0, 1, -1, 2, 127, -128, 300, -30_000, 70_000, 8_000_000, 2**31 - 1, 2**40, -(2**47),
         2**62, -(2**63))  # fmt: skip
"""Of every width that SQLite keeps whole numbers in; 0 and 1 take none."""
TEXTS = ("", "x", "Ü " * 40, "long " * 3_000, "á" * 70_000)
"""The long ones run over onto pages of their own."""


def carved(path: Path) -> list[list[object]]:
    pages = Pages(path)
    try:
        return [row for row in rows_in(pages) if len(row) == 3]
    finally:
        pages.close()


@pytest.mark.parametrize("size", [512, 4096, 65536])
@pytest.mark.parametrize("mode", ["delete", "wal"])
def test_every_kind_of_value_reads_as_it_was_written(tmp_path: Path, size: int, mode: str) -> None:
    path = tmp_path / "some.sqlite3"
    wanted = [[n, text, text.encode()] for n, text in zip(WHOLE, TEXTS * 3, strict=True)]
    wanted += [[None, "none", None], [7, None, b"\x00\xff"]]
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute(f"PRAGMA page_size = {size}")
        connection.execute(f"PRAGMA journal_mode = {mode}")
        connection.execute("CREATE TABLE some (a INTEGER, b TEXT, c BLOB)")
        connection.executemany("INSERT INTO some VALUES (?, ?, ?)", wanted)
        found = carved(path)  # with what is only in the log so far
    finally:
        connection.close()
    assert sorted(found, key=repr) == sorted(wanted, key=repr)


def test_a_torn_page_loses_its_own_rows_and_no_other(tmp_path: Path) -> None:
    path = tmp_path / "some.sqlite3"
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA page_size = 512")
        connection.execute("CREATE TABLE some (a INTEGER, b TEXT, c BLOB)")
        connection.executemany(
            "INSERT INTO some VALUES (?, ?, ?)", [(n, "row " * 9, b"") for n in range(200)]
        )
    connection.close()
    whole = {row[0] for row in carved(path)}
    assert whole == set(range(200))
    data = bytearray(path.read_bytes())
    data[512 * 5 : 512 * 6] = bytes(512)
    path.write_bytes(data)
    left = {row[0] for row in carved(path)}
    assert left < whole
    assert len(left) > 180
