"""Calculators for leaks: areas and directions of a double-acting pump."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput
from wetend.physics.leakage import annulus_flow


def creep(**typed: str) -> Calculation:
    return calculate(find_calculator("stall-creep"), typed)


def test_creep_up_sweeps_the_ring_and_down_the_rod() -> None:
    """Common practice, no source: A_u above the piston, A_r on the way down; together A_b."""
    pump = {"bore": "38 mm", "rod": "27 mm", "creep": "4 mm/min"}
    up = creep(**pump, direction="up", pressure="250 bar").outcome.values
    down = creep(**pump, direction="down", pressure="250 bar").outcome.values
    speed = 0.004 / 60
    assert down["leak_flow"] == pytest.approx(math.pi / 4 * 0.027**2 * speed)
    assert up["leak_flow"] + down["leak_flow"] == pytest.approx(math.pi / 4 * 0.038**2 * speed)
    assert up["leak_at_100_bar"] == pytest.approx(up["leak_flow"] / 2.5)


def test_even_rhythm_pump_creeps_alike_both_ways() -> None:
    """Common practice, no source: A_b = 2 A_r gives equal strokes, so equal leaks too."""
    pump = {"bore": "40 mm", "rod": f"{40 / math.sqrt(2)} mm", "creep": "3 mm/min"}
    up, down = (creep(**pump, direction=way).outcome.values for way in ("up", "down"))
    assert up["leak_flow"] == pytest.approx(down["leak_flow"], rel=1e-9)
    assert "leak_at_100_bar" not in up


def test_creep_carries_its_caution_and_refuses_a_rod_thicker_than_the_bore() -> None:
    assert "hands clear" in creep(bore="38 mm", rod="27 mm", creep="1 mm/min",
                                  direction="up").warns[0].text  # fmt: skip
    with pytest.raises(BadInput, match="thinner than the bore"):
        creep(bore="27 mm", rod="38 mm", creep="1 mm/min", direction="up")
    with pytest.raises(BadInput, match="direction"):
        creep(bore="38 mm", rod="27 mm", creep="1 mm/min", direction="sideways")


def test_gap_leak_passes_its_values_on_and_warns_of_thick_and_short_gaps() -> None:
    gap = find_calculator("gap-leak")
    typed = {"diameter": "38 mm", "clearance": "60 um", "length": "22 mm",
             "pressure": "200 bar", "viscosity": "400 mPa*s", "eccentricity": "0.5"}  # fmt: skip
    found = calculate(gap, typed)
    flow = annulus_flow(0.038, 60e-6, length=0.022, pressure=2e7, viscosity=0.4, eccentricity=0.5)
    assert found.outcome.values["flow"] == pytest.approx(flow)
    assert not found.cautions
    odd = calculate(gap, {**typed, "clearance": "3 mm"})
    assert len(odd.cautions) == 2


def test_a_gap_takes_a_flow_law_instead_of_a_viscosity() -> None:
    gap = {"diameter": "38 mm", "clearance": "60 um", "length": "22 mm", "pressure": "20 bar",
           "eccentricity": "0.4"}  # fmt: skip
    calculator = find_calculator("gap-leak")
    plain = calculate(calculator, {**gap, "viscosity": "0.5"}).outcome.values["flow"]
    same = calculate(calculator, {**gap, "consistency": "0.5", "index": "1"}).outcome.values["flow"]
    assert same == pytest.approx(plain)
    known = annulus_flow(0.038, 60e-6, length=0.022, pressure=2e6, viscosity=0.5, eccentricity=0.4)
    assert plain == pytest.approx(known, rel=1e-12)
    still = {**gap, "consistency": "0.5", "index": "1", "yield_stress": "9000 Pa"}
    assert calculate(calculator, still).outcome.values["flow"] == 0.0
    with pytest.raises(BadInput, match="viscosity, or the consistency"):
        calculate(calculator, gap)


def test_a_chip_leaks_by_drag_when_thick_and_by_its_ends_when_thin() -> None:
    chip = {"gap": "60 um", "breadth": "2 mm", "length": "1 mm", "pressure": "200 bar"}
    calculator = find_calculator("seat-leak")
    thick = calculate(calculator, {**chip, "viscosity": "5 Pa*s"}).outcome.values
    assert thick["flow"] == pytest.approx(2e-3 * (60e-6) ** 3 * 2e7 / (12 * 5 * 1e-3), rel=1e-3)
    thin = calculate(calculator, {**chip, "viscosity": "1e-6", "density": "1000"})
    orifice = math.sqrt(1 / 1.5) * 2e-3 * 60e-6 * math.sqrt(2 * 2e7 / 1000)
    assert thin.outcome.values["flow"] == pytest.approx(orifice, rel=1e-3)
    assert thin.outcome.values["ends_share"] > 0.99
    deep = calculate(calculator, {**chip, "breadth": "0.1 mm", "viscosity": "0.5"})
    assert any("score-leak" in c for c in deep.cautions)
