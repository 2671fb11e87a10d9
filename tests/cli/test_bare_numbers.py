"""A number without a unit is read in the unit that its label shows."""

from __future__ import annotations

from collections.abc import Callable

import pytest


def _started(say: Callable, tmp_path) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(say("pump", "example").out, encoding="utf-8")
    assert say("pump", "describe", str(described)).code == 0
    assert say("visit", "start", "quay-air").code == 0
    assert say("coating", "last", "alkyd-topcoat").code == 0


def test_a_gauge_without_a_unit_is_in_bar_or_psi(say, tmp_path):
    _started(say, tmp_path)
    assert say("checks", "last", "stall_pressure=230").code == 0
    kept = say("visit", "show", "last", "--json").json["readings"]
    assert kept["stall_pressure"] == pytest.approx(230e5)
    assert say("--units", "imperial", "checks", "last", "stall_pressure=3000").code == 0
    kept = say("visit", "show", "last", "--json").json["readings"]
    assert kept["stall_pressure"] == pytest.approx(3000 * 6894.757, rel=1e-6)


def test_a_command_changes_only_what_it_names(say, tmp_path):
    _started(say, tmp_path)
    say("prove", "last", "solvent_lost=0 mL", "solvent_head=50", "solvent_time=120")
    say("prove", "last", "stall_pressure=250", "stall_creep_up=2", "stall_time=60")
    kept = say("visit", "show", "last", "--json").json["proof"]
    assert kept["solvent_time"] == 120
    assert kept["solvent_head"] == pytest.approx(0.05)
    assert kept["stall_creep_up"] == pytest.approx(0.002)


def test_what_is_refused_leaves_nothing(say, tmp_path):
    _started(say, tmp_path)
    before = len(say("visit", "record", "last", "--json").json)
    for words in (
        ("rebuild", "last", "heights.seat=1201mm"),
        ("rebuild", "last", "tin=25 mm"),
        ("rebuild", "last", "heights.nonsense=3"),
        ("coating", "last", "key=x", "name=x", "density=1.2", "cup=nope", "cup_time=60"),
        ("coating", "last", "key=x", "name=x", "density=1.2", "viscosity=300", "solvent=nope"),
        ("strip", "last", "tools=hammer", "vice=maybe"),
        ("life", "used", "quay-air", "first=2031-05-01", "last=2031-05-31", "cycles=12,000"),
    ):
        said = say(*words)
        assert said.code == 2, words
        assert len(said.err.strip().splitlines()) == 1, said.err
    assert len(say("visit", "record", "last", "--json").json) == before
    assert say("rebuild", "last").code == 0
