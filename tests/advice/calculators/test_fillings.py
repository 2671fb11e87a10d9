"""Filling and air as people type them."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator

THICK = {"law": "newtonian", "viscosity": "6 Pa*s", "density": "1.42 kg/L", "pump_bore": "38 mm",
         "stroke": "80 mm", "rate": "35 cycles/min", "bore": "25 mm", "length": "1.6 m",
         "temperature": "10 degC"}  # fmt: skip


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_margin_by_hand() -> None:
    flow = 2 * math.pi / 4 * 0.038**2 * 0.08 * 35 / 60
    loss = 128 * 6 * 1.6 * flow / (math.pi * 0.025**4)
    by_hand = 101325 - 1420 * 9.80665 * 0.5 - loss - 1000
    assert run("suction-remedy", **THICK).outcome.values["margin"] == pytest.approx(by_hand)


def test_each_remedy_put_back_gives_the_margin() -> None:
    values = run("suction-remedy", **THICK).outcome.values
    for name, field, unit in (("tube_bore", "bore", "m"), ("highest_lift", "lift", "m")):
        back = run("suction-remedy", **{**THICK, field: f"{values[name]!r} {unit}"})
        assert back.outcome.values["margin"] == pytest.approx(2e4, rel=1e-6)
    slow = {**THICK, "rate": repr(35 / 60 * values["speed_share"])}
    assert run("suction-remedy", **slow).outcome.values["margin"] == pytest.approx(2e4, rel=1e-6)


def test_a_starved_pump_is_told_so_and_a_filled_one_too() -> None:
    starved = run("suction-remedy", **{**THICK, "viscosity": "30 Pa*s"})
    assert starved.outcome.values["filling"] < 0.5
    assert any("does not fill" in c for c in starved.cautions)
    fine = run("suction-remedy", **{**THICK, "viscosity": "0.3 Pa*s"})
    assert fine.outcome.values["filling"] == 1.0
    assert any("margin is enough" in c for c in fine.cautions)


def test_air_out_of_solution_takes_more_the_lower_the_suction() -> None:
    def lost(suction: str) -> float:
        out = run("entrained-air", entrained="1 %", dissolved="15 %", suction=suction,
                  delivery="200 bar")  # fmt: skip
        return float(str(out.outcome.values["lost_travel"]))

    assert lost("0.5 bar") > lost("0.8 bar") > lost("1.2 bar")
    foam = run("entrained-air", entrained="10 %", delivery="200 bar")
    assert any("stirring" in c for c in foam.cautions)
