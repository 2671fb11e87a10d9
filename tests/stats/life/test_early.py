"""Lives of which some end early: the likelihood, its slopes, and what is left, by second routes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from wetend.stats.life import belief as module
from wetend.stats.life.belief import LifePrior, believe, remaining_lives, stratified
from wetend.stats.life.early import mixed_log_likelihoods
from wetend.stats.life.shapes import LOGNORMAL, WEIBULL
from wetend.stats.lifetimes import lifetimes

ONE = np.ones(1)
PRIOR = LifePrior(np.array([math.log(400.0)]), np.array([0.8]), math.log(0.5), 0.35, (-2.4, 1.2))
LIVES = lifetimes([3.0, 310.0, 420.0], going=[90.0, 20.0], between=[(0.0, 40.0), (200.0, 600.0)])


def scipy_sum(q: float, median: float, scale: float, *, weibull: bool) -> float:
    """The same likelihood by SciPy's distributions."""
    law = (
        stats.weibull_min(1 / scale, scale=median / math.log(2) ** scale)
        if weibull else stats.lognorm(scale, scale=median)
    )  # fmt: skip
    early = stats.expon(scale=0.04 * median / math.log(2))

    def alive(t: float) -> float:
        return float((1 - q) * law.sf(t) + q * early.sf(t))

    total = sum(math.log((1 - q) * law.pdf(t) + q * early.pdf(t)) for t in LIVES.failed)
    total += sum(math.log(alive(t)) for t in LIVES.going)
    return total + sum(math.log(alive(a) - alive(b)) for a, b in LIVES.between)


@pytest.mark.parametrize("weibull", [True, False])
def test_the_likelihood_is_scipys_and_its_slopes_are_differences(weibull: bool) -> None:
    shape = module._Centred(WEIBULL if weibull else LOGNORMAL)
    theta = np.array([[math.log(0.1 / 0.25), math.log(350.0), math.log(0.4)]])
    value, slope = mixed_log_likelihoods(theta, LIVES, shape)
    assert value[0] == pytest.approx(scipy_sum(0.1, 350.0, 0.4, weibull=weibull), rel=1e-9)
    for column in range(3):
        step = 1e-5 * np.eye(3)[column]
        up, down = (mixed_log_likelihoods(theta + s, LIVES, shape)[0][0] for s in (step, -step))
        assert slope[0, column] == pytest.approx((up - down) / 2e-5, rel=1e-5, abs=1e-6)


def test_the_share_badly_fitted_agrees_with_quadrature() -> None:
    """The posterior mean of q by both shapes, summed over a fine grid of three parameters."""
    found = believe(LIVES, PRIOR, draws=20000, seed=3)
    assert found.early is not None
    grids = np.meshgrid(np.linspace(-7, 3, 41), np.linspace(3.5, 8.5, 61),
                        np.linspace(-2.2, 0.8, 41), indexing="ij")  # fmt: skip
    theta = np.column_stack([g.ravel() for g in grids])
    prior = sum(
        stats.norm.logpdf(theta[:, n], mean, spread)
        for n, (mean, spread) in enumerate(zip(*PRIOR.theta, strict=True))
    )
    logs = [
        prior + mixed_log_likelihoods(theta, LIVES, module._Centred(shape))[0]
        for shape in (WEIBULL, LOGNORMAL)
    ]
    top = max(log.max() for log in logs)
    weight = sum(np.exp(log - top) for log in logs)
    share = 0.35 / (1 + np.exp(-theta[:, 0]))
    mean = float((weight * share).sum() / weight.sum())
    spread = math.sqrt(float((weight * (share - mean) ** 2).sum() / weight.sum()))
    assert found.early.mean() == pytest.approx(mean, abs=0.06 * spread)
    assert found.early.std() == pytest.approx(spread, rel=0.06)


@pytest.mark.parametrize("age", [0.0, 5.0, 200.0])
def test_what_is_left_follows_the_mixture(age: float) -> None:
    """Kolmogorov and Smirnov's test against the survival of the mixture itself, by draw."""
    found = believe(LIVES, PRIOR, draws=4000, seed=5)
    left = remaining_lives(found, ONE, age=age, uniform=stratified(np.random.default_rng(1), 4000))
    start = found.log_survival(age, ONE)
    shares = np.exp(found.log_survival(age + left, ONE) - start)
    assert stats.kstest(shares, "uniform").pvalue > 0.01


def test_the_mean_of_what_is_left_is_the_integral_of_survival() -> None:
    found = believe(LIVES, PRIOR, draws=1000, seed=5).some(np.arange(1000) < 1)
    many = found.some(np.zeros(20000, dtype=int))
    left = remaining_lives(many, ONE, age=2.0, uniform=stratified(np.random.default_rng(4), 20000))

    def alive(r: float) -> float:
        return math.exp(
            float(found.log_survival(2.0 + r, ONE)[0] - found.log_survival(2.0, ONE)[0])
        )

    mean = integrate.quad(alive, 0, np.inf, limit=200)[0]
    assert left.mean() == pytest.approx(mean, rel=0.02)


def test_who_has_outlived_the_first_days_was_not_badly_fitted() -> None:
    early = [4.0, 7.0, 9.0]
    found = believe(lifetimes([*early, 380.0, 410.0, 450.0, 350.0, 420.0, 390.0, 400.0]), PRIOR)
    assert found.early is not None
    assert 0.1 < found.early.mean() < 0.4
    survival = np.exp(found.log_survival(np.array([[20.0], [100.0], [120.0]]), ONE)).mean(axis=1)
    assert 1 - survival[0] > 0.08  # of new parts, within 20
    assert 1 - survival[2] / survival[1] < 0.03  # of those past 100, in the next 20


def test_lives_that_scatter_much_are_not_all_taken_for_badly_fitted() -> None:
    """Hundreds found worn, scattered by pumps that get worse: one mode, and enough draws."""
    rng = np.random.default_rng(8)
    slow = rng.uniform(size=700) < 0.5
    lives = 300.0 * np.where(slow, 1.0, 0.12) * rng.weibull(1.6, 700)
    found = believe(lifetimes(between=[(0.8 * t, 1.1 * t) for t in lives]), PRIOR)
    assert found.effective > module.ENOUGH
    assert found.early is not None
    assert found.early.max() <= 0.35
