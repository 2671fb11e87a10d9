"""Suction margin and slip as people type them."""

from __future__ import annotations

import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


@pytest.mark.parametrize(
    ("lift", "said"), [("0.5 m", ""), ("6 m", "late"), ("9 m", "boils or parts")]
)
def test_margin_and_what_it_means(lift: str, said: str) -> None:
    out = run("suction-margin", density="1.42 kg/L", lift=lift, vapour_pressure="1 kPa")
    assert any(said in c for c in out.cautions) == bool(said)
    assert (out.outcome.values["margin"] <= 0) == (said == "boils or parts")


def test_greatest_lift_leaves_no_margin() -> None:
    given = {"density": "0.88 kg/L", "vapour_pressure": "1 kPa", "loss": "0.1 bar"}
    highest = run("suction-margin", lift="0", **given).outcome.values["greatest_lift"]
    margin = run("suction-margin", lift=f"{highest} m", **given).outcome.values["margin"]
    assert margin == pytest.approx(0.0, abs=1e-3)


def test_acceleration_head_of_a_crank_and_of_a_drive_that_turns_in_its_own_time() -> None:
    # GPSA Engineering Data Book section 12, from memory: triplex, 20 ft of 6 in at 0.81 ft/s and
    # 360 rpm, water without air: 8.54 ft
    out = run("acceleration-head", length="20 ft", speed="0.811 ft/s", rate="360 cycles/min",
              pump="triplex", liquid="water without air")  # fmt: skip
    assert out.outcome.values["head"] / 0.3048 == pytest.approx(8.54, rel=2e-3)
    assert any("Crank" in c for c in out.cautions)
    own = run("acceleration-head", length="2 m", speed="0.5 m/s", rate="0.5", reversal_time="0.05",
              density="1000").outcome.values  # fmt: skip
    # Newton: 2 m of 1000 kg/m3 sped up to 0.5 m/s in 0.05 s needs 20 kPa
    assert own["reversal_pressure"] == pytest.approx(20e3)
    assert own["reversal_head"] == pytest.approx(20e3 / 9806.65)


def test_head_available_less_head_required() -> None:
    given = {"density": "1.42 kg/L", "lift": "0.5 m", "vapour_pressure": "1 kPa"}
    plain = run("suction-margin", **given).outcome.values
    assert "npsh_margin" not in plain
    asked = run("suction-margin", **given, npsh_required="8 m")
    assert asked.outcome.values["npsh_margin"] == pytest.approx(plain["npsh"] - 8.0)
    assert any("maker requires" in c for c in asked.cautions)


def test_the_highest_lift_leaves_the_head_that_the_maker_asks_for() -> None:
    """Munson, Young and Okiishi, Fundamentals of Fluid Mechanics, 5th ed., ex. 12.3, does the same
    sum; its 7.65 ft is checked in tests/reference/suction-head.csv. By hand here: 1000 kg/m3 stands
    (101325 - 2340 - 24278) / 9806.65 = 7.62 m high, of which 5 m are to be left."""
    given = {"density": "1000", "lift": "2 m", "vapour_pressure": "2340 Pa", "loss": "24278 Pa"}
    bare = run("suction-margin", **given).outcome.values["greatest_lift"]
    asked = run("suction-margin", **given, npsh_required="5").outcome.values["greatest_lift"]
    assert bare == pytest.approx(7.62, abs=5e-3)
    assert asked == pytest.approx(2.62, abs=5e-3)


@pytest.mark.parametrize("needed", [{}, {"npsh_required": "0.1 m"}, {"npsh_required": "4 m"}])
def test_at_the_highest_lift_the_margin_or_the_head_is_just_used_up(needed: dict) -> None:
    given = {"density": "0.88 kg/L", "vapour_pressure": "1 kPa", "loss": "0.1 bar", "speed": "3"}
    highest = run("suction-margin", lift="0", **given, **needed).outcome.values["greatest_lift"]
    there = run("suction-margin", lift=f"{highest!r} m", **given, **needed).outcome.values
    left = [there["margin"] / 8630, there.get("npsh_margin", 1.0)]
    assert min(left) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("altitude", [0.0, 1000.0, 3000.0])
def test_the_air_of_the_site_is_that_of_its_height(altitude: float) -> None:
    # the standard atmosphere of 1976 by the fluids library
    how = {"density": "1000", "lift": "0 m", "vapour_pressure": "0 Pa"}
    found = run("suction-margin", **how, altitude=f"{altitude} m").outcome.values["pressure"]
    assert found == pytest.approx(ATMOSPHERE_1976(altitude).P, rel=1e-3)
    told = run("suction-margin", **how, altitude=f"{altitude} m", atmospheric="900 mbar")
    assert told.outcome.values["pressure"] == pytest.approx(9e4)
