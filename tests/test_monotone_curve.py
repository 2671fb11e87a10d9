"""The curve that never overshoots is the published one: SciPy's, to rounding."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from wetend.monotone_curve import rising, slopes


@pytest.mark.parametrize("seed", range(6))
def test_as_scipy_draws_it(seed: int) -> None:
    drawn = np.random.default_rng(seed)
    x = np.cumsum(drawn.uniform(0.01, 1.0, 40))
    steps = drawn.uniform(-0.2, 1.0, 40) if seed % 2 else drawn.choice([0.0, 1.0, 3.0], 40)
    y = np.cumsum(steps)
    at = np.concatenate([x, drawn.uniform(x[0], x[-1], 300)])
    value, slope = rising(x, y, at)
    known = PchipInterpolator(x, y)
    np.testing.assert_allclose(value, known(at), rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(slope, known.derivative()(at), rtol=1e-9, atol=1e-9)


def test_it_rises_where_the_points_rise_and_is_flat_where_they_are() -> None:
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    y = np.array([0.0, 0.0, 1.0, 10.0, 10.0])
    value, slope = rising(x, y, np.linspace(0.0, 4.0, 401))
    assert (np.diff(value) >= -1e-12).all()
    assert slopes(x, y)[[0, 1, 3, 4]].tolist() == [0.0, 0.0, 0.0, 0.0]
    assert (value[:101] == 0.0).all()
    assert (slope >= -1e-12).all()
