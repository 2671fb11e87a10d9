r"""Belief about a life when repairs are few: prior times likelihood, drawn by importance sampling.

The logarithm of a life has median :math:`x^T\beta` and scale :math:`\sigma` of a standard shape.
:math:`\beta` and :math:`\ln\sigma` have independent normal priors, so that without any repair the
answer is the prior's own, wide and sensible, and every repair narrows it. Both shapes are weighed
by their evidence and kept in that proportion.

The posterior is drawn from a multivariate Student law of five degrees of freedom about its mode,
weighed against the true posterior and drawn again by systematic resampling. The same seed gives the
same draws.

Sources: A. Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), sections 4.1 (normal
approximation), 10.4 (importance sampling and resampling), from memory; W. Q. Meeker, L. A.
Escobar, Statistical Methods for Reliability Data (1998), chapter 14, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from wetend.lazy_import import special
from wetend.stats.life.early import (
    early_at,
    log_early,
    log_mixed,
    mixed_log_likelihoods,
    share_of,
)
from wetend.stats.life.fit import NEVER, log_likelihoods_and_gradients
from wetend.stats.life.shapes import LOGNORMAL, WEIBULL, LifeShape, log_between
from wetend.stats.lifetimes import Lifetimes

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Costs = Callable[[Floats], tuple[Floats, Floats]]
"""Of places, one a row: the cost at each, and its slope there."""
_FREEDOM = 5.0
WEIBULL_MEDIAN = math.log(math.log(2.0))
"""Standard score at which half of a Weibull's lives have ended."""
_MEDIAN_Z = {WEIBULL.name: WEIBULL_MEDIAN, LOGNORMAL.name: 0.0}
_CELLS = 1_000_000
_MANY = 4000
"""Lives beyond which the normal approximation is drawn from as it is."""
_THINNED = 2000
"""Lives that are enough to come near the mode of many."""
_STEPS = 60
ENOUGH = 400.0
"""Effective draws that an interval of 90 % rests on; with fewer the posterior is drawn again."""
_ROUNDS = 6


@dataclass(frozen=True)
class LifePrior:
    """Normal priors: of the log of the median life and its covariates, and of the log scale."""

    means: Floats
    deviations: Floats
    log_scale: float
    log_scale_deviation: float
    early: tuple[float, float] | None = None
    """Of the score of the share badly fitted (``share_of``); ``None``: none is."""

    @property
    def theta(self) -> tuple[Floats, Floats]:
        """Means and deviations of all parameters: the early share's first, the log scale last."""
        first = [self.early] if self.early else []
        return (
            np.array([*(e[0] for e in first), *self.means, self.log_scale]),
            np.array([*(e[1] for e in first), *self.deviations, self.log_scale_deviation]),
        )


@dataclass(frozen=True)
class _Centred:
    """A shape moved so that its median lies at zero."""

    shape: LifeShape

    @property
    def name(self) -> str:
        return self.shape.name

    @property
    def shift(self) -> float:
        return _MEDIAN_Z[self.shape.name]

    def log_density(self, z: Floats) -> Floats:
        return self.shape.log_density(z + self.shift)

    def log_density_slope(self, z: Floats) -> Floats:
        return self.shape.log_density_slope(z + self.shift)

    def log_survival(self, z: Floats) -> Floats:
        return self.shape.log_survival(z + self.shift)

    def log_failed(self, z: Floats) -> Floats:
        return self.shape.log_failed(z + self.shift)

    def quantile(self, p: Floats) -> Floats:
        return np.asarray(self.shape.quantile(p) - self.shift, dtype=float)


