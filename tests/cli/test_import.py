"""``wetend import``: bounds told first, and stopped in the middle it keeps nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml
from wetend.records.store import Depot
from wetend.workflows import importing


@pytest.fixture
def table(say: Callable, tmp_path: Path) -> str:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    assert say("pump", "describe", str(described)).code == 0
    path = tmp_path / "history.csv"
    rows = [f"quay-air,2025-05-04,{n + 1}" for n in range(900)]
    path.write_text("\n".join(["pump,day,litres", *rows]))
    return str(path)


def test_the_bounds_are_told_before_work_starts(say: Callable) -> None:
    told = " ".join(say("import", "--help").out.split())
    assert "up to 30 MB: at most 200,000 rows and 200 columns; 4 million cells as CSV" in told


@pytest.mark.parametrize("step", ["_Reader.facts", "_entry"])
def test_stopped_while_weighing_or_keeping_it_keeps_nothing(
    say: Callable, table: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    calls, owner, name = iter(range(10_000)), importing, step
    if "." in step:
        owner, name = importing._Reader, "facts"
    known = getattr(owner, name)

    def stops(*given: object) -> object:
        if next(calls) == 400:
            raise KeyboardInterrupt
        return known(*given)

    monkeypatch.setattr(owner, name, stops)
    mapping = tmp_path / "mapping.json"
    said = say("import", table, "--keep", "--mapping", str(mapping))
    assert (said.code, said.err) == (130, "wetend: stopped\n")
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        assert depot.entries(kinds=("usage",)) == []
    monkeypatch.undo()
    monkeypatch.setenv("WETEND_DEPOT", str(tmp_path / "depot.sqlite3"))
    assert "Saved 900" in say("import", table, "--keep").out
