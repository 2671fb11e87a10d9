"""The number that matters most, by laws whose exponents are known."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.advice.calculators.response import DOUBT, WITHOUT, response_of


def _response(name: str, **typed: str):
    calculator = find_calculator(name)
    return response_of(calculate(calculator, typed or calculator.example, system="metric"))


def test_flow_through_a_nozzle_goes_with_the_square_of_the_hole() -> None:
    """Q = Cd pi/4 d^2 sqrt(2 p / rho): exponents 2, 1, 1/2 and -1/2, so a spread by JCGM 100."""
    found = _response("nozzle-flow", orifice="0.5 mm", pressure="200 bar", density="1.4 kg/L",
                      discharge_coefficient="0.85")  # fmt: skip
    assert found is not None
    moves = {f.name: m for f, m in found.moves}
    assert found.field.name == "orifice"
    assert moves == pytest.approx(
        {"orifice": 2 * DOUBT, "discharge_coefficient": DOUBT, "pressure": DOUBT / 2,
         "density": DOUBT / 2}, rel=5e-3,
    )  # fmt: skip
    assert found.spread / found.y == pytest.approx(DOUBT * math.sqrt(4 + 1 + 0.25 + 0.25), rel=5e-3)
    for x, y in found.points:
        assert y / found.y == pytest.approx((x / found.x) ** 2, rel=1e-6)
    assert found.points[0][0] == pytest.approx(0.5 * found.x)


def test_a_temperature_is_varied_by_kelvin_and_not_by_a_share() -> None:
    found = _response("warm-viscosity")
    assert found is not None
    assert found.field.name == "measured_at"
    assert found.points[-1][0] - found.points[0][0] == pytest.approx(30.0)


@pytest.mark.parametrize("name", sorted(WITHOUT))
def test_series_and_draws_have_none(name: str) -> None:
    assert _response(name) is None


def test_the_others_have_one_that_goes_through_the_answer() -> None:
    slow = {"suction-remedy", "acceptance-risk", "heated-hose", "valve-opening"}
    drawn = [c.name for c in all_calculators() if c.name not in WITHOUT | slow]
    for name in drawn:
        found = _response(name)
        assert found is not None, name
        across = [x for x, _ in found.points]
        assert min(across) <= found.x <= max(across)
        assert found.spread >= 0
