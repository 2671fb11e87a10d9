"""Viscosity and temperature."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI

from wetend.errors import BadInput
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.temperature import (
    activation_of,
    andrade_factor,
    at_temperature,
    walther,
)


@pytest.mark.parametrize("liquid", ["o-Xylene", "n-Decane", "Toluene"])
def test_andrade_between_two_measured_points_against_coolprop(liquid: str) -> None:
    def reference(t: float) -> float:
        return float(PropsSI("V", "T", t, "P", 101325, liquid))

    b = activation_of((283.15, reference(283.15)), (313.15, reference(313.15)))
    middle = reference(283.15) * andrade_factor(298.15, 283.15, b)
    assert middle == pytest.approx(reference(298.15), rel=0.005)


def test_walther_between_two_measured_points_against_coolprop() -> None:
    # dodecane stands for an oil: the form was made for hydrocarbons above 2 mm2/s
    def reference(t: float) -> float:
        viscosity = PropsSI("V", "T", t, "P", 101325, "n-Dodecane")
        return float(viscosity / PropsSI("D", "T", t, "P", 101325, "n-Dodecane"))

    points = ((273.15, reference(273.15)), (303.15, reference(303.15)))
    assert walther(288.15, *points) == pytest.approx(reference(288.15), rel=0.01)
    assert walther(303.15, *points) == pytest.approx(points[1][1], rel=1e-12)


def test_a_warmer_liquid_is_thinner_in_all_its_stresses() -> None:
    warm = at_temperature(bingham(6.0, 0.18, 2650.0), 313.15, 293.15)
    assert warm.yield_stress / 6.0 == pytest.approx(warm.consistency / 0.18)
    assert warm.consistency < 0.18
    assert warm.density == 2650.0
    assert at_temperature(warm, 300.0, 300.0) == warm


def test_usual_coating_loses_about_four_per_cent_a_kelvin() -> None:
    # common practice, no source
    assert 1 - andrade_factor(294.15, 293.15) == pytest.approx(0.04, abs=0.005)


def test_one_temperature_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="two different"):
        activation_of((293.15, 1.0), (293.15, 1.0))
    with pytest.raises(BadInput, match="two different"):
        walther(300.0, (293.15, 1e-5), (293.15, 1e-5))
