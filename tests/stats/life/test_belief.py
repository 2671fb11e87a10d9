"""Belief about lives: the prior alone, agreement with likelihood and with plain integration."""

import math

import numpy as np
import pytest
from scipy import stats

from wetend.advice.life.prior import prior_of
from wetend.stats.life import belief as module
from wetend.stats.life.belief import (
    ENOUGH,
    Floats,
    LifeBelief,
    LifePrior,
    believe,
    log_survival_at,
    remaining_lives,
    reweighed,
    score_of,
    stratified,
)
from wetend.stats.life.fit import fit_life
from wetend.stats.life.shapes import WEIBULL
from wetend.stats.lifetimes import Lifetimes, lifetimes

ONE = np.array([1.0])
PRIOR = LifePrior(np.array([math.log(1000.0)]), np.array([0.7]), math.log(0.5), 0.3)


def nothing_seen() -> Lifetimes:
    return lifetimes()


def test_the_curvature_of_a_bowl_is_that_of_its_matrix() -> None:
    """What draws are spread by. A bowl x A x / 2 has the slope A x and the curvature A."""
    bowl = np.array([[3.0, 1.0], [1.0, 2.0]])
    values, vectors = module._curved(lambda at: ((at @ bowl * at).sum(1) / 2, at @ bowl),
                                     np.array([0.4, -1.0]))  # fmt: skip
    assert vectors @ np.diag(values) @ vectors.T == pytest.approx(bowl, rel=1e-6)


def test_with_no_repair_the_answer_is_the_prior() -> None:
    belief = believe(nothing_seen(), PRIOR, draws=4000)
    logs = np.log(belief.medians(ONE))
    assert logs.mean() == pytest.approx(math.log(1000.0), abs=0.03)  # 3 standard errors: 0.033
    assert logs.std() == pytest.approx(0.7, rel=0.05)
    assert np.log(belief.scales).std() == pytest.approx(0.3, rel=0.06)
    assert belief.weibull_chance == pytest.approx(0.5, abs=0.02)


def test_the_first_repair_narrows_it_and_moves_it_there() -> None:
    def spread(failed: list[float]) -> tuple[float, float]:
        draws = remaining_lives(
            believe(lifetimes(failed), PRIOR, draws=2000), ONE, age=0.0,
            uniform=stratified(np.random.default_rng(3), 2000),
        )  # fmt: skip
        low, middle, high = np.quantile(np.log(draws), (0.05, 0.5, 0.95))
        return float(high - low), math.exp(float(middle))

    none, one, five = spread([]), spread([300.0]), spread([300.0, 280.0, 400.0, 350.0, 310.0])
    assert none[0] > one[0] > five[0]
    assert none[1] > 800 > one[1] > 300
    assert five[1] == pytest.approx(325.0, rel=0.15)


def test_agrees_with_integration_on_a_grid() -> None:
    # second route: the same posterior of a Weibull life summed over a fine grid
    failed, going = np.array([210.0, 480.0, 350.0]), np.array([150.0, 500.0])
    belief = believe(lifetimes(failed, going=going), PRIOR, draws=20000, seed=4)
    log_median, log_scale = np.meshgrid(
        np.linspace(4.0, 9.5, 400), np.linspace(-2.5, 1.0, 400), indexing="ij"
    )
    for weibull in (True, False):
        sigma = np.exp(log_scale)
        total = stats.norm.logpdf(log_median, math.log(1000.0), 0.7) + stats.norm.logpdf(
            log_scale, math.log(0.5), 0.3
        )
        if weibull:
            eta = np.exp(log_median) / math.log(2.0) ** sigma
            for life in failed:
                total += stats.weibull_min.logpdf(life, 1 / sigma, scale=eta)
            for life in going:
                total += stats.weibull_min.logsf(life, 1 / sigma, scale=eta)
        else:
            for life in failed:
                total += stats.lognorm.logpdf(life, sigma, scale=np.exp(log_median))
            for life in going:
                total += stats.lognorm.logsf(life, sigma, scale=np.exp(log_median))
        weight = np.exp(total - total.max())
        weight /= weight.sum()
        mean = float((weight * log_median).sum())
        spread = math.sqrt(float((weight * (log_median - mean) ** 2).sum()))
        own = belief.weibull == weibull
        drawn = np.log(belief.medians(ONE))[own]
        assert drawn.mean() == pytest.approx(mean, abs=5 * spread / math.sqrt(own.sum()))
        assert drawn.std() == pytest.approx(spread, rel=0.05)
    # evidence of either shape by the same grid gives the chance of the shape


