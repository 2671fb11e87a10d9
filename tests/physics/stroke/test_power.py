"""The compiled power against exact decimal arithmetic (Python's own decimal module)."""

from __future__ import annotations

from decimal import Decimal, localcontext

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.jit.compiling import made
from wetend.jit.kinds import Nothing, Real, Reals, compiled
from wetend.physics.stroke.rows import raised


@compiled(Nothing(Reals, Real, Reals), fused=True)
def _raise_all(x: np.ndarray, n: float, out: np.ndarray) -> None:
    for i in range(len(x)):
        out[i] = raised(x[i], n)


def _raised(x: np.ndarray, n: float) -> np.ndarray:
    out = np.empty_like(x)
    made(_raise_all)(x, n, out)
    return out


def _exact(x: float, n: float) -> Decimal:
    with localcontext() as context:
        context.prec = 40
        return Decimal(x) ** Decimal(n)


@pytest.mark.parametrize("n", [0.5, 0.7, 1.0, 1 / 0.72, 5 / 3, 2.0, 5.0])
def test_power_against_exact_decimals(n: float) -> None:
    """To 1e-13: rounding of n log2 x, which is at most 200 here, and the two series."""
    rng = np.random.default_rng(2)
    seams = [1.0, 0.5, 2.0, np.sqrt(0.5), np.sqrt(2.0), np.nextafter(np.sqrt(2.0), 2.0), 1e-12]
    x = np.array([*seams, *np.exp(rng.uniform(np.log(1e-12), np.log(1e3), 400))])
    for value, found in zip(x, _raised(x, n), strict=True):
        exact = _exact(float(value), n)
        assert abs((Decimal(float(found)) - exact) / exact) < Decimal("1e-13")


@given(st.floats(1e-12, 1e12), st.floats(0.5, 5.0))
def test_power_against_the_library(x: float, n: float) -> None:
    assert _raised(np.array([x]), n)[0] == pytest.approx(x**n, rel=1e-12)


def test_power_out_of_reach_stays_finite() -> None:
    assert np.isfinite(_raised(np.array([1e-300, 1e300]), 5.0)).all()