@dataclass(frozen=True)
class LifeBelief:
    """Equally weighed draws of what a life's distribution may be."""

    coefficients: Floats
    """Draws by covariates, the constant first: the log of the median life."""
    scales: Floats
    weibull: Bools
    """Which draws are Weibull; the others are lognormal."""
    weibull_chance: float
    failures: int
    effective: float
    """Number of equally weighed draws that would say as much, of the better shape."""
    early: Floats | None = None
    """Share badly fitted, of every draw; ``None``: none is."""

    def some(self, which: Bools | NDArray[np.intp]) -> LifeBelief:
        """The same with these draws alone."""
        return replace(
            self, coefficients=self.coefficients[which], scales=self.scales[which],
            weibull=self.weibull[which], early=None if self.early is None else self.early[which],
        )  # fmt: skip

    def location(self, x: Floats) -> Floats:
        """Log of the median life of every draw at covariates, the constant included."""
        return np.asarray(self.coefficients @ x, dtype=float)

    def log_survival(self, life: Floats | float, x: Floats) -> Floats:
        """Of every draw, at one life or at one life a draw; at a column of lives, a row each."""
        location = self.location(x)
        with np.errstate(divide="ignore"):
            logs = np.log(np.asarray(life, dtype=float))
            worn = log_survival_at((logs - location) / self.scales, self.weibull)
        if self.early is None:
            return worn
        return log_mixed(worn, log_early(logs, location), self.early)

    def medians(self, x: Floats) -> Floats:
        """Median life of every draw."""
        return np.exp(self.location(x))


def log_survival_at(z: Floats, weibull: Bools) -> Floats:
    """Log survival at standard scores counted from the median, Weibull or lognormal."""
    found = -np.exp(np.minimum(z + WEIBULL_MEDIAN, 700.0))
    normal = np.broadcast_to(~weibull, found.shape)
    found[normal] = special.log_ndtr(-z[normal])
    return found


def score_of(log_survival: Floats, weibull: Bools) -> Floats:
    """Standard score from the median at which survival has fallen to this: the inverse."""
    low = np.minimum(log_survival, -1e-300)
    found = np.log(-low) - WEIBULL_MEDIAN
    normal = np.broadcast_to(~weibull, found.shape)
    found[normal] = -special.ndtri_exp(np.minimum(low[normal], -1e-16))
    return found


def remaining_lives(
    belief: LifeBelief, x: Floats, *, age: Floats | float, uniform: Floats
) -> Floats:
    r"""Life left, one draw each, to a part that still goes at an age.

    .. math:: r = S^{-1}(u\,S(a)) - a

    ``age`` may be one for all, or one a draw where the age itself is not known well. Of a mixture
    each draw is of one law, badly fitted as likely as such a part has come to that age.
    """
    a = np.broadcast_to(np.asarray(age, dtype=float), belief.scales.shape)
    location = belief.location(x)
    with np.errstate(divide="ignore", over="ignore"):
        logs = np.log(a)
        worn = log_survival_at((logs - location) / belief.scales, belief.weibull)
        bad = np.zeros(len(a))
        early = np.zeros(len(a))
        if belief.early is not None:
            early = log_early(logs, location)
            bad = np.exp(np.log(belief.early) + early - log_mixed(worn, early, belief.early))
        soon = uniform > 1.0 - bad
        share = np.where(soon, (1.0 - uniform) / np.maximum(bad, 1e-300), uniform / (1.0 - bad))
        share = np.log(np.clip(share, 1e-300, 1.0))
        z = score_of(worn + share, belief.weibull)
        ends = np.exp(location + belief.scales * z)
        if soon.any():
            ends = np.where(soon, np.exp(early_at(early + share, location)), ends)
    return np.asarray(np.maximum(ends - a, 0.0), dtype=float)


@dataclass(frozen=True, eq=False)
class _Weighed:
    """Draws with weights that add up to one, and the log of the evidence."""

    theta: Floats
    weight: Floats
    evidence: float

    @property
    def effective(self) -> float:
        """Number of equally weighed draws that would say as much (Kish)."""
        return float(1.0 / np.sum(self.weight**2))

    def flattened(self) -> tuple[Floats, Floats]:
        """Mean, and a root of the covariance, by the square roots of the weights."""
        share = np.sqrt(self.weight)
        share = share / share.sum()
        mean = share @ self.theta
        off = self.theta - mean
        spread = (off * share[:, None]).T @ off
        values, vectors = np.linalg.eigh(spread)
        return mean, vectors * np.sqrt(np.maximum(values, 1e-12))


