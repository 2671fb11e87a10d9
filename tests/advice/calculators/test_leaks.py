"""Calculators for leaks: areas and directions of a double-acting pump."""

from __future__ import annotations

import math

import pytest
from closed_forms import ring_flow

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput


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
    flow = ring_flow(0.038, 60e-6, length=0.022, pressure=2e7, viscosity=0.4, eccentricity=0.5)
    assert found.outcome.values["flow"] == pytest.approx(flow)
    assert not found.cautions
    odd = calculate(gap, {**typed, "clearance": "3 mm"})
    assert any("not thin" in c for c in odd.cautions)
    assert any("short" in c for c in odd.cautions)


def test_a_gap_takes_a_flow_law_instead_of_a_viscosity() -> None:
    gap = {"diameter": "38 mm", "clearance": "60 um", "length": "22 mm", "pressure": "20 bar",
           "eccentricity": "0.4"}  # fmt: skip
    calculator = find_calculator("gap-leak")
    plain = calculate(calculator, {**gap, "viscosity": "0.5"}).outcome.values["flow"]
    same = calculate(calculator, {**gap, "consistency": "0.5", "index": "1"}).outcome.values["flow"]
    assert same == pytest.approx(plain)
    known = ring_flow(0.038, 60e-6, length=0.022, pressure=2e6, viscosity=0.5, eccentricity=0.4)
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


def leak(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


GAP = {"diameter": "38 mm", "clearance": "200 um", "length": "5 mm", "pressure": "200 bar",
       "density": "1000"}  # fmt: skip


def test_a_leak_faster_than_its_law_says_from_which_speed_on_and_why() -> None:
    """By hand: the ends take K = 1.5 velocity heads (Borda), so a tenth of 200 bar at
    sqrt(0.2 x 2e7 / 1500) = 51.6 m/s; Bernoulli allows no more than sqrt(2 x 2e7 / 1000) = 200."""
    slow = leak("gap-leak", **GAP, viscosity="1")
    assert slow.outcome.values["speed"] == pytest.approx(2e7 * (200e-6) ** 2 / (12 * 1 * 5e-3))
    assert not slow.cautions
    fast = leak("gap-leak", **GAP, viscosity="0.01")
    assert fast.outcome.values["speed"] > 1000
    told = " ".join(fast.cautions)
    assert "From 51.6 m/s on the liquid's inertia at the ends" in told
    assert "1333 m/s is doubtful" in told
    assert "From 300 m/s on" in told
    assert "too fast to be laminar" in told


def test_the_true_leak_named_for_a_fast_gap_is_that_of_ends_and_drag_in_series() -> None:
    """The quadratic solved by hand: p = a Q + b Q^2, a = p/Q0, b = 1.5 rho / (2 A^2)."""
    fast = leak("gap-leak", **GAP, viscosity="0.01")
    area = math.pi * 0.038 * 200e-6
    a, b = 2e7 / fast.outcome.values["flow"], 0.75 * 1000 / area**2
    true = (-a + math.sqrt(a * a + 4 * b * 2e7)) / (2 * b)
    assert f"nearer {true * 6e4:.0f} L/min" in fast.cautions[0]


def test_a_chip_that_boils_at_its_edge_says_how_little_it_may_pass() -> None:
    """Encyclopaedia Britannica, 11th ed., "Hydraulics", section 18: a parted stream passes 0.62 of
    Bernoulli's; entry and exit losses alone pass 0.82. The edge boils where the pressure behind it,
    200 bar and the air's less the velocity head through 0.64 of the opening, is used up."""
    chip = {"gap": "60 um", "breadth": "2 mm", "length": "1 mm", "pressure": "200 bar",
            "density": "1000"}  # fmt: skip
    thin = leak("seat-leak", **chip, viscosity="1e-6")
    boils = next(c for c in thin.cautions if "boils" in c)
    assert boils.startswith("From 128 m/s on the stream boils")
    least = 0.62 * 2e-3 * 60e-6 * 200 * 6e4
    assert f"down to {least * 1e3:.0f} mL/min" in boils
    assert not any("boils" in c for c in leak("seat-leak", **chip, viscosity="0.5").cautions)


def test_turbulence_of_a_coating_that_thins_is_told_by_the_stress_at_the_wall() -> None:
    """Its consistency is no viscosity: 8 Pa s^n with n = 0.3 runs like water at a million a
    second."""
    chip = {"gap": "0.5 mm", "breadth": "5 mm", "length": "1 mm", "pressure": "200 bar"}
    thins = leak("seat-leak", **chip, consistency="2", index="0.1")
    assert any("laminar" in c for c in thins.cautions)


def test_worn_packings_and_scores_have_the_same_limits() -> None:
    worn = {"diameter": "38 mm", "height": "5 mm", "pressure": "200 bar", "worn": "1 mm",
            "worn_distance": "1000 m", "distance": "1000 m", "viscosity": "0.001"}  # fmt: skip
    assert any("doubtful" in c for c in leak("packing-wear", **worn).cautions)
    scratch = {"shape": "triangle", "width": "0.5 mm", "depth": "0.2 mm", "length": "5 mm",
               "pressure": "200 bar", "viscosity": "0.001"}  # fmt: skip
    assert any("doubtful" in c for c in leak("score-leak", **scratch).cautions)
