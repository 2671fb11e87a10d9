"""Nozzles: Torricelli, the slow limit, and a second route through an orifice plate."""

from __future__ import annotations

import numpy as np
import pytest
from closed_forms import orifice_pressure
from fluids.flow_meter import (
    C_Reader_Harris_Gallagher,
    differential_pressure_meter_solver,
    orifice_expansibility,
)
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics.hose import hose_loss
from wetend.physics.nozzle import (
    equal_orifice,
    jet_speed,
    nozzle_shear_rate,
    orifice_flow,
    pressure_after_wear,
    wear_growth,
)
from wetend.physics.rheology.newtonian import newtonian


def test_orifice_plate_against_the_iso_5167_solver_of_the_fluids_library() -> None:
    # its docstring example: 7.70234 kg/s; coefficient and expansibility are taken from there, so
    # that what is checked is our law with its approach factor
    bore, hole, density = 0.07366, 0.05, 999.1
    mass_flow = differential_pressure_meter_solver(
        D=bore, D2=hole, P1=200000.0, P2=183000.0, rho=density, mu=0.0011, k=1.33,
        meter_type="ISO 5167 orifice", taps="D",
    )  # fmt: skip
    assert mass_flow == pytest.approx(7.70234, rel=1e-6)
    coefficient = C_Reader_Harris_Gallagher(
        D=bore, Do=hole, rho=density, mu=0.0011, m=mass_flow, taps="D"
    )
    spread = orifice_expansibility(D=bore, Do=hole, P1=200000.0, P2=183000.0, k=1.33)
    ours = orifice_flow(
        17000.0, hole, density=density, discharge_coefficient=coefficient, bore=bore
    )
    assert float(ours) * density * spread == pytest.approx(mass_flow, rel=1e-6)


@given(st.floats(1e2, 5e7), st.floats(1e-4, 5e-3), st.floats(0.0, 10.0), st.floats(0.0, 5e-3))
def test_pressure_is_the_inverse_of_flow(
    pressure: float, orifice: float, viscosity: float, land: float
) -> None:
    how = {"density": 1200.0, "viscosity": viscosity, "land": land}
    flow = float(orifice_flow(pressure, orifice, **how))
    assert flow > 0
    assert orifice_pressure(flow, orifice, **how) == pytest.approx(pressure, rel=1e-9)


def test_slow_flow_through_a_thin_hole_is_that_of_sampson() -> None:
    # Q = r^3 dp/(3 mu), Sampson 1891, from memory
    flow = orifice_flow(1.0, 1e-3, density=1000.0, viscosity=100.0)
    assert float(flow) == pytest.approx((0.5e-3) ** 3 / (3 * 100.0), rel=1e-6)


def test_slow_flow_through_a_long_hole_is_that_of_a_hose() -> None:
    flow = float(orifice_flow(1e4, 1e-3, density=1000.0, viscosity=10.0, land=0.5))
    hose = float(hose_loss(newtonian(10.0), flow, 1e-3, 0.5))
    assert hose == pytest.approx(1e4, rel=2e-3)


def test_flow_goes_with_the_square_of_the_hole_and_the_root_of_pressure() -> None:
    one = float(orifice_flow(1e7, 0.5e-3, density=1200.0))
    assert float(orifice_flow(1e7, 1.0e-3, density=1200.0)) == pytest.approx(4 * one)
    assert float(orifice_flow(4e7, 0.5e-3, density=1200.0)) == pytest.approx(2 * one)
    assert orifice_flow([0.0, -5.0], 1e-3, density=1200.0).tolist() == [0.0, 0.0]


def test_equal_hole_from_the_bucket_and_growth_by_wear() -> None:
    flow = float(orifice_flow(2e7, 0.6e-3, density=1300.0))
    assert equal_orifice(flow, 2e7, density=1300.0) == pytest.approx(0.6e-3, rel=1e-12)
    worn = float(orifice_flow(2e7, 0.66e-3, density=1300.0))
    assert wear_growth(worn, flow) == pytest.approx(0.10, rel=1e-9)


def test_a_jet_is_fast_and_shears_hard() -> None:
    # common practice: jets of 100 to 200 m/s, millions of reciprocal seconds
    assert 100 < jet_speed(2e7, 1200.0) < 200
    flow = float(orifice_flow(2e7, 0.533e-3, density=1200.0))
    assert nozzle_shear_rate(flow, 0.533e-3) == pytest.approx(
        8 * flow / (np.pi * 0.533e-3**2 / 4) / 0.533e-3
    )


def test_pressure_after_wear_keeps_the_flow() -> None:
    flow = float(orifice_flow(2e7, 0.5e-3, density=1300.0))
    left = orifice_pressure(flow, 0.6e-3, density=1300.0)
    assert left / 2e7 == pytest.approx(pressure_after_wear(0.2), rel=1e-12)
