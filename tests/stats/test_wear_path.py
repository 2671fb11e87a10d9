"""Measured wear: held to the conjugate normal posterior where the prior is wide."""

import numpy as np
import pytest

from wetend.errors import BadInput
from wetend.stats.wear_path import WearPoint, left_to_limit, wear_rates

U = (np.arange(2000) + 0.5) / 2000


def test_wide_prior_ends_in_least_squares() -> None:
    # second route: weighted least squares through the origin and its standard error
    looks = [WearPoint(100.0, 2.1, 0.2), WearPoint(250.0, 4.7, 0.2), WearPoint(400.0, 8.3, 0.2)]
    rates = wear_rates(looks, middle=0.02, spread=5.0, uniform=U)
    w = np.array([look.exposure for look in looks])
    y = np.array([look.wear for look in looks])
    assert rates.mean() == pytest.approx((w @ y) / (w @ w), rel=2e-3)
    assert rates.std() == pytest.approx(0.2 / np.sqrt(w @ w), rel=0.02)


def test_without_a_look_it_is_the_prior() -> None:
    rates = wear_rates([], middle=0.05, spread=0.8, uniform=U)
    assert np.median(rates) == pytest.approx(0.05, rel=0.02)
    assert np.log(rates).std() == pytest.approx(0.8, rel=0.02)


def test_past_the_limit_nothing_is_left() -> None:
    left = left_to_limit(np.array([0.01, 0.1]), limit=5.0, exposure=100.0)
    assert left == pytest.approx([400.0, 0.0])


def test_no_uncertainty_is_refused() -> None:
    with pytest.raises(BadInput):
        wear_rates([WearPoint(1.0, 1.0, 0.0)], middle=1.0, spread=1.0, uniform=U)
