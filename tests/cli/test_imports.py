"""Imports and incidents taken back and put back by commands."""

from __future__ import annotations

from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml


@pytest.fixture
def table(tmp_path: Path, say) -> Path:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    assert say("pump", "describe", str(described)).code == 0
    place = tmp_path / "uses.csv"
    place.write_text("pump,day,cycles\nquay-air,2025-01-02,10\nquay-air,2025-01-03,11\n", "utf-8")
    return place


def standing(say) -> int:
    lines = say("pump", "record", "quay-air", "--json").json
    return sum(x["entry"]["kind"] == "usage" and not x["withdrawn"] for x in lines)


def test_an_import_is_taken_back_as_a_whole(say, table: Path) -> None:
    kept = say("import", str(table), "--keep")
    assert "wetend imports withdraw last" in kept.out
    assert standing(say) == 2
    (line,) = say("imports", "list", "--json").json
    assert (line["said"]["file"], line["said"]["uses"], line["withdrawn"]) == ("uses.csv", 2, False)
    taken = say("imports", "withdraw", "last", "--reason", "wrong depot")
    assert "Withdrawn: 2 rows." in taken.out
    assert standing(say) == 0
    assert "withdrawn" in say("imports", "list").out
    assert "Restored: 2 rows." in say("imports", "put-back", line["entry"]["id"][-6:]).out
    assert standing(say) == 2


def test_one_that_is_not_there_is_refused(say, table: Path) -> None:
    answer = say("imports", "withdraw", "last")
    assert answer.code != 0
    assert "No single import matches “last”" in answer.err


def test_an_incident_under_no_pump_is_taken_back(say) -> None:
    (kept,) = say("incident", "kind=near miss", "said=hose burst", "--json").json
    assert kept["pump"] == "no-pump"
    assert say("incident", "--withdraw", kept["id"][-6:], "--reason", "drill", "--json").json == []
    (back,) = say("incident", "--put-back", kept["id"], "--json").json
    assert back["id"] == kept["id"]
