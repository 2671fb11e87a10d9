"""The depot's level: messages and cavities against the conjugate normal case, in closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.stats.life.belief import LifePrior
from wetend.stats.life.level import Common, level_from, message, shifted

COMMON = Common(level=0.75, own=0.45)
MEAN = 9.0


def posterior(seen: float, spread: float, count: int = 40000) -> np.ndarray:
    """Draws of a log median by the whole prior and one normal reading of it."""
    precision = 1 / COMMON.whole**2 + 1 / spread**2
    centre = (MEAN / COMMON.whole**2 + seen / spread**2) / precision
    rng = np.random.default_rng(2)
    return np.asarray(centre + rng.standard_normal(count) / math.sqrt(precision))


@pytest.mark.parametrize(("seen", "spread"), [(8.0, 0.3), (9.5, 0.6), (9.0, 5.0)])
def test_a_message_is_the_readings_own_likelihood_of_the_level(seen: float, spread: float) -> None:
    said = message(posterior(seen, spread), MEAN, COMMON)
    exact = -0.5 * (seen - MEAN - COMMON.grid) ** 2 / (COMMON.own**2 + spread**2)
    exact -= exact.max()
    near = np.abs(COMMON.grid) < 1.5  # two standard deviations of the level
    assert said[near] == pytest.approx(exact[near], abs=0.15)


def test_the_level_by_two_parts_is_the_conjugate_normals() -> None:
    seen = [(8.2, 0.3), (8.6, 0.5)]
    found = level_from([message(posterior(*s), MEAN, COMMON) for s in seen], COMMON)
    weights = [1 / (COMMON.own**2 + spread**2) for _, spread in seen]
    precision = 1 / COMMON.level**2 + sum(weights)
    mean = sum(w * (s - MEAN) for w, (s, _) in zip(weights, seen, strict=True)) / precision
    assert found == pytest.approx((mean, precision**-0.5), abs=0.02)


def test_with_nothing_said_the_prior_stays() -> None:
    mean, spread = level_from([], COMMON)
    assert mean == pytest.approx(0.0, abs=1e-9)
    assert spread == pytest.approx(COMMON.level, rel=0.002)  # cut at four deviations
    plain = LifePrior(np.array([MEAN, 0.0]), np.array([COMMON.whole, 0.3]), -0.8, 0.35)
    same = shifted(plain, (mean, spread), COMMON)
    assert same.means == pytest.approx(plain.means)
    assert same.deviations == pytest.approx(plain.deviations, abs=0.006)  # rounded to a hundredth
    assert plain.deviations[0] == COMMON.whole


def test_a_day_more_elsewhere_changes_no_prior() -> None:
    plain = LifePrior(np.array([MEAN]), np.array([COMMON.whole]), -0.8, 0.35)
    one, other = (shifted(plain, (m, 0.4), COMMON) for m in (-0.3001, -0.3003))
    assert np.array_equal(one.means, other.means)