def stratified(rng: Generator, count: int) -> Floats:
    """Numbers between 0 and 1, one in each of ``count`` equal strata, shuffled."""
    strata = (np.arange(count) + rng.uniform(size=count)) / count
    return np.asarray(rng.permutation(strata), dtype=float)


def believe(lives: Lifetimes, prior: LifePrior, *, draws: int = 1000, seed: int = 1) -> LifeBelief:
    """What to believe of a life after these repairs; with none, the prior itself.

    Args:
        lives: failures and ages still going; may be empty.
        prior: one mean and deviation for every column of the lives' covariates.
        draws: equally weighed draws to give.
        seed: of the random draws.
    """
    rng = np.random.default_rng(seed)
    found = [_weighed(lives, prior, _Centred(shape), rng, draws) for shape in (WEIBULL, LOGNORMAL)]
    weibull_found, normal_found = found
    odds = normal_found.evidence - weibull_found.evidence
    chance = 1.0 / (1.0 + math.exp(min(max(odds, -700.0), 700.0)))
    count = round(chance * draws)
    theta = np.concatenate([
        weibull_found.theta[_resampled(weibull_found.weight, count, rng)],
        normal_found.theta[_resampled(normal_found.weight, draws - count, rng)],
    ])  # fmt: skip
    weibull = np.arange(draws) < count
    order = rng.permutation(draws)
    better = weibull_found if chance >= 0.5 else normal_found
    first = 1 if prior.early else 0
    return LifeBelief(
        theta[order, first:-1], np.exp(theta[order, -1]), weibull[order], chance, lives.failures,
        better.effective, share_of(theta[order, 0]) if prior.early else None,
    )  # fmt: skip


def reweighed(belief: LifeBelief, was: LifePrior, now: LifePrior) -> LifeBelief | None:
    """The same lives believed with another prior of the constant: its draws, weighed and resampled.

    ``None`` where too few of the draws count for that; then :func:`believe` draws anew.

    Args:
        belief: what was believed.
        was: the prior that it was believed with.
        now: another, whose constant alone differs.
    """
    constant = belief.coefficients[:, 0]
    off = [(constant - p.means[0]) / p.deviations[0] for p in (was, now)]
    log_weight = 0.5 * (off[0] ** 2 - off[1] ** 2)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    effective = min(belief.effective, float(1.0 / np.sum(weight**2)))
    if effective < ENOUGH:
        return None
    own = _resampled(weight, len(weight), np.random.default_rng(len(weight)))
    return replace(
        belief.some(own), effective=effective,
        weibull_chance=float(weight @ belief.weibull),
    )  # fmt: skip


def _resampled(weight: Floats, count: int, rng: Generator) -> NDArray[np.intp]:
    """Systematic resampling."""
    marks = (rng.uniform() + np.arange(count)) / max(count, 1)
    return np.minimum(np.searchsorted(np.cumsum(weight), marks), len(weight) - 1)


def _weighed(
    lives: Lifetimes, prior: LifePrior, shape: _Centred, rng: Generator, draws: int
) -> _Weighed:
    """Draws about the mode; drawn again about what they found where too few of them count."""
    size = len(prior.theta[0])
    mode, root = _mode(lives, prior, shape)
    count = max(2 * draws, 2000)
    normal = rng.standard_normal((count, size))
    if _count(lives) > _MANY:
        return _normal(lives, prior, shape, mode=mode, root=root, normal=normal)
    root = math.sqrt(1.15) * root
    tried = _tried(lives, prior, shape, mode=mode, root=root, rng=rng, normal=normal)
    for _ in range(_ROUNDS):
        if tried.effective >= ENOUGH:
            break
        # half the log weights: what is known of the posterior so far, not so far off yet
        centre, spread = tried.flattened()
        fresh = _tried(lives, prior, shape, mode=centre, root=spread, rng=rng,
                       normal=rng.standard_normal(normal.shape))  # fmt: skip
        tried = max(tried, fresh, key=lambda t: t.effective)
    return tried


