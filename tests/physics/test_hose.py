"""Hose loss: two routes, limits between the laws, and no input that breaks it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from closed_forms import bore_flow
from fluids.core import Reynolds
from fluids.friction import friction_factor, one_phase_dP
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.errors import BadInput
from wetend.physics.hose import fitting_loss, hose_loss
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley, wall_stress
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law

FLOWS = np.geomspace(1e-8, 3e-3, 300)
"""m3/s: from a weep to far into turbulence for a solvent in a 9.5 mm hose."""
LIQUIDS = st.builds(
    Liquid,
    law=st.just("herschel-bulkley"),
    density=st.floats(600, 4000),
    yield_stress=st.one_of(st.just(0.0), st.floats(1e-6, 1e4)),
    consistency=st.floats(1e-5, 1e4),
    index=st.one_of(st.just(1.0), st.floats(0.05, 2.0)),
)


def _laminar(liquid: Liquid, flow: np.ndarray, bore: float, length: float) -> np.ndarray:
    return 4 * wall_stress(32 * flow / (np.pi * bore**3), liquid) * length / bore


@pytest.mark.parametrize("flow", [1e-7, 1e-5, 1e-4, 1e-3])
def test_newtonian_loss_agrees_with_the_fluids_library(flow: float) -> None:
    # laminar 64/Re exactly; turbulent Colebrook there, Prandtl and Nikuradse here
    speed = flow * 4 / (np.pi * 0.0095**2)
    reynolds = Reynolds(V=speed, D=0.0095, rho=880.0, mu=0.0007)
    theirs = 30 / 0.0095 * friction_factor(Re=reynolds, eD=0.0) * 880.0 * speed**2 / 2
    ours = float(hose_loss(newtonian(0.0007, 880.0), flow, 0.0095, 30.0))
    assert ours == pytest.approx(theirs, rel=1e-9 if reynolds < 2000 else 0.005)


def test_newtonian_loss_agrees_with_the_whole_calculation_of_the_fluids_library() -> None:
    mass_flow = 0.05
    theirs = one_phase_dP(m=mass_flow, rho=880.0, mu=0.0007, D=0.0095, roughness=0.0, L=30.0)
    ours = float(hose_loss(newtonian(0.0007, 880.0), mass_flow / 880.0, 0.0095, 30.0))
    assert ours == pytest.approx(theirs, rel=0.005)


def test_power_law_loss_is_sixteen_over_metzner_and_reed() -> None:
    # Re = 8 rho V^(2-n) D^n / (K (2 (3n+1)/n)^n), f = 16/Re: de Nevers, 3rd ed., ex. 13.3
    liquid, n = power_law(3.2, 0.72, 1420.0), 0.72
    speed = 0.47
    flow = speed * np.pi * 0.0095**2 / 4
    reynolds = 8 * 1420 * speed ** (2 - n) * 0.0095**n / (3.2 * (2 * (3 * n + 1) / n) ** n)
    friction = 16 / reynolds
    expected = 2 * friction * 1420.0 * speed**2 * 30.0 / 0.0095
    assert float(hose_loss(liquid, flow, 0.0095, 30.0)) == pytest.approx(float(expected), rel=1e-10)


def test_rise_and_friction_of_an_acid_line() -> None:
    # Coulson and Richardson vol. 1, 6th ed., ex. 3.1, p. 70, as transcribed in the FOSSEE Python
    # Textbook Companions: 320 kN/m2; R/(rho u^2) = 0.006 is read from a chart there, so the loss is
    # taken as a fitting of 0.5*2 + 8 phi l/d, and the rise as static head
    flow = 1.25 / 1840
    coefficient = 1.0 + 8 * 0.006 * 30 / 0.025
    total = float(fitting_loss(coefficient, flow, 0.025, 1840.0)) + 1840 * 9.80665 * 12
    assert total == pytest.approx(320e3, rel=1e-3)


def test_power_law_against_newtonian_liquid_of_equal_viscosity_at_1000_per_second() -> None:
    # Coulson and Richardson vol. 1, 6th ed., ex. 3.11, p. 129, as transcribed in the FOSSEE Python
    # Textbook Companions: flow ratio 0.065
    thinning = power_law(0.1 * 1000 ** (2 / 3), 1 / 3)
    flows = [float(bore_flow(x, 1e5, 0.025, 20.0)) for x in (thinning, newtonian(0.1))]
    assert flows[0] / flows[1] == pytest.approx(0.065, rel=0.005)


def test_flow_is_the_integral_of_the_speed_profile() -> None:
    liquid, wall, bore = herschel_bulkley(10.0, 2.0, 0.6), 60.0, 0.025

    def speed_at(radius: float) -> float:
        rate, _ = quad(
            lambda r: (max(wall * r / (bore / 2) - 10.0, 0.0) / 2.0) ** (1 / 0.6),
            radius, bore / 2, epsrel=1e-11,
        )  # fmt: skip
        return rate

    flow, _ = quad(lambda r: 2 * np.pi * r * speed_at(r), 0, bore / 2, epsrel=1e-9)
    assert float(hose_loss(liquid, flow, bore, 1.0)) == pytest.approx(wall * 4 / bore, rel=1e-6)


def test_each_law_is_the_limit_of_the_next_in_laminar_and_turbulent_flow() -> None:
    def loss(liquid: Liquid) -> np.ndarray:
        return hose_loss(liquid, FLOWS, 0.0095, 30.0)

    thin = loss(newtonian(0.0007, 880.0))
    assert loss(power_law(0.0007, 1.0, 880.0)) == pytest.approx(thin, rel=1e-12)
    assert loss(bingham(0.0, 0.0007, 880.0)) == pytest.approx(thin, rel=1e-12)
    assert loss(bingham(1e-9, 0.0007, 880.0)) == pytest.approx(thin, rel=1e-4)
    shear_thin = loss(power_law(0.02, 0.6, 880.0))
    assert loss(herschel_bulkley(0.0, 0.02, 0.6, 880.0)) == pytest.approx(shear_thin, rel=1e-12)
    assert loss(herschel_bulkley(1e-9, 0.02, 0.6, 880.0)) == pytest.approx(shear_thin, rel=1e-4)
    plastic = loss(bingham(2.0, 0.004, 880.0))
    assert loss(herschel_bulkley(2.0, 0.004, 1.0, 880.0)) == pytest.approx(plastic, rel=1e-12)


@settings(deadline=None)
@given(LIQUIDS, st.floats(1e-4, 0.3))
def test_loss_is_finite_rises_with_flow_and_is_odd_for_any_liquid(
    liquid: Liquid, bore: float
) -> None:
    flows = np.geomspace(1e-6, 1e3, 120) * np.pi * bore**2 / 4
    loss = hose_loss(liquid, flows, bore, 10.0)
    assert np.all(np.isfinite(loss))
    assert np.all(np.diff(loss) >= -1e-9 * loss[1:])
    assert np.all(loss >= _laminar(liquid, flows, bore, 10.0) * (1 - 1e-12))
    assert np.array_equal(hose_loss(liquid, -flows, bore, 10.0), -loss)


def test_at_rest_a_yield_stress_must_be_overcome() -> None:
    liquid = herschel_bulkley(12.0, 6.5, 0.6, 1360.0)
    assert float(hose_loss(liquid, 0.0, 0.0095, 30.0)) == pytest.approx(4 * 12 * 30 / 0.0095)
    assert float(hose_loss(newtonian(0.3), 0.0, 0.0095, 30.0)) == 0.0


def test_a_larger_hose_costs_less() -> None:
    # common practice: the cure for a long line is a larger bore
    liquid = bingham(6.0, 0.18, 2650.0)
    losses = [float(hose_loss(liquid, 4e-5, bore, 30.0)) for bore in (0.0064, 0.0095, 0.0127)]
    assert losses == sorted(losses, reverse=True)


@pytest.mark.parametrize(
    ("bore", "length"), [(0.0, 1.0), (-1.0, 1.0), (0.01, -1.0), (0.01, math.inf)]
)
def test_impossible_hoses_are_refused(bore: float, length: float) -> None:
    with pytest.raises(BadInput, match="hose"):
        hose_loss(newtonian(0.1), 1e-4, bore, length)


def test_wall_stress_balances_pressure() -> None:
    liquid, flow = herschel_bulkley(12.0, 6.5, 0.6), 3e-5
    stress = float(wall_stress(32 * flow / (np.pi * 0.0095**3), liquid))
    pressure = float(hose_loss(liquid, flow, 0.0095, 30.0))
    assert stress * np.pi * 0.0095 * 30 == pytest.approx(pressure * np.pi * 0.0095**2 / 4)
