"""Displacement and slip."""

from __future__ import annotations

import math

import pytest

from wetend.errors import BadInput
from wetend.physics.displacement import displacement, ideal_flow, slip, volumetric_efficiency


def test_a_wet_end_delivers_its_bore_once_a_cycle_shared_between_the_strokes() -> None:
    bore, rod, stroke = 0.038, 0.027, 0.08
    up = math.pi / 4 * (bore**2 - rod**2) * stroke
    down = math.pi / 4 * rod**2 * stroke
    assert displacement(bore, stroke, action="single") == pytest.approx(up + down)


def test_even_rhythm_at_a_rod_of_half_the_bore_area() -> None:
    # common practice, no source: with A_b = 2 A_r both strokes deliver the same
    bore = 0.05
    rod = bore / math.sqrt(2)
    down = math.pi / 4 * rod**2
    assert math.pi / 4 * (bore**2 - rod**2) == pytest.approx(down)


def test_double_acting_is_twice_a_bore_less_a_rod() -> None:
    area = math.pi / 4
    assert displacement(1.0, 1.0, rod=0.5) == pytest.approx(area * (2 - 0.25))
    assert displacement(1.0, 1.0, rod=0.5, action="double-rod-neglected") == pytest.approx(2 * area)


def test_slip_and_efficiency_make_one() -> None:
    assert slip(0.9, 1.0) + volumetric_efficiency(0.9, 1.0) == pytest.approx(1.0)
    assert ideal_flow(2e-4, 0.5) == 1e-4


@pytest.mark.parametrize("rod", [0.05, 0.06, -0.01])
def test_a_rod_as_thick_as_the_bore_is_refused(rod: float) -> None:
    with pytest.raises(BadInput, match="thinner"):
        displacement(0.05, 0.1, rod=rod)