def _tried(
    lives: Lifetimes, prior: LifePrior, shape: _Centred, *, mode: Floats, root: Floats,
    rng: Generator, normal: Floats,
) -> _Weighed:  # fmt: skip
    """Draws of a Student law about a place, weighed against the posterior."""
    mean, deviation = prior.theta
    stretch = np.sqrt(_FREEDOM / rng.chisquare(_FREEDOM, len(normal)))
    theta = mode + stretch[:, None] * (normal @ root.T)
    square = (stretch[:, None] * normal) ** 2
    outside = (theta[:, -1] < -7.0) | (theta[:, -1] > 4.0)
    if outside.any():
        theta[outside, -1] = np.clip(theta[outside, -1], -7.0, 4.0)
        square[outside] = np.linalg.solve(root, (theta[outside] - mode).T).T ** 2
    ours = _log_student(square.sum(axis=1), root)
    theirs = _log_prior(theta, mean, deviation) + log_likelihoods(
        theta, lives, shape, mixed=prior.early is not None
    )
    log_weight = np.where(np.isfinite(theirs), theirs - ours, -np.inf)
    top = float(log_weight.max())
    weight = np.exp(log_weight - top)
    total = float(weight.sum())
    return _Weighed(theta, weight / total, top + math.log(total / len(normal)))


def _normal(
    lives: Lifetimes, prior: LifePrior, shape: _Centred, *, mode: Floats, root: Floats,
    normal: Floats,
) -> _Weighed:  # fmt: skip
    """With many lives the posterior is normal to the eye: draws of it, and Laplace's evidence."""
    mean, deviation = prior.theta
    mixed = prior.early is not None
    value = float(log_likelihoods(mode[None, :], lives, shape, mixed=mixed)[0])
    value += float(_log_prior(mode, mean, deviation))
    size = len(mode)
    evidence = value + 0.5 * size * math.log(2.0 * math.pi) + float(np.linalg.slogdet(root)[1])
    count = len(normal)
    return _Weighed(mode + normal @ root.T, np.full(count, 1.0 / count), evidence)


def _log_prior(theta: Floats, mean: Floats, deviation: Floats) -> Floats:
    off = (theta - mean) / deviation
    each = -0.5 * off * off - np.log(deviation) - 0.5 * math.log(2.0 * math.pi)
    return np.asarray(each.sum(axis=-1), dtype=float)


def _log_student(square: Floats, root: Floats) -> Floats:
    """Log density of Student's t at squared distances from the mode, in units of its root."""
    size = len(root)
    constant = float(special.gammaln((_FREEDOM + size) / 2) - special.gammaln(_FREEDOM / 2))
    constant -= size / 2 * math.log(_FREEDOM * math.pi) + float(np.linalg.slogdet(root)[1])
    return np.asarray(constant - (_FREEDOM + size) / 2 * np.log1p(square / _FREEDOM), dtype=float)


