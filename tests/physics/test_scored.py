"""Scores with coatings in them: lubrication, the square, and the newtonian closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from wetend.errors import BadInput
from wetend.physics import channels
from wetend.physics.grooves import arc_groove, ellipse_groove, parabola_groove
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.scored import Score, Shape, score_flow
from wetend.physics.slits import slit_flow

LENGTH, PRESSURE = 0.02, 1e7
SHALLOW = {
    "triangle": lambda s: 1 - s,
    "ellipse": lambda s: math.sqrt(1 - s * s),
    "parabola": lambda s: 1 - s * s,
}


def _power(index: float, consistency: float = 1.0) -> Liquid:
    return Liquid("power-law", 1400.0, 0.0, consistency, index)


def _lubricated(shape: str, liquid: Liquid, depth: float, width: float) -> float:
    """A very shallow score is a row of slits side by side."""

    def strip(s: float) -> float:
        return float(slit_flow(liquid, depth * SHALLOW[shape](s), breadth=width, length=LENGTH,
                               pressure=PRESSURE))  # fmt: skip

    return quad(strip, 0.0, 1.0, limit=200)[0]


@pytest.mark.parametrize("shape", SHALLOW)
@pytest.mark.parametrize(("index", "within"), [(1.5, 1e-3), (0.7, 1e-3), (0.5, 2e-3), (0.3, 5e-3)])
def test_a_shallow_scratch_is_a_row_of_slits(shape: Shape, index: float, within: float) -> None:
    liquid = _power(index)
    exact = _lubricated(shape, liquid, 1e-5, 4e-3)
    found = score_flow(Score(shape, 1e-5, 4e-3), liquid, length=LENGTH, pressure=PRESSURE)
    assert found == pytest.approx(exact, rel=within)


@pytest.mark.parametrize("share", [0.05, 0.4, 0.8, 1.2])
def test_a_yield_stress_holds_the_narrow_parts_still(share: float) -> None:
    wall = PRESSURE / LENGTH * 1e-5 / 4
    stiff = Liquid("herschel-bulkley", 1400.0, share * wall, 1.0, 0.6)
    exact = _lubricated("triangle", stiff, 1e-5, 4e-3)
    free = score_flow(Score("triangle", 1e-5, 4e-3), _power(0.6), length=LENGTH, pressure=PRESSURE)
    found = score_flow(Score("triangle", 1e-5, 4e-3), stiff, length=LENGTH, pressure=PRESSURE)
    assert found == pytest.approx(exact, abs=3e-3 * free)
    assert found < free


def test_nothing_runs_where_the_stress_is_nowhere_reached() -> None:
    wall = PRESSURE / LENGTH * 1e-5 / 4
    stiff = Liquid("bingham", 1400.0, 2.1 * wall, 1.0, 1.0)
    assert score_flow(Score("triangle", 1e-5, 4e-3), stiff, length=LENGTH, pressure=PRESSURE) == 0.0
    assert score_flow(Score("triangle", 1e-5, 4e-3), stiff, length=LENGTH, pressure=0.0) == 0.0


@pytest.mark.parametrize(("index", "known"), [(0.5, 5.7214), (0.7, 8.2666), (0.9, 11.8805)])
def test_a_thinning_coating_in_a_square(index: float, known: float) -> None:
    # f Re of the square, Re = rho V^(2-n) D^n / K: linear elements extrapolated in the tests of the
    # channels; 5.72 at n = 0.5 from memory of Chhabra and Richardson, table 3.5
    flow = score_flow(Score("rectangle", 1.0, 1.0), _power(index), length=1.0, pressure=1.0)
    assert 0.5 / flow**index == pytest.approx(known, rel=1e-3)


@pytest.mark.parametrize("aspect", [0.05, 0.3, 0.5])
def test_a_newtonian_liquid_is_as_by_the_poiseuille_number(aspect: float) -> None:
    liquid = Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0)
    made = {
        "rectangle": channels.rectangle, "triangle": channels.triangle, "arc": arc_groove,
        "ellipse": ellipse_groove, "parabola": parabola_groove,
    }  # fmt: skip
    for shape, make in made.items():
        exact = make(aspect * 1e-3, 1e-3).conductance * PRESSURE / (0.5 * LENGTH)
        score = Score(shape, aspect * 1e-3, 1e-3)  # type: ignore[arg-type]
        found = score_flow(score, liquid, length=LENGTH, pressure=PRESSURE)
        assert found == pytest.approx(exact, rel=4e-3), shape


def test_leak_grows_with_pressure_by_the_laws_power_and_thicker_leaks_less() -> None:
    score = Score("parabola", 4e-5, 2e-4)
    flows = [score_flow(score, _power(0.5), length=LENGTH, pressure=p) for p in (1e6, 1e7)]
    assert flows[1] / flows[0] == pytest.approx(100.0, rel=1e-6)
    thick = score_flow(score, _power(0.5, 2.0), length=LENGTH, pressure=1e6)
    assert flows[0] / thick == pytest.approx(4.0, rel=1e-6)


def test_the_short_way_is_low_for_a_scratch_by_what_the_pages_say() -> None:
    scratch = channels.triangle(1e-5, 4e-3)
    for index, low in ((0.7, 0.12), (0.5, 0.29)):
        short = float(
            channels.liquid_flow(scratch, _power(index), length=LENGTH, pressure=PRESSURE)
        )
        solved = score_flow(Score("triangle", 1e-5, 4e-3), _power(index), length=LENGTH,
                            pressure=PRESSURE)  # fmt: skip
        assert 1 - short / solved == pytest.approx(low, abs=0.01)


@pytest.mark.parametrize(("depth", "width"), [(0.0, 1e-3), (1e-4, np.inf), (-1e-4, 1e-3)])
def test_impossible_scores_are_refused(depth: float, width: float) -> None:
    with pytest.raises(BadInput, match="more than zero"):
        Score("triangle", depth, width)
    with pytest.raises(BadInput, match="half ellipse"):
        Score("arc", 1e-3, 1e-3)
