"""Survival without a law, held to the lifelines library as the second route."""

import importlib
from types import ModuleType

import numpy as np
import pytest

from wetend.errors import NoAnswer
from wetend.stats.lifetimes import lifetimes
from wetend.stats.survival_curve import turnbull


@pytest.fixture(scope="module")
def lifelines() -> ModuleType:
    """The library, which takes a second to read in: only on demand."""
    return importlib.import_module("lifelines")


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_product_limit_as_lifelines(lifelines: ModuleType, seed: int) -> None:
    rng = np.random.default_rng(seed)
    life, watch = rng.weibull(2.0, 60).round(2) + 0.01, rng.uniform(0.2, 2.0, 60).round(2)
    seen = np.minimum(life, watch)
    curve = turnbull(lifetimes(life[life <= watch], going=watch[life > watch]))
    theirs = lifelines.KaplanMeierFitter().fit(seen, life <= watch)
    for t in np.linspace(0.05, float(seen[life <= watch].max()), 25) + 1e-3:
        assert curve.at(t) == pytest.approx(float(theirs.predict(t)), abs=1e-4)


@pytest.mark.parametrize("seed", [4, 5])
def test_turnbull_as_lifelines(lifelines: ModuleType, seed: int) -> None:
    rng = np.random.default_rng(seed)
    low = rng.weibull(2.0, 40) * 10  # no two ends alike: the library takes them closed
    high = low + rng.uniform(0.5, 4.0, 40)
    ours = turnbull(lifetimes(between=list(zip(low, high, strict=True))), steps=20000)
    theirs = lifelines.KaplanMeierFitter().fit_interval_censoring(low, high)
    lower = theirs.survival_function_["NPMLE_estimate_lower"]
    for t in ours.lives[:-1]:
        assert ours.at(t) == pytest.approx(float(lower[lower.index <= t].iloc[-1]), abs=0.02)


def test_nothing_failed_has_no_curve() -> None:
    with pytest.raises(NoAnswer, match="Nothing has failed"):
        turnbull(lifetimes(going=[1.0]))
