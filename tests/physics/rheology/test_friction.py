"""Friction: the turbulent law solved, limits exact, no step anywhere."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.friction import friction_factor
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.friction import (
    TURBULENT_FROM,
    critical_reynolds,
    dodge_metzner,
    fanning_friction,
)
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law


@given(st.floats(0.2, 2.0), st.floats(3.3, 8))
def test_closed_form_satisfies_the_implicit_law(index: float, log_reynolds: float) -> None:
    reynolds = 10.0**log_reynolds
    f = float(dodge_metzner(reynolds, index))
    right = 4 / index**0.75 * np.log10(reynolds * f ** (1 - index / 2)) - 0.4 / index**1.2
    assert f**-0.5 == pytest.approx(right, rel=1e-5)


@pytest.mark.parametrize("reynolds", [4e3, 1e4, 1e5, 1e6])
def test_newtonian_turbulence_agrees_with_colebrook(reynolds: float) -> None:
    # the fluids library solves Colebrook; the smooth-pipe laws differ by 0.4 % in their constant
    assert 4 * float(dodge_metzner(reynolds, 1.0)) == pytest.approx(
        friction_factor(Re=reynolds, eD=0.0), rel=0.01
    )


def test_laminar_flow_of_a_newtonian_liquid_ends_near_2100() -> None:
    assert float(critical_reynolds(1.0)) == pytest.approx(2100, rel=1e-3)


def test_measured_turbulent_bingham_point() -> None:
    # N. de Nevers, Fluid Mechanics for Chemical Engineers, 3rd ed., ex. 13.5, as transcribed in the
    # FOSSEE Python Textbook Companions: measured f = 0.00619. Ours lies on the safe side of it.
    liquid = bingham(3.8, 0.00686, 1530.0)
    pressure = 1530.0 * 3.47**2 / 2
    ours = float(fanning_friction(liquid, 3.47, 0.0206).wall_stress) / pressure
    other = fanning_friction(liquid, 3.47, 0.0206, turbulent="darby-melson").wall_stress
    assert 0.00619 < ours < 1.12 * 0.00619
    assert 0.75 * 0.00619 < float(other) / pressure < 0.00619


@pytest.mark.parametrize(
    "liquid",
    [newtonian(1e-3), power_law(0.02, 0.6), bingham(2.0, 0.004), herschel_bulkley(2.0, 0.02, 0.7),
     power_law(1e-3, 1.3)],
    ids=["newtonian", "power-law", "bingham", "herschel-bulkley", "thickening"],
)  # fmt: skip
def test_no_step_where_turbulence_sets_in_or_is_full(liquid: Liquid) -> None:
    speeds = np.geomspace(1e-3, 50.0, 200_001)
    found = fanning_friction(liquid, speeds, 0.01)
    assert np.any(found.over_laminar > 1)
    steps = np.diff(np.log(found.wall_stress)) / np.diff(np.log(speeds))
    assert np.all(steps >= -1e-9)
    # a step would show as a slope of thousands between neighbours this close
    assert np.max(steps) < 8
    for limit in (found.critical, np.full_like(speeds, TURBULENT_FROM)):
        assert np.any(np.diff(np.sign(found.reynolds - limit)))


def test_shape_follows_the_speed_and_rest_is_laminar() -> None:
    liquid = bingham(2.0, 0.004)
    assert fanning_friction(liquid, 1.0, 0.01).reynolds.shape == ()
    assert fanning_friction(liquid, [[1.0, 2.0]], 0.01).wall_stress.shape == (1, 2)
    rest = fanning_friction(liquid, 0.0, 0.01)
    assert (float(rest.reynolds), float(rest.wall_stress)) == (0.0, 2.0)


def test_the_other_law_is_refused_for_other_liquids() -> None:
    with pytest.raises(BadInput, match="Bingham"):
        fanning_friction(newtonian(0.001), 1.0, 0.01, turbulent="darby-melson")
