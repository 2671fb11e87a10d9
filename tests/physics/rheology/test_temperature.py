"""Viscosity and temperature."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from chemicals.viscosity import Viswanath_Natarajan_3

from wetend.errors import BadInput, NoAnswer
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.temperature import (
    Method,
    ThroughTwo,
    activation_of,
    andrade_factor,
    at_temperature,
    vogel_pole,
)


@pytest.mark.parametrize("liquid", ["o-Xylene", "n-Decane", "Toluene"])
def test_andrade_between_two_measured_points_against_coolprop(
    coolprop: Callable[..., float], liquid: str
) -> None:
    def reference(t: float) -> float:
        return float(coolprop("V", "T", t, "P", 101325, liquid))

    b = activation_of((283.15, reference(283.15)), (313.15, reference(313.15)))
    middle = reference(283.15) * andrade_factor(298.15, 283.15, b)
    assert middle == pytest.approx(reference(298.15), rel=0.005)


def test_walther_between_two_measured_points_against_coolprop(
    coolprop: Callable[..., float],
) -> None:
    # dodecane stands for an oil: the form was made for hydrocarbons above 2 mm2/s
    def reference(t: float) -> float:
        viscosity = coolprop("V", "T", t, "P", 101325, "n-Dodecane")
        return float(viscosity / coolprop("D", "T", t, "P", 101325, "n-Dodecane"))

    points = ((273.15, reference(273.15)), (303.15, reference(303.15)))
    line = ThroughTwo("d341", *points)
    assert line.viscosity(288.15) == pytest.approx(reference(288.15), rel=0.01)


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
        ThroughTwo("d341", (293.15, 1e-5), (293.15, 1e-5)).viscosity(300.0)


METHODS: tuple[Method, ...] = ("andrade", "vogel", "d341")


@pytest.mark.parametrize("method", METHODS)
def test_the_line_goes_through_its_points_and_back(method: Method) -> None:
    scale = 1e-6 if method == "d341" else 1e-3
    line = ThroughTwo(method, (283.15, 90 * scale), (313.15, 20 * scale))
    assert line.viscosity(283.15) == pytest.approx(90 * scale, rel=1e-12)
    assert line.viscosity(313.15) == pytest.approx(20 * scale, rel=1e-12)
    for temperature in (278.15, 295.0, 325.0):
        back = line.temperature(line.viscosity(temperature))
        assert back == pytest.approx(temperature, rel=1e-12)
    assert line.viscosity(278.15) > line.viscosity(295.0) > line.viscosity(325.0)


def test_each_line_is_its_law() -> None:
    cool, warm = (283.15, 0.09), (313.15, 0.02)
    b = activation_of(cool, warm)
    by_factor = 0.09 * andrade_factor(300.0, 283.15, b)
    assert ThroughTwo("andrade", cool, warm).viscosity(300.0) == pytest.approx(by_factor, rel=1e-12)
    oil = ((313.15, 46e-6), (373.15, 6.8e-6))
    # Walther: log log(nu + 0.7) is straight in log T, nu in mm2/s
    low, high = (math.log10(math.log10(nu * 1e6 + 0.7)) for _, nu in oil)
    share = math.log(343.15 / 313.15) / math.log(373.15 / 313.15)
    walther = (10**10 ** (low + share * (high - low)) - 0.7) * 1e-6
    assert ThroughTwo("d341", *oil).viscosity(343.15) == pytest.approx(walther)
    # a pole at zero kelvin leaves the law of Andrade
    same = ThroughTwo("vogel", cool, warm, pole=0.0).viscosity(300.0)
    assert same == pytest.approx(by_factor, rel=1e-12)


def test_vogel_through_three_points_of_water_is_the_databook_law() -> None:
    # constants of Viswanath and Natarajan (1989) as held in the chemicals library
    def databook(t: float) -> float:
        return float(Viswanath_Natarajan_3(t, -1.5318 - 3, -220.57, 149.39))

    points = tuple((t, databook(t)) for t in (280.0, 300.0, 340.0))
    pole = vogel_pole(points)
    line = ThroughTwo("vogel", points[0], points[2], pole=pole)
    assert line.viscosity(320.0) == pytest.approx(databook(320.0), rel=1e-9)


def test_two_points_alone_leave_a_doubt_of_a_few_per_cent_between_them(
    coolprop: Callable[..., float],
) -> None:
    # n-dodecane by CoolProp: a thin hydrocarbon bends less than the oils Vogel's pole is for
    def reference(t: float) -> float:
        return float(coolprop("V", "T", t, "P", 101325, "n-Dodecane"))

    ends = ((273.15, reference(273.15)), (353.15, reference(353.15)))
    for method in ("andrade", "vogel"):
        found = ThroughTwo(method, *ends).viscosity(308.15)
        assert found == pytest.approx(reference(308.15), rel=0.08)
    points = ((273.15, reference(273.15)), (313.15, reference(313.15)), ends[1])
    three = ThroughTwo("vogel", *ends, pole=vogel_pole(points))
    assert three.viscosity(293.15) == pytest.approx(reference(293.15), rel=0.005)


def test_lines_that_can_not_be_are_refused() -> None:
    with pytest.raises(BadInput, match="two different temperatures"):
        ThroughTwo("vogel", (300.0, 1.0), (300.0, 2.0))
    with pytest.raises(BadInput, match="two different viscosities"):
        ThroughTwo("andrade", (300.0, 1.0), (310.0, 1.0))
    with pytest.raises(BadInput, match="pole"):
        ThroughTwo("vogel", (100.0, 1.0), (310.0, 0.5))
    with pytest.raises(BadInput, match=r"0\.3"):
        ThroughTwo("d341", (300.0, 1e-8), (310.0, 1e-9))
    line = ThroughTwo("vogel", (283.15, 0.09), (313.15, 0.02))
    with pytest.raises(NoAnswer, match="cold"):
        line.viscosity(170.0)
    with pytest.raises(NoAnswer, match="no temperature"):
        line.temperature(1e-9)
    with pytest.raises(NoAnswer, match="bend"):
        vogel_pole(((280.0, 1.0), (300.0, 0.9), (320.0, 0.5)))
    with pytest.raises(BadInput, match="three different"):
        vogel_pole(((280.0, 1.0), (300.0, 0.9), (300.0, 0.5)))