def test_many_lives_end_where_the_likelihood_does() -> None:
    rng = np.random.default_rng(8)
    lives = 800.0 * rng.weibull(2.5, 400)
    cut = 900.0
    data = lifetimes(lives[lives <= cut], going=np.full((lives > cut).sum(), cut))
    fit, belief = fit_life(data, WEIBULL), believe(data, PRIOR)
    assert belief.weibull_chance > 0.95
    for p in (0.1, 0.5, 0.9):
        life = fit.quantile(p)
        failed = 1.0 - np.exp(belief.log_survival(life, ONE)).mean()
        assert failed == pytest.approx(p, abs=0.02)


def test_what_is_left_follows_from_the_life_law() -> None:
    # SciPy's Weibull as the second route: S(a + r)/S(a) at the drawn r is uniform
    belief = believe(lifetimes(list(700.0 * np.random.default_rng(1).weibull(3.0, 300))), PRIOR)
    u = stratified(np.random.default_rng(2), len(belief.scales))
    left = remaining_lives(belief, ONE, age=500.0, uniform=u)
    own = belief.weibull
    shape = 1 / belief.scales[own]
    eta = belief.medians(ONE)[own] / math.log(2.0) ** belief.scales[own]
    kept = stats.weibull_min.sf(500.0 + left[own], shape, scale=eta) / stats.weibull_min.sf(
        500.0, shape, scale=eta
    )
    assert kept == pytest.approx(u[own], rel=1e-6)


@pytest.mark.parametrize("weibull", [True, False])
def test_score_inverts_survival_far_into_the_tail(weibull: bool) -> None:
    z = np.array([-6.0, -2.0, 0.0, 1.0, 2.0, 3.0])
    flags = np.full(len(z), weibull)
    assert score_of(log_survival_at(z, flags), flags) == pytest.approx(z, abs=1e-6)


def test_between_two_looks_and_the_same_seed() -> None:
    data = lifetimes([400.0], between=[(0.0, 300.0), (200.0, 500.0)], going=[100.0])
    a, b = believe(data, PRIOR, seed=5), believe(data, PRIOR, seed=5)
    assert np.array_equal(a.coefficients, b.coefficients)
    assert a.failures == 3
    assert a.effective > 500


def test_covariates_are_learned() -> None:
    rng = np.random.default_rng(12)
    x = np.repeat([0.0, 1.0], 60)
    lives = 1000.0 * np.exp(-1.0 * x) * rng.weibull(2.0, 120)
    prior = LifePrior(np.array([7.0, 0.0]), np.array([0.7, 0.5]), math.log(0.5), 0.3)
    belief = believe(lifetimes(list(lives), failed_x=[[v] for v in x]), prior)
    effect = belief.coefficients[:, 1]
    assert effect.mean() == pytest.approx(-1.0, abs=3 * effect.std())
    assert effect.std() < 0.15


def test_many_lives_join_on_to_few() -> None:
    # the two ways of drawing agree where one gives over to the other
    rng = np.random.default_rng(21)
    lives = 900.0 * rng.weibull(1.8, 4200)
    few, many = (
        believe(lifetimes(list(lives[:3900])), PRIOR),
        believe(lifetimes(list(lives)), PRIOR),
    )
    for belief in (few, many):
        assert belief.weibull_chance > 0.999
        assert belief.medians(ONE).mean() == pytest.approx(900 * math.log(2) ** (1 / 1.8), rel=0.03)
    assert few.medians(ONE).std() == pytest.approx(many.medians(ONE).std(), rel=0.15)


