"""The share of lives between two looks, exact where survivals are the same to the last digit."""

from __future__ import annotations

import math
from decimal import Decimal, localcontext

import numpy as np
import pytest
from scipy import integrate

from wetend.stats.life.shapes import LOGNORMAL, SHAPES, WEIBULL, LifeShape, log_between

SCORES = [(-60.0, -55.0), (-40.0, -39.999), (-3.0, -2.0), (-1.0, 2.0), (1.0, 3.0), (2.5, 2.6)]


def _exact(low: float, high: float) -> float:
    """ln[exp(-e^low) - exp(-e^high)] with a hundred digits."""
    with localcontext() as context:
        context.prec = 100
        ends = [(-Decimal(z).exp()).exp() for z in (low, high)]
        return float((ends[0] - ends[1]).ln())


@pytest.mark.parametrize(("low", "high"), SCORES)
def test_a_weibulls_share_against_a_hundred_digits(low: float, high: float) -> None:
    """Decimal arithmetic of the standard library."""
    found = log_between(WEIBULL, np.array([low]), np.array([high]))
    assert found[0] == pytest.approx(_exact(low, high), rel=1e-12)


@pytest.mark.parametrize(("low", "high"), [(-30.0, -29.0), (-9.0, -8.9), *SCORES[2:], (20.0, 21.0)])
def test_a_lognormals_share_against_quadrature(low: float, high: float) -> None:
    """SciPy's quadrature of the density over its greatest value there."""
    top = -0.5 * min(low * low, high * high) if low * high > 0 else 0.0
    area, _ = integrate.quad(
        lambda z: math.exp(-0.5 * z * z - top), low, high, epsabs=0.0, epsrel=1e-12, limit=500
    )
    wanted = math.log(area) + top - 0.5 * math.log(2.0 * math.pi)
    found = log_between(LOGNORMAL, np.array([low]), np.array([high]))
    assert found[0] == pytest.approx(wanted, rel=1e-10)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.name)
def test_never_looked_at_before_is_all_that_failed(shape: LifeShape) -> None:
    high = np.array([-400.0, -30.0, 0.0, 4.0])
    found = log_between(shape, np.full(4, -np.inf), high)
    np.testing.assert_allclose(found, shape.log_failed(high), rtol=1e-13)


@pytest.mark.parametrize("shape", SHAPES, ids=lambda s: s.name)
def test_two_looks_at_once_leave_no_room(shape: LifeShape) -> None:
    assert np.isneginf(log_between(shape, np.array([1.0]), np.array([1.0]))).all()
