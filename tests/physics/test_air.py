"""Air in the liquid: Boyle, Henry, and stiffness by differences."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics.air import free_air, liquid_share, lost_travel
from wetend.units.constants import ATMOSPHERE

SHARES = st.floats(0.0, 0.2)


@given(st.floats(1e3, 5e7), SHARES)
def test_free_air_alone_follows_boyle(pressure: float, entrained: float) -> None:
    assert float(free_air(pressure, entrained)) * pressure == pytest.approx(entrained * ATMOSPHERE)


@given(st.floats(1e3, 5e7), SHARES, SHARES)
def test_no_air_is_made_or_lost(pressure: float, entrained: float, dissolved: float) -> None:
    """Free and dissolved add up at any pressure, in volumes at one atmosphere."""
    free = float(free_air(pressure, entrained, dissolved)) * pressure / ATMOSPHERE
    held = min(dissolved * pressure / ATMOSPHERE, entrained + dissolved)
    assert free + held == pytest.approx(entrained + dissolved, abs=1e-12)


def test_air_dissolves_where_pressure_rises() -> None:
    # Henry: 2 % free and 10 % dissolved are all dissolved from 1.2 atmospheres
    assert float(free_air(1.2 * ATMOSPHERE, 0.02, 0.1)) == pytest.approx(0.0, abs=1e-12)
    assert float(free_air(1.1 * ATMOSPHERE, 0.02, 0.1)) > 0
    assert float(liquid_share(2e6, 0.02, 0.1)) == 1.0


def test_without_air_travel_is_lost_to_the_liquid_alone() -> None:
    assert lost_travel(1e5, 2e7, 0.0) == pytest.approx((2e7 - 1e5) / 1.5e9)
    assert lost_travel(1e5, 2e7, 0.05) > lost_travel(1e5, 2e7, 0.01)