def test_a_flat_direction_is_held_by_the_prior() -> None:
    # the same covariate twice tells the two effects apart by the prior alone
    x = [[1.0, 1.0]] * 3
    prior = LifePrior(np.array([7.0, 0.0, 0.0]), np.array([0.7, 0.3, 0.3]), math.log(0.5), 0.3)
    belief = believe(lifetimes([400.0, 500.0, 450.0], failed_x=x), prior)
    assert np.all(np.isfinite(belief.coefficients))
    assert belief.coefficients[:, 1].std() > 0.2


@pytest.mark.parametrize("age", [1e-2, 1e-5, 1e-9])
def test_one_part_found_worn_as_soon_as_fitted_does_not_undo_what_eight_lives_said(
    age: float,
) -> None:
    """Ages in the unit of the lives: next to nothing was pumped between the two days."""
    rng = np.random.default_rng(3)
    failed = 450.0 * rng.weibull(2.2, 8)
    x, shares = np.ones(1), stratified(np.random.default_rng(1), 1000)
    prior = LifePrior(np.array([math.log(400.0)]), np.array([0.8]), math.log(0.5), 0.35)

    def left(belief: LifeBelief) -> Floats:
        return np.asarray(remaining_lives(belief, x, age=0.0, uniform=shares))

    before = believe(lifetimes(failed, going=[100.0, 200.0]), prior)
    after = believe(lifetimes(failed, going=[100.0, 200.0], between=[(0.0, age)]), prior)
    assert after.effective > ENOUGH
    assert len(np.unique(after.scales)) > 900
    middles = np.median(left(before)), np.median(left(after))
    assert 0.5 * middles[0] < middles[1] < 1.1 * middles[0]  # sooner, if anything
    assert np.quantile(left(after), 0.95) < 5 * np.quantile(left(before), 0.95)


def _columns(rng: np.random.Generator, rows: int, sites: int, columns: int) -> Floats:
    """Any class of coating, pressure, pace and site."""
    x = np.zeros((rows, columns))
    x[:, 0] = 1.0
    x[np.arange(rows), 1 + rng.integers(0, 3, rows)] = 1.0
    x[:, 4:6] = rng.normal(0.0, 0.3, (rows, 2))
    x[np.arange(rows), 6 + rng.integers(0, sites, rows)] = 1.0
    return x


@pytest.mark.parametrize("seed", range(20))
def test_every_belief_of_a_large_depot_rests_on_many_draws(seed: int) -> None:
    """Many sites and classes, lives a third or three times the prior's, parts found worn early."""
    rng = np.random.default_rng(seed)
    count, sites = int(rng.integers(5, 120)), int(rng.integers(1, 12))
    prior = prior_of("foot-ball", [str(site) for site in range(sites)])
    median, size = math.exp(prior.means[0]), len(prior.means)
    early = median * 10.0 ** -rng.uniform(1, 12, int(rng.integers(0, 4)))
    lives = Lifetimes(
        median * rng.weibull(2.2, count) * rng.choice([1 / 3, 1.0, 3.0]),
        median * rng.uniform(0.0, 1.0, count // 2),
        np.column_stack([np.zeros(len(early)), early]),
        *(_columns(rng, n, sites, size) for n in (count, count // 2, len(early))),
    )
    assert believe(lives, prior).effective > ENOUGH


def test_another_prior_is_weighed_in_as_if_it_had_been_there_before() -> None:
    lives = lifetimes([300.0, 410.0, 350.0, 500.0], going=[200.0])
    moved = LifePrior(np.array([math.log(700.0)]), np.array([0.5]), math.log(0.5), 0.3)
    alone = believe(lives, PRIOR, draws=4000)
    ours, anew = reweighed(alone, PRIOR, moved), believe(lives, moved, draws=4000)
    assert ours is not None
    assert ours.effective > ENOUGH
    logs, theirs = np.log(ours.medians(ONE)), np.log(anew.medians(ONE))
    assert logs.mean() == pytest.approx(theirs.mean(), abs=0.1 * theirs.std())
    assert logs.std() == pytest.approx(theirs.std(), rel=0.08)
    assert ours.weibull_chance == pytest.approx(anew.weibull_chance, abs=0.03)
    far = LifePrior(np.array([math.log(9.0)]), np.array([0.1]), math.log(0.5), 0.3)
    assert reweighed(alone, PRIOR, far) is None
