r"""Fit a life distribution with covariates to censored lifetimes by maximum likelihood.

.. math:: \ell = \sum_{failed}\left[\ln\phi(z) - \ln\sigma t\right] + \sum_{going}\ln S(z)
          + \sum_{between}\ln\left[S(z_{low}) - S(z_{high})\right],
          \quad z = (\ln t - x^T\beta)/\sigma

Source: W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), chapters 8 and
17 (from memory; checked by the published fits in the tests).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import NoAnswer
from wetend.lazy_import import optimize, special
from wetend.stats.life.shapes import WEIBULL, LifeShape, log_between
from wetend.stats.lifetimes import Lifetimes
from wetend.units.message import Message

Floats = NDArray[np.float64]
_STEP = 1e-5
NEVER = -1e9
"""Log likelihood of what can't be; keeps sums inside the numbers."""


@dataclass(frozen=True)
class LifeFit:
    """A fitted life distribution.

    ``coefficients`` are of the location (log life), the constant first; ``covariance`` is of the
    coefficients and the log of the scale, from the observed information.
    """

    shape: LifeShape
    coefficients: Floats
    scale: float
    covariance: Floats
    log_likelihood: float
    failures: int

    def location(self, x: Floats | None = None) -> float:
        """Log of the characteristic (Weibull) or median (lognormal) life at covariates x."""
        row = np.concatenate([[1.0], np.zeros(0) if x is None else x])
        return float(row @ self.coefficients)

    def quantile(self, p: float, x: Floats | None = None) -> float:
        """Life by which a share p has failed."""
        return math.exp(self.location(x) + self.scale * float(self.shape.quantile(np.array(p))))

    def survival(self, life: Floats | float, x: Floats | None = None) -> Floats:
        """Share still going at a life."""
        z = (np.log(np.asarray(life, dtype=float)) - self.location(x)) / self.scale
        return np.exp(self.shape.log_survival(z))

    def mean(self, x: Floats | None = None) -> float:
        """Mean life."""
        if self.shape.name == WEIBULL.name:
            return math.exp(self.location(x)) * float(special.gamma(1.0 + self.scale))
        return math.exp(self.location(x) + 0.5 * self.scale**2)


@dataclass(frozen=True)
class WeibullParameters:
    """Shape and scale as commonly written, with log-transformed Wald intervals."""

    shape: float
    scale: float
    shape_error: float
    scale_error: float
    shape_interval: tuple[float, float]
    scale_interval: tuple[float, float]


def log_likelihood(theta: Floats, lives: Lifetimes, shape: LifeShape) -> tuple[float, Floats]:
    """Log likelihood and its gradient at coefficients and log scale (the last of ``theta``)."""
    values, gradients = log_likelihoods_and_gradients(theta[None, :], lives, shape)
    return float(values[0]), gradients[0]


def log_likelihoods_and_gradients(
    theta: Floats, lives: Lifetimes, shape: LifeShape
) -> tuple[Floats, Floats]:
    """The same at many rows of parameters at once: one value a row, one gradient a row."""
    beta, sigma = theta[:, :-1], np.exp(theta[:, -1:])
    total, gradient = np.zeros(len(theta)), np.zeros_like(theta)

    def add(slope: Floats, z: Floats, x: Floats) -> None:
        gradient[:, :-1] -= slope @ x / sigma
        gradient[:, -1] -= (slope * z).sum(axis=1)

    if len(lives.failed):
        z = (np.log(lives.failed) - beta @ lives.failed_x.T) / sigma
        total += (shape.log_density(z) - np.log(sigma * lives.failed)).sum(axis=1)
        add(shape.log_density_slope(z), z, lives.failed_x)
        gradient[:, -1] -= len(lives.failed)
    if len(lives.going):
        z = (np.log(lives.going) - beta @ lives.going_x.T) / sigma
        log_s = shape.log_survival(z)
        total += log_s.sum(axis=1)
        add(-np.exp(shape.log_density(z) - log_s), z, lives.going_x)
    if len(lives.between):
        total += _add_between(lives, shape, beta, sigma, gradient)
    return total, gradient


def _add_between(
    lives: Lifetimes, shape: LifeShape, beta: Floats, sigma: Floats, gradient: Floats
) -> Floats:
    """The share of lives that failed unseen; adds to the gradients in place."""
    centre = beta @ lives.between_x.T
    with np.errstate(divide="ignore"):
        low = (np.log(lives.between[:, 0]) - centre) / sigma
    high = (np.log(lives.between[:, 1]) - centre) / sigma
    mass = np.maximum(log_between(shape, low, high), NEVER)
    seen = np.isfinite(low)
    safe = np.where(seen, low, 0.0)
    f_low = np.where(seen, np.exp(shape.log_density(safe) - mass), 0.0)
    f_high = np.exp(shape.log_density(high) - mass)
    gradient[:, :-1] -= (f_high - f_low) @ lives.between_x / sigma
    gradient[:, -1] -= (f_high * high - f_low * safe).sum(axis=1)
    return np.asarray(mass.sum(axis=1), dtype=float)


