"""What holds across modules: each law the limit of the next, no step at a change of regime, and
closed forms equal to integration to 1e-9."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from closed_forms import bore_flow
from examples import costly
from fluids.drag import Barati_high, Clift, v_terminal
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.physics.air import free_air
from wetend.physics.channels import Channel, liquid_flow, rectangle, triangle
from wetend.physics.filling import Inlet, fill_share, greatest_flow
from wetend.physics.grooves import arc_groove, ellipse_groove
from wetend.physics.hose import hose_loss
from wetend.physics.lines import FITTINGS, Line, Piece, line_loss
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.flow import shear_stress
from wetend.physics.rheology.friction import TURBULENT_FROM, fanning_friction
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law
from wetend.physics.slits import annulus_leak, slit_flow
from wetend.physics.valves import drag_coefficient, fall_speed
from wetend.units.constants import ATMOSPHERE

Passing = Callable[[Liquid], float]
PRESSURE, LENGTH = 4e6, 0.022

PASSAGES: dict[str, Passing] = {
    "stress": lambda c: float(shear_stress(c, 300.0)),
    "bore": lambda c: float(bore_flow(c, PRESSURE, 0.5e-3, LENGTH)),
    "slit": lambda c: float(slit_flow(c, 60e-6, breadth=0.1, length=LENGTH, pressure=PRESSURE)),
    "ring": lambda c: annulus_leak(c, 0.038, 60e-6, length=LENGTH, pressure=PRESSURE,
                                   eccentricity=0.6),
    "square": lambda c: float(liquid_flow(rectangle(1e-4, 1e-4), c, length=LENGTH,
                                          pressure=PRESSURE)),
    "score": lambda c: float(liquid_flow(triangle(4e-5, 2e-4), c, length=LENGTH,
                                         pressure=PRESSURE)),
    "hose": lambda c: float(hose_loss(c, 4e-5, 0.0095, 30.0)),
    "fast hose": lambda c: float(hose_loss(replace(c, consistency=c.consistency / 1000), 4e-4,
                                           0.0095, 30.0)),
    "line": lambda c: line_loss(c, 4e-5, Line((Piece(0.0127, 15.0), Piece(0.0095, 15.0, (
        FITTINGS["elbow 90"],))), rise=3.0)),
}  # fmt: skip


@pytest.mark.parametrize("passage", PASSAGES.values(), ids=PASSAGES.keys())
def test_herschel_bulkley_is_each_of_the_other_three_at_its_limit(passage: Passing) -> None:
    rho = 1300.0
    assert passage(herschel_bulkley(0.0, 0.4, 1.0, rho)) == pytest.approx(
        passage(newtonian(0.4, rho)), rel=1e-12
    )
    assert passage(herschel_bulkley(0.0, 3.2, 0.72, rho)) == pytest.approx(
        passage(power_law(3.2, 0.72, rho)), rel=1e-12
    )
    assert passage(herschel_bulkley(6.0, 0.18, 1.0, rho)) == pytest.approx(
        passage(bingham(6.0, 0.18, rho)), rel=1e-12
    )


@pytest.mark.parametrize("passage", PASSAGES.values(), ids=PASSAGES.keys())
def test_the_limit_is_reached_without_a_step(passage: Passing) -> None:
    rho = 1300.0
    plain = passage(newtonian(0.4, rho))
    for nearly in (
        herschel_bulkley(1e-9, 0.4, 1.0, rho),
        power_law(0.4, 1.0 - 1e-9, rho),
        herschel_bulkley(1e-9, 0.4, 1.0 + 1e-9, rho),
    ):
        assert passage(nearly) == pytest.approx(plain, rel=1e-4)
        assert abs(passage(nearly) / plain - 1) < 2e-5


LIQUIDS = st.builds(
    herschel_bulkley, st.one_of(st.just(0.0), st.floats(0.1, 800.0)), st.floats(0.05, 20.0),
    st.floats(0.2, 1.6), st.just(1300.0),
)  # fmt: skip


@costly(15)
@given(LIQUIDS, st.floats(5.5, 7.5))
def test_bore_and_slit_are_the_integrals_of_their_profiles(
    liquid: Liquid, log_pressure: float
) -> None:
    pressure, size = 10.0**log_pressure, 2e-4
    slope = pressure / LENGTH

    def rate(stress: float) -> float:
        return (max(stress - liquid.yield_stress, 0.0) / liquid.consistency) ** (1 / liquid.index)

    half = min(2 * liquid.yield_stress / slope, size / 2)
    bore, _ = quad(lambda r: math.pi * r**2 * rate(slope * r / 2), half, size / 2,
                   epsabs=0, epsrel=1e-12, limit=400)  # fmt: skip
    ours = float(bore_flow(liquid, pressure, size, LENGTH))
    assert ours == pytest.approx(bore, rel=1e-9, abs=1e-40)
    still = min(liquid.yield_stress / slope, size / 2)
    slit, _ = quad(lambda y: 2 * y * rate(slope * y), still, size / 2,
                   epsabs=0, epsrel=1e-12, limit=400)  # fmt: skip
    ours = float(slit_flow(liquid, size, breadth=1.0, length=LENGTH, pressure=pressure))
    assert ours == pytest.approx(slit, rel=1e-9, abs=1e-40)


@costly(10)
@given(LIQUIDS, st.floats(0.1, 1.0))
def test_an_eccentric_ring_is_the_integral_of_its_slits(
    liquid: Liquid, eccentricity: float
) -> None:
    still = 2 * LENGTH * liquid.yield_stress / PRESSURE

    def slice_of(angle: float) -> float:
        gap = 60e-6 * (1 + eccentricity * math.cos(angle))
        return float(slit_flow(liquid, gap, breadth=0.038, length=LENGTH, pressure=PRESSURE))

    last = math.acos(min(max((still / 60e-6 - 1) / eccentricity, -1.0), 1.0))
    exact, _ = quad(slice_of, 0.0, last, epsabs=0, epsrel=1e-12, limit=400)
    ours = annulus_leak(
        liquid, 0.038, 60e-6, length=LENGTH, pressure=PRESSURE, eccentricity=eccentricity
    )
    assert ours == pytest.approx(exact, rel=1e-9, abs=1e-40)


def _no_step(of: Callable[[float], float], at: float, *, within: float = 1e-6) -> None:
    below, above = of(at * (1 - 1e-9)), of(at * (1 + 1e-9))
    assert below == pytest.approx(above, rel=within, abs=1e-9)


FOUR = (
    newtonian(1e-3),
    power_law(0.02, 0.6),
    bingham(2.0, 0.004),
    herschel_bulkley(2.0, 0.02, 0.7),
)


@pytest.mark.parametrize("liquid", FOUR, ids=lambda c: c.law)
def test_no_step_where_laminar_ends_and_turbulence_is_full(liquid: Liquid) -> None:
    speeds = np.geomspace(1e-2, 30, 4001)
    found = fanning_friction(liquid, speeds, 0.01)
    for limit in (found.critical, np.full_like(speeds, TURBULENT_FROM)):
        crossed = float(np.interp(0.0, np.log(found.reynolds / limit), np.log(speeds)))

        def wall(speed: float) -> float:
            return float(fanning_friction(liquid, speed, 0.01).wall_stress)

        _no_step(wall, math.exp(crossed))


def test_no_step_at_the_yield_stress_saturation_shapes_and_starving() -> None:
    liquid = herschel_bulkley(50.0, 2.0, 0.6, 1300.0)
    start = 4 * 50.0 * LENGTH / 0.5e-3
    assert float(bore_flow(liquid, start * (1 + 1e-6), 0.5e-3, LENGTH)) < 1e-15
    _no_step(lambda p: float(free_air(p, 0.02, 0.1)), 1.2 * ATMOSPHERE)
    # an arc that has become a half circle is the half ellipse
    arc, ellipse = arc_groove(0.5, 1.0), ellipse_groove(0.5, 1.0)
    assert arc.conductance == pytest.approx(ellipse.conductance, rel=1e-4)
    thick = newtonian(6.0, 1420.0)
    inlet = Inlet(Line((Piece(0.025, 1.6),), rise=0.5), vapour_pressure=1098.0)
    _no_step(lambda q: fill_share(thick, inlet, q), greatest_flow(thick, inlet))
    _no_step(lambda x: Channel(1.0, 4.0, 64.0, x).kozicki[0], 2.0)


@pytest.mark.parametrize("reynolds", [0.1, 1.0, 10.0, 100.0, 1e3, 1e4, 1e5])
def test_drag_agrees_with_two_other_correlations(reynolds: float) -> None:
    # Clift, Grace and Weber 1978 and Barati and others 2014, by the fluids library
    for other in (Clift, Barati_high):
        assert drag_coefficient(reynolds) == pytest.approx(other(reynolds), rel=0.07)


@pytest.mark.parametrize("viscosity", [0.001, 0.05, 1.0])
def test_a_falling_ball_agrees_with_the_fluids_library(viscosity: float) -> None:
    theirs = v_terminal(D=0.005, rhop=7800.0, rho=1300.0, mu=viscosity)
    ours = fall_speed(0.005, 6500.0, density=1300.0, viscosity=viscosity)
    assert ours == pytest.approx(theirs, rel=0.035)
