"""What parts may look like, by command: each with the fields that enter it."""

from __future__ import annotations

import shlex

import pytest

from wetend.pump.readable import readable
from wetend.pump.toml import demo_pump


@pytest.fixture
def visit(say, tmp_path):
    (tmp_path / "pump.toml").write_text(readable(demo_pump("quay-air")), encoding="utf-8")
    assert say("pump", "describe", str(tmp_path / "pump.toml")).code == 0
    assert say("visit", "start", "quay-air", "--reason", "x").code == 0


@pytest.mark.usefixtures("visit")
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_the_fields_told_enter_what_is_told(say, units: str, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("WETEND_UNITS", units)
    told = say("inspect", "last", "rod", "--looks").out.splitlines()
    at = next(n for n, line in enumerate(told) if line.startswith("Dent in the chrome: "))
    assert "replace" in told[at].lower()
    given = shlex.split(next(line for line in told[at + 1 :] if "scratch_depth=" in line))
    assert say("inspect", "last", "rod", *given).code == 0
    judged = say("inspect", "last", "--json").json["judgements"]
    assert [j["verdict"] for j in judged if j["part"] == "rod"] == ["replace"]


@pytest.mark.usefixtures("visit")
def test_looks_save_nothing_and_are_data_too(say):
    found = say("inspect", "last", "seat", "--looks", "--json").json
    assert list(found) == ["foot-seat", "piston-seat"]
    assert {look["key"] for look in found["foot-seat"]} >= {"new", "worn", "limit", "chip"}
    assert say("inspect", "last", "--json").json["judgements"] == []
    assert set(say("inspect", "last", "--looks", "--json").json) >= {"foot-ball", "rod", "cylinder"}