def _start(lives: Lifetimes) -> Floats:
    ages = np.concatenate([lives.failed, lives.going, lives.between[:, 1]])
    start = np.zeros(lives.covariates + 1)
    start[0] = float(np.log(ages).mean()) + 0.3
    start[-1] = math.log(max(float(np.log(ages).std()), 0.2))
    return start


def _curvature(theta: Floats, lives: Lifetimes, shape: LifeShape) -> Floats:
    """Observed information by central differences of the gradient."""
    steps = np.diag(_STEP * np.maximum(1.0, np.abs(theta)))
    up, down = (
        log_likelihoods_and_gradients(theta + sign * steps, lives, shape)[1] for sign in (1, -1)
    )
    hessian = (up - down) / (2.0 * np.diag(steps)[:, None])
    return -(hessian + hessian.T) / 2.0


def fit_life(lives: Lifetimes, shape: LifeShape = WEIBULL) -> LifeFit:
    """Fit by maximum likelihood.

    Raises:
        NoAnswer: too few failures, or all alike, so that the likelihood has no maximum.
    """
    if lives.failures < max(2, lives.covariates):
        raise NoAnswer(
            Message(
                "{failures} failures are too few to fit by likelihood alone; at least {max} "
                "are needed.",
                failures=lives.failures,
                max=max(2, lives.covariates),
            )
        )

    columns = np.concatenate([lives.failed_x, lives.going_x, lives.between_x])
    centre = np.concatenate([[0.0], columns[:, 1:].mean(axis=0)])
    spread = np.concatenate([[1.0], np.maximum(columns[:, 1:].std(axis=0), 1e-12)])
    scaled = _rescaled(lives, centre, spread)
    bounds = [(None, None)] * lives.covariates + [(-7.0, 4.0)]

    def scaled_cost(theta: Floats) -> tuple[float, Floats]:
        value, gradient = log_likelihood(theta, scaled, shape)
        return -value, -gradient

    found = optimize.minimize(
        scaled_cost, _start(scaled), jac=True, method="L-BFGS-B", bounds=bounds,
        options={"maxiter": 2000, "ftol": 1e-15, "gtol": 1e-9},
    )  # fmt: skip
    if found.x[-1] < -6.9 or found.x[-1] > 3.9:
        raise NoAnswer(
            Message("The failures are all alike, or too scattered, for a distribution to fit.")
        )
    theta = _polished(np.asarray(found.x), scaled, shape)
    theta[1:-1] /= spread[1:]
    theta[0] -= float(theta[1:-1] @ centre[1:])
    value, _ = log_likelihood(theta, lives, shape)
    try:
        covariance = np.asarray(np.linalg.inv(_curvature(theta, lives, shape)), dtype=float)
    except np.linalg.LinAlgError as error:
        raise NoAnswer(Message("These lives do not determine the parameters.")) from error
    if not (np.all(np.isfinite(covariance)) and np.all(np.diag(covariance) > 0)):
        raise NoAnswer(Message("These lives do not determine the parameters."))
    return LifeFit(shape, theta[:-1], math.exp(theta[-1]), covariance, value, lives.failures)


def _rescaled(lives: Lifetimes, centre: Floats, spread: Floats) -> Lifetimes:
    def scale(x: Floats) -> Floats:
        return np.asarray((x - centre) / spread, dtype=float)

    return Lifetimes(
        lives.failed, lives.going, lives.between, scale(lives.failed_x), scale(lives.going_x),
        scale(lives.between_x),
    )  # fmt: skip


def _polished(theta: Floats, lives: Lifetimes, shape: LifeShape) -> Floats:
    """A few Newton steps to the last digits; a step that makes it worse is not taken."""
    best, gradient = log_likelihood(theta, lives, shape)
    for _ in range(8):
        try:
            step = np.linalg.solve(_curvature(theta, lives, shape), gradient)
        except np.linalg.LinAlgError:
            return theta
        if not float(np.abs(step).max()) < 1.0:
            return theta
        value, slope = log_likelihood(theta + step, lives, shape)
        if not (np.isfinite(value) and value >= best - 1e-9):
            return theta
        theta, best, gradient = theta + step, value, slope
        if float(np.abs(step).max()) < 1e-12:
            break
    return theta


def weibull_parameters(fit: LifeFit, *, level: float = 0.95) -> WeibullParameters:
    r"""Shape :math:`\beta = 1/\sigma` and scale :math:`\eta = e^\mu` of a fit without covariates.

    Standard errors by the delta method, intervals by Wald on the logarithm.
    """
    eta, beta = math.exp(float(fit.coefficients[0])), 1.0 / fit.scale
    log_eta_error = math.sqrt(float(fit.covariance[0, 0]))
    log_beta_error = math.sqrt(float(fit.covariance[-1, -1]))
    z = float(special.ndtri(0.5 + level / 2.0))

    def interval(value: float, error: float) -> tuple[float, float]:
        return value * math.exp(-z * error), value * math.exp(z * error)

    return WeibullParameters(
        beta, eta, beta * log_beta_error, eta * log_eta_error, interval(beta, log_beta_error),
        interval(eta, log_eta_error),
    )  # fmt: skip
