"""Bench calculators against hand sums and the proof's own way to the same figures."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Outcome, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

SOLVENT = {"head": "60 mm", "time": "120 s", "ball_diameter": "22 mm", "seat_width": "4 mm",
           "pressure": "200 bar", "viscosity": "1500 mPa*s"}  # fmt: skip


def run(name: str, **typed: str) -> Outcome:
    return calculate(find_calculator(name), typed).outcome


def held(**typed: str) -> Outcome:
    """A pressure hold of a rod that can not move."""
    return run("pressure-hold", rod_held="drive fluid trapped", **typed)


def test_solvent_lost_gives_the_slit_by_hand() -> None:
    """Plane Poiseuille: h = (12 mu L Q / (w p))^(1/3), a slit so slow that entry loses nothing."""
    found = run("solvent-test", **{**SOLVENT, "lost": "0.12 mL", "time": "7200 s"}).values
    circle = math.pi * 22e-3 * math.cos(math.pi / 4)
    # white spirit at 20 degC: 0.78 kg/L and 1.0 mPa s within a quarter (from memory)
    density, viscosity = 780.0, 1.0e-3
    flow = 0.12e-6 / 7200
    gap = (12 * viscosity * 4e-3 * flow / (0.1 * circle * density * 9.80665 * 0.06)) ** (1 / 3)
    assert found["gap"] == pytest.approx(gap, rel=0.1)
    leak = 0.1 * circle * found["gap"] ** 3 * 2e7 / (12 * 1.5 * 4e-3)
    assert found["leak"] == pytest.approx(leak, rel=0.01)


def test_a_dry_test_proves_more_the_longer_it_is_watched() -> None:
    short = run("solvent-test", **SOLVENT).values
    long = run("solvent-test", **{**SOLVENT, "time": "1200 s"}).values
    assert short["gap"] == short["leak"] == short["leak_low"] == 0
    assert short["leak_high"] == short["proves"] > long["proves"] > 0


def test_a_drop_in_pressure_gives_the_leak_by_hand() -> None:
    found = held(start="250 bar", end="240 bar", time="60 s",
                growth="0.6 mL/bar", gauge_spread="0", growth_spread="0").values  # fmt: skip
    assert found["volume_lost"] == pytest.approx(6e-6)
    assert found["leak"] == pytest.approx(0.6e-11 / 60 * math.log(250 / 240) * 250e5)
    assert found["leak_low"] == found["leak"] == found["leak_high"]


def test_liquid_gives_as_well_as_hose() -> None:
    hose = held(start="250 bar", end="240 bar", time="60 s", growth="0.6 mL/bar")
    both = held(start="250 bar", end="240 bar", time="60 s", growth="0.6 mL/bar",
               volume="10 L")  # fmt: skip
    assert both.values["compliance"] == pytest.approx(hose.values["compliance"] + 6e-12)


def test_a_hold_that_shows_nothing_is_said_to() -> None:
    told = held(start="250 bar", end="248 bar", time="60 s", growth="0.6 mL/bar")
    assert any("wait longer" in c for c in told.cautions)
    with pytest.raises(BadInput, match="did not fall"):
        held(start="250 bar", end="250 bar", time="60 s", growth="0.6 mL/bar")
    with pytest.raises(BadInput, match="Enter the growth"):
        held(start="250 bar", end="240 bar", time="60 s", growth="0")


def test_a_hold_of_a_rod_that_can_move_is_no_test_and_says_what_the_rod_takes() -> None:
    """By hand: 4 cm of a 27 mm rod, 22.902 mL, in 0.7788 mL/bar; of the annulus 22.462 mL."""
    given = {"start": "250 bar", "end": "221 bar", "time": "60 s", "growth": "0.7788 mL/bar",
             "bore": "38 mm", "rod": "27 mm", "travel": "40 mm"}  # fmt: skip
    for held in ("drive vented", "not known"):
        told = run("pressure-hold", rod_held=held, **given)
        assert "leak" not in told.values
        assert told.values["travel_up"] == pytest.approx(22.902 / 0.7788 * 1e5, rel=1e-3)
        assert told.values["travel_down"] == pytest.approx(22.462 / 0.7788 * 1e5, rel=1e-3)
        assert "Not a test of outside leakage" in told.cautions[0]
    assert "leak" in run("pressure-hold", rod_held="cock at the outlet", **given).values


def test_creep_alike_both_ways_is_a_leak_to_the_outside() -> None:
    """By hand: 5.6156 cm2 * 2.55 cm = 14.32 mL and 5.7256 cm2 * 2.5 cm = 14.31 mL in a minute."""
    given = {"bore": "38 mm", "rod": "27 mm", "time": "60 s"}
    same = run("outside-leak", moved_up="25.5 mm", moved_down="25 mm", **given).values
    assert same["up"] * 6e7 == pytest.approx(14.32, abs=0.01)
    assert same["down"] * 6e7 == pytest.approx(14.31, abs=0.01)
    assert same["says"] == "Both ways lose the same: a leak to the outside."
    one = run("outside-leak", moved_up="1 mm", moved_down="25 mm", **given).values
    assert str(one["says"]).startswith("Not the same both ways")
    assert one["outside"] == one["up"]
    still = run("outside-leak", moved_up="0 mm", moved_down="0 mm", **given).values
    assert still["says"] == "Nothing is seen to be lost."


def test_a_bucket_gives_the_efficiency_and_its_doubt_by_hand() -> None:
    found = run("bucket-test", bore="38 mm", stroke="80 mm", cycles="20", volume="1.74 L").values
    displacement = math.pi / 4 * 0.038**2 * 0.08
    efficiency = 1.74e-3 / (20 * displacement)
    parts = (5e-5 / 1.74e-3, 0.29 / 20, 5e-4 / 0.08, 2 * 2e-5 / 0.038)
    assert found["displacement"] == pytest.approx(displacement)
    assert found["efficiency"] == pytest.approx(efficiency)
    assert found["uncertainty"] == pytest.approx(efficiency * math.hypot(*parts), rel=1e-3)
    assert found["largest_doubt"] == "volume"


@pytest.mark.parametrize(("volume", "caution"), [("1.80 L", False), ("1.90 L", True)])
def test_more_in_the_bucket_than_the_pump_displaces_proves_nothing(volume, caution) -> None:
    """Displaced 1.8146 L in 20 cycles: 104.7 % of it is a slip or another bore, never a pass."""
    found = run("bucket-test", bore="38 mm", stroke="80 mm", cycles="20", volume=volume)
    assert (found.values["efficiency"] > 1) == caution
    assert any("repeat the test" in c for c in found.cautions) == caution


@pytest.mark.parametrize("slip", [{"bore": "3.7e-218"}, {"stroke": "3.7e-218"}, {"cycles": "1e-9"}])
def test_a_bucket_of_no_pump_is_refused(slip: dict[str, str]) -> None:
    typed = {"bore": "38 mm", "stroke": "80 mm", "cycles": "20", "volume": "1.7 L"}
    (name,) = slip
    with pytest.raises(BadInput, match=f"^{name} is .*; it must be from") as refused:
        run("bucket-test", **{**typed, **slip})
    assert [p.field for p in refused.value.problems] == [name]


def test_a_gland_nut_goes_in_by_its_pitch() -> None:
    found = run("gland-turn", pitch="2 mm", height="28 mm", turn="60 deg", stiffness="0.6 kN/mm",
                thread_diameter="48 mm", lever="250 mm").values  # fmt: skip
    assert found["travel"] == pytest.approx(2e-3 / 6)
    assert found["squeeze"] == pytest.approx(2 / 6 / 28)
    assert found["force"] == pytest.approx(200)
    assert found["pull"] == pytest.approx(found["torque"] / 0.25)
    back = run("gland-turn", pitch="2 mm", height="28 mm", squeeze=str(2 / 6 / 28)).values
    assert back["turn"] == pytest.approx(math.radians(60))


@pytest.mark.parametrize(
    "typed",
    [{}, {"turn": "1", "squeeze": "0.1"},
     {"turn": "1", "stiffness": "1 kN/mm", "thread_diameter": "3 mm"}],
)  # fmt: skip
def test_a_gland_turn_that_can_not_be_is_refused(typed: dict[str, str]) -> None:
    with pytest.raises(BadInput):
        run("gland-turn", pitch="2 mm", height="28 mm", **typed)
