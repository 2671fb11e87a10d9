"""Viscosity and temperature as people type them."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput, NoAnswer

READINGS = {"temperature_1": "10 degC", "viscosity_1": "800 mPa*s", "temperature_2": "30 degC",
            "viscosity_2": "400 mPa*s"}  # fmt: skip


def run(**typed: str) -> Calculation:
    return calculate(find_calculator("viscosity-temperature"), {**READINGS, **typed})


def test_andrade_by_hand() -> None:
    # ln 2 over 1/283.15 - 1/303.15 is 2975 K
    b = math.log(2) / (1 / 283.15 - 1 / 303.15)
    assert b == pytest.approx(2975, abs=1)
    out = run(temperature="20 degC").outcome.values
    assert out["viscosity"] == pytest.approx(0.4 * math.exp(b * (1 / 293.15 - 1 / 303.15)))


@pytest.mark.parametrize("method", ["andrade", "vogel", "d341"])
def test_each_method_gives_the_readings_back_and_turns_round(method: str) -> None:
    typed = {"method": method, "density": "1.2 kg/L"}
    assert run(temperature="10 degC", **typed).outcome.values["viscosity"] == pytest.approx(0.8)
    middle = run(temperature="20 degC", **typed).outcome.values
    assert 0.4 < float(middle["viscosity"]) < 0.8
    assert middle["kinematic_viscosity"] == pytest.approx(middle["viscosity"] / 1200)
    back = run(wanted=f"{middle['viscosity']!r} Pa*s", **typed).outcome.values
    assert back["temperature_needed"] == pytest.approx(293.15)


def test_what_is_lacking_is_said() -> None:
    with pytest.raises(BadInput, match="density"):
        run(temperature="20 degC", method="d341")
    with pytest.raises(BadInput, match="ask the viscosity"):
        run()
    with pytest.raises(BadInput, match="third"):
        run(temperature="20 degC", temperature_3="20 degC")
    with pytest.raises(NoAnswer, match="bend"):
        run(temperature="15 degC", method="vogel", temperature_3="20 degC", viscosity_3="790 mPa*s")


def test_readings_that_thin_with_warmth_need_no_caution() -> None:
    assert not run(temperature="20 degC").cautions


def test_cautions_for_far_near_and_backwards() -> None:
    assert any("30 K" in c for c in run(temperature="70 degC").cautions)
    assert any("5 K" in c for c in run(temperature="20 degC", temperature_2="12 degC").cautions)
    assert any("curing" in c for c in run(temperature="20 degC", viscosity_2="900 mPa*s").cautions)
    assert any("-95" in c for c in run(temperature="20 degC", method="vogel").cautions)


OIL = {"method": "d341", "density": "1000", "temperature_1": "40 degC", "viscosity_1": "10 mPa*s",
       "temperature_2": "100 degC"}  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"viscosity_2": "2.5 mPa*s", "temperature": "70 degC"}, ""),
        ({"viscosity_2": "2.5 mPa*s", "temperature": "140 degC"}, "is below 2.00 mm²/s"),
        ({"viscosity_2": "2.5 mPa*s", "wanted": "1.5 mPa*s"}, "1.50 mm²/s is below 2.00 mm²/s"),
        ({"viscosity_2": "1.5 mPa*s", "temperature": "70 degC"}, "1.50 mm²/s is below 2.00"),
    ],
)
def test_below_its_range_d341_says_so(typed: dict[str, str], told: str) -> None:
    """The simple form holds from 2 mm2/s on: ASTM D341, as given on technicaltoolboxes.com."""
    said = [c for c in run(**OIL, **typed).cautions if "D341" in c]
    assert len(said) == bool(told)
    assert told in " ".join(said)
    other = run(**{**OIL, **typed, "method": "andrade"}).cautions
    assert not any("D341" in c for c in other)
