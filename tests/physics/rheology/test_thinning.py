"""Thinning by the logarithmic rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics.rheology.thinning import thinned_viscosity, thinner_needed


@given(st.floats(0.05, 5.0), st.floats(3e-4, 3e-3), st.floats(0.0, 0.5))
def test_thinner_needed_is_the_inverse(thick: float, thin: float, share: float) -> None:
    got = thinned_viscosity(thick, thin, share)
    assert thin < got <= thick * (1 + 1e-12)
    assert thinner_needed(thick, thin, got) == pytest.approx(share, abs=1e-9)


def test_nothing_is_needed_for_a_coating_thin_enough() -> None:
    assert thinner_needed(0.2, 0.0007, 0.3) == 0.0


def test_equal_parts_give_the_geometric_mean() -> None:
    # the logarithmic rule, by hand
    assert thinned_viscosity(0.4, 0.001, 1.0) == pytest.approx((0.4 * 0.001) ** 0.5)
