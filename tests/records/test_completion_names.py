"""Names for the Tab key, read from a depot's file without opening it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from wetend.records.completion_names import pumps, visits
from wetend.records.store import Depot


@pytest.fixture
def file(copy_demo, tmp_path: Path) -> Path:
    return copy_demo(tmp_path / "demo.sqlite3")


def test_pumps_are_those_of_the_depot_that_begin_so(file: Path) -> None:
    with Depot.open(file) as depot:
        keys = {e.pump for e in depot.each_entry() if e.kind == "pump-described"}
    assert set(pumps(file)) == keys
    assert set(pumps(file, "quay")) == {key for key in keys if key.startswith("quay")}
    assert pumps(file, "%") == pumps(file)  # nothing typed is a pattern
    assert pumps(file, "no-such") == ()


def test_visits_are_named_by_their_last_letters_the_latest_first(file: Path) -> None:
    found = visits(file)
    with sqlite3.connect(file) as asked:
        ids = [r[0] for r in asked.execute(
            "SELECT visit FROM entries WHERE kind = 'visit-started' ORDER BY id DESC")]  # fmt: skip
    asked.close()
    assert list(found) == [visit[-6:] for visit in ids[:30]]


def test_what_is_no_depot_has_no_names_and_nothing_is_made(tmp_path: Path) -> None:
    missing, other = tmp_path / "missing.sqlite3", tmp_path / "other.txt"
    other.write_text("no database", encoding="utf-8")
    for place in (missing, other):
        assert pumps(place) == visits(place) == ()
    assert not missing.exists()
