"""A pump that does not run: by command, what to look at first, cautions before what is done."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from wetend.pump.toml import demo_pump, to_toml


@pytest.fixture
def visit(say: Callable, tmp_path) -> None:
    """A visit to the hydraulic-driven demo pump."""
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("yard-hydraulic")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "yard-hydraulic")


def test_what_to_look_at_first_by_command(say: Callable, visit: None) -> None:
    said = say("complaint", "last", "seen=does not run")
    assert said.code == 0
    lines = said.out.splitlines()
    oil = next(k for k, line in enumerate(lines) if "No oil pressure at the drive" in line)
    assert lines[oil + 1].startswith("! DANGER: It starts the moment its supply is back")
    then = next(line for line in lines[oil:] if line.lstrip().startswith("What to do:"))
    assert "return valve opened first" in then
    assert "No air at the drive" not in said.out
    found = say("complaint", "last", "--json").json["look_first"]
    assert found[0]["key"] == "blocked-ahead"
    say("coating", "last", "alkyd-topcoat")
    checks = say("checks", "last").out
    assert "Rule out first: stalled against a blockage ahead of it." in checks
