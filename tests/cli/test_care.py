"""The pump between jobs by command: cautions before each step."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml


@pytest.fixture
def visit(say: Callable, tmp_path: Path) -> None:
    """A visit to the air-driven demo pump."""
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    say("visit", "start", "quay-air")


def test_what_to_do_between_jobs_by_command(say: Callable, visit: None) -> None:
    assert "Choose the coating first" in say("care", "last").out
    say("coating", "last", "epoxy-tank")
    lines = say("care", "last", "--act", "flush").out.splitlines()
    first = next(k for k, line in enumerate(lines) if line.startswith("1. Two-pack: begin well"))
    assert any(line.startswith("! DANGER: Two-pack") for line in lines[:first])
    assert sum(line.startswith("! DANGER: Two-pack") for line in lines) == 1
    assert not any("Store for weeks" in line for line in lines)
    every = say("care", "last", "--json").json["lists"]
    assert [care["act"] for care in every] == ["flush", "shut-down", "store", "start", "change"]
    refused = say("care", "last", "--act", "burn")
    assert refused.code == 2
    assert "shut-down" in refused.err