def _mode(lives: Lifetimes, prior: LifePrior, shape: _Centred) -> tuple[Floats, Floats]:
    """The posterior's mode, and a root of the inverse of its curvature there."""
    mean, deviation = prior.theta
    slopes = mixed_log_likelihoods if prior.early else log_likelihoods_and_gradients

    def costs_of(some: Lifetimes) -> Costs:
        size = _count(some)

        def costs(scaled: Floats) -> tuple[Floats, Floats]:
            rows = np.array_split(scaled, max(1, min(len(scaled), len(scaled) * size // _CELLS)))
            with np.errstate(over="ignore", invalid="ignore"):
                remarks = [slopes(mean + deviation * some_rows, some, shape) for some_rows in rows]
            value, slope = (np.concatenate(each) for each in zip(*remarks, strict=True))
            return 0.5 * (scaled * scaled).sum(axis=1) - value, scaled - slope * deviation

        return costs

    at, costs, every = np.zeros(len(mean)), costs_of(lives), _count(lives) // _THINNED
    if every > 1:  # nearly there by one life in so many, and as nearly the curvature
        thin = costs_of(_thinned(lives, every))
        at = _descended(thin, at)
        values, vectors = _curved(thin, at)
        at = _descended(costs, at, (1.0 + every * (values - 1.0), vectors))
    else:
        at = _descended(costs, at)
    values, vectors = _curved(costs, at)
    root = vectors / np.sqrt(np.maximum(values, 0.05))
    return mean + deviation * at, deviation[:, None] * root


def _count(lives: Lifetimes) -> int:
    return len(lives.failed) + len(lives.going) + len(lives.between)


def _thinned(lives: Lifetimes, every: int) -> Lifetimes:
    parts = (lives.failed, lives.going, lives.between,
             lives.failed_x, lives.going_x, lives.between_x)  # fmt: skip
    return Lifetimes(*(part[::every] for part in parts))


def _descended(costs: Costs, at: Floats, curve: tuple[Floats, Floats] | None = None) -> Floats:
    """Newton's steps with the curvature kept positive, shortened until the cost falls.

    With a ``curve`` given the steps go by it, else by the curvature of each place.
    """

    def cost(place: Floats) -> tuple[float, Floats]:
        value, slope = costs(place[None, :])
        return float(value[0]), slope[0]

    value, slope = cost(at)
    for _ in range(_STEPS):
        values, vectors = curve or _curved(costs, at)
        step = -(vectors / np.maximum(np.abs(values), 0.5)) @ (vectors.T @ slope)
        step *= min(1.0, 2.0 / max(float(np.abs(step).max()), 1e-12))
        for _ in range(30):
            fresh, fresh_slope = cost(at + step)
            if np.isfinite(fresh) and fresh <= value:
                break
            step = step / 2.0
        else:
            break
        gained, at, value, slope = value - fresh, at + step, fresh, fresh_slope
        if gained < 1e-9:
            break
    return at


def _curved(costs: Costs, at: Floats) -> tuple[Floats, Floats]:
    """Eigenvalues and vectors of the curvature, by central differences of the slope."""
    steps = 1e-4 * np.eye(len(at))
    _, slopes = costs(np.concatenate([at + steps, at - steps]))
    curve = (slopes[: len(at)] - slopes[len(at) :]) / 2e-4
    curve = np.where(np.isfinite(curve), curve, 0.0)
    values, vectors = np.linalg.eigh((curve + curve.T) / 2.0)
    return np.asarray(values, dtype=float), np.asarray(vectors, dtype=float)


def log_likelihoods(
    theta: Floats, lives: Lifetimes, shape: LifeShape, *, mixed: bool = False
) -> Floats:
    """Log likelihood of many parameter rows at once; the log scale is the last column.

    ``mixed``: the first is the score of the share badly fitted.
    """
    total = np.zeros(len(theta))
    most = max(len(lives.failed), len(lives.going), len(lives.between), 1)
    for part in np.array_split(np.arange(len(theta)), max(1, len(theta) * most // _CELLS)):
        if mixed:
            total[part] = mixed_log_likelihoods(theta[part], lives, shape, slopes=False)[0]
        else:
            total[part] = _log_likelihoods(theta[part], lives, shape)
    return total


def _log_likelihoods(theta: Floats, lives: Lifetimes, shape: LifeShape) -> Floats:
    beta, log_sigma = theta[:, :-1], theta[:, -1:]
    sigma = np.exp(log_sigma)

    def score(life: Floats, x: Floats) -> Floats:
        with np.errstate(divide="ignore"):
            return np.asarray((np.log(life) - beta @ x.T) / sigma, dtype=float)

    total = np.zeros(len(theta))
    if len(lives.failed):
        z = score(lives.failed, lives.failed_x)
        total += (shape.log_density(z) - log_sigma - np.log(lives.failed)).sum(axis=1)
    if len(lives.going):
        total += shape.log_survival(score(lives.going, lives.going_x)).sum(axis=1)
    if len(lives.between):
        low = score(lives.between[:, 0], lives.between_x)
        high = score(lives.between[:, 1], lives.between_x)
        total += np.maximum(log_between(shape, low, high), NEVER).sum(axis=1)
    return total
