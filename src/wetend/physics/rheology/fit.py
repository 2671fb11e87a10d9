"""Flow laws fitted to viscometer readings, with intervals, and the choice between them.

All laws are fitted by the same rule, least squares of the logarithm of the stress, since a
viscometer is wrong by a share of its reading; so what they leave can be compared.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput
from wetend.lazy_import import optimize, special
from wetend.physics.rheology.flow import shear_stress
from wetend.physics.rheology.laws import LAWS
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, Ratio

_FINEST = 1e-6
"""Relative spread below which readings count as exact: no viscometer reads finer."""
_STEP = 1e-6


@dataclass(frozen=True, slots=True)
class Interval:
    """A two-sided confidence interval, SI."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted liquid, and the root mean square of what the fit leaves, relative to the stress."""

    liquid: Liquid
    spread: Ratio
    readings: int
    intervals: dict[str, Interval]
    """By parameter; empty where there are no more readings than parameters."""

    @property
    def criterion(self) -> float:
        """Corrected information criterion, :func:`corrected_criterion`; less is better."""
        return corrected_criterion(
            self.spread, self.readings, len(LAWS[self.liquid.law].fitted) + 1
        )


@dataclass(frozen=True, slots=True)
class Choice:
    """All laws that could be fitted, best first, with the weight of evidence for each."""

    fits: tuple[Fit, ...]
    weights: tuple[Ratio, ...]

    @property
    def best(self) -> Fit:
        """The fit of least criterion."""
        return self.fits[0]


def corrected_criterion(spread: Ratio, readings: int, parameters: int) -> float:
    r"""Akaike's information criterion, corrected for few readings.

    .. math:: AIC_c = N\ln s^2 + 2k + \frac{2k(k+1)}{N-k-1}

    ``spread`` s is the root mean square of the residuals of the logarithm, ``parameters`` k counts
    the spread too. Unlimited unless ``readings`` N is more than k + 1. Source: C. M. Hurvich and
    C.-L. Tsai, Biometrika 76 (1989) 297, from memory.

    >>> round(corrected_criterion(0.1, 10, 3), 3)
    -36.052
    """
    if readings <= parameters + 1:
        return math.inf
    small = 2.0 * parameters * (parameters + 1) / (readings - parameters - 1)
    return 2.0 * readings * math.log(max(spread, _FINEST)) + 2.0 * parameters + small


def _points(rates: ArrayLike, stresses: ArrayLike, law: str) -> tuple[Array, Array]:
    rate, stress = np.asarray(rates, dtype=float), np.asarray(stresses, dtype=float)
    if rate.ndim != 1 or rate.shape != stress.shape:
        raise BadInput(Message("Give one stress for each rate of shear."))
    if not (np.all(rate > 0) and np.all(stress > 0) and np.all(np.isfinite(rate * stress))):
        raise BadInput(Message("Rates of shear and stresses must be more than zero."))
    least = len(LAWS[law].fitted)
    if least == 0:
        raise BadInput(LAWS[law].limits["fit"])
    if len(np.unique(rate)) < least:
        raise BadInput(
            Message(
                "A {law} fit needs readings at {least} or more rates of shear.",
                law=law,
                least=least,
            )
        )
    return rate, stress


def _line(rate: Array, stress: Array) -> tuple[float, float]:
    """Consistency and index of the straight line through the logarithms."""
    index, log_consistency = np.polyfit(np.log(rate), np.log(stress), 1)
    return float(np.exp(log_consistency)), float(index)


@dataclass(frozen=True)
class _Problem:
    """One law's least squares in (yield share, log consistency, index); the rest held fixed."""

    law: str
    log_rate: Array
    log_stress: Array

    @property
    def yields(self) -> bool:
        return "yield_stress" in LAWS[self.law].fitted

    @property
    def bends(self) -> bool:
        return "index" in LAWS[self.law].fitted

    @property
    def lowest(self) -> float:
        return float(np.exp(np.min(self.log_stress)))

    def unpacked(self, free: Array) -> tuple[float, float, float]:
        """Yield stress, log consistency, index."""
        rest = iter(free)
        yield_stress = float(next(rest)) * self.lowest if self.yields else 0.0
        return yield_stress, float(next(rest)), float(next(rest)) if self.bends else 1.0

    def log_model(self, free: Array) -> Array:
        yield_stress, log_k, index = self.unpacked(free)
        if not LAWS[self.law].family:
            liquid = Liquid(self.law, 1.0, yield_stress, math.exp(log_k), index)
            return np.asarray(np.log(shear_stress(liquid, np.exp(self.log_rate))))
        viscous = log_k + index * self.log_rate
        if yield_stress <= 0:
            return viscous
        return np.asarray(np.logaddexp(math.log(yield_stress), viscous))

    def left(self, free: Array) -> Array:
        return self.log_model(free) - self.log_stress

    def slopes(self, free: Array) -> Array:
        """Jacobian of :meth:`left`: exact for the family, by small steps for any other law."""
        if not LAWS[self.law].family:
            return self._slopes_by_steps(free)
        _, log_k, index = self.unpacked(free)
        model = np.exp(self.log_model(free))
        viscous = np.exp(log_k + index * self.log_rate) / model
        columns = [self.lowest / model] if self.yields else []
        columns.append(viscous)
        if self.bends:
            columns.append(viscous * self.log_rate)
        return np.column_stack(columns)

    def _slopes_by_steps(self, free: Array) -> Array:
        columns = []
        for k in range(free.size):
            up, down = free.copy(), free.copy()
            up[k] += _STEP
            down[k] -= _STEP
            if self.yields:
                down[0] = max(down[0], 0.0)
            rise = self.log_model(up) - self.log_model(down)
            columns.append(rise / (up[k] - down[k]))
        return np.column_stack(columns)

    def starts(self) -> list[Array]:
        shares = (0.0, 0.3, 0.7, 0.95) if self.yields else (0.0,)
        found = []
        for share in shares:
            rest = np.exp(self.log_stress) - share * self.lowest
            rate = np.exp(self.log_rate)
            consistency, index = _line(rate, rest) if self.bends else (1.0, 1.0)
            if not self.bends:
                consistency = float(np.exp(np.mean(np.log(rest) - self.log_rate)))
            index = min(max(index, 1e-3), 5.0)
            free = [share] if self.yields else []
            found.append(np.array([*free, math.log(consistency), *([index] if self.bends else [])]))
        return found

    def solved(self) -> Array:
        low = [0.0] * self.yields + [-np.inf] + [1e-6] * self.bends
        high = [1.5] * self.yields + [np.inf] + [20.0] * self.bends
        runs = [
            optimize.least_squares(
                self.left, start, jac=self.slopes, bounds=(low, high), x_scale="jac",
                xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=300,
            )
            for start in self.starts()
        ]  # fmt: skip
        best = min(runs, key=lambda run: float(run.cost))
        return self._settled(np.asarray(best.x, dtype=float))

    def _settled(self, free: Array) -> Array:
        """No yield stress at all where none fits as well: a bounded search only comes near."""
        if not self.yields or not LAWS[self.law].power_law_unyielding:
            return free
        bare = free.copy()
        bare[0] = 0.0
        rest = _Problem("power-law" if self.bends else "newtonian", self.log_rate, self.log_stress)
        bare[1:] = rest.solved()
        cost, bare_cost = (float(np.sum(self.left(x) ** 2)) for x in (free, bare))
        return bare if bare_cost <= cost * (1 + 1e-9) + 1e-24 else free


def _intervals(problem: _Problem, free: Array, confidence: Ratio) -> dict[str, Interval]:
    """From the curvature at the best fit, by Student's t with the degrees of freedom left."""
    readings, count = problem.log_rate.size, free.size
    if readings <= count:
        return {}
    jacobian = problem.slopes(free)
    variance = float(np.sum(problem.left(free) ** 2)) / (readings - count)
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * variance
    reach = float(special.stdtrit(readings - count, 0.5 + confidence / 2.0)) * np.sqrt(
        np.maximum(np.diag(covariance), 0.0)
    )
    found: dict[str, Interval] = {}
    for name, middle, way in zip(LAWS[problem.law].fitted, free, reach, strict=True):
        if name == "consistency":
            found[name] = Interval(math.exp(middle - min(way, 50.0)),
                                   math.exp(middle + min(way, 50.0)))  # fmt: skip
        else:
            scale = problem.lowest if name == "yield_stress" else 1.0
            found[name] = Interval(max((middle - way) * scale, 0.0), (middle + way) * scale)
    return found


def fit(
    rates: ArrayLike,
    stresses: ArrayLike,
    law: str,
    density: KgPerM3 = 1000.0,
    *,
    confidence: Ratio = 0.95,
) -> Fit:
    r"""A flow law fitted to viscometer readings.

    .. math:: \min \sum_i [\ln\tau(\dot\gamma_i) - \ln\tau_i]^2, \qquad \tau_y \ge 0

    Rates in 1/s, stresses in Pa. Intervals come from the curvature of the sum at its least value
    and Student's t; a yield stress's is cut at zero. They are honest for even scatter and mean
    little where the parameters trade off (a narrow span of rates): then the intervals are wide.
    Holds only inside the rates measured: a hose shears at 10 to 1000 /s, a nozzle at more than
    100,000. Source of the intervals: linearised least squares, G. A. F. Seber and C. J. Wild,
    Nonlinear Regression (1989), chapter 5, from memory.

    Raises:
        BadInput: too few rates, or a reading that is not positive, or a stress that falls.

    >>> found = fit([10.0, 50.0], [15.85, 21.87], "bingham").liquid
    >>> round(found.consistency, 4), round(found.yield_stress, 3)
    (0.1505, 14.345)
    """
    rate, stress = _points(rates, stresses, law)
    if len(LAWS[law].fitted) > 1:
        order = np.argsort(rate)
        if _line(rate[order], stress[order])[1] <= 0:
            raise BadInput(
                Message("The stress must rise with the rate of shear; look at the readings again.")
            )
    problem = _Problem(law, np.log(rate), np.log(stress))
    free = problem.solved()
    yield_stress, log_k, index = problem.unpacked(free)
    liquid = Liquid(law, density, yield_stress, math.exp(log_k), index)
    left = shear_stress(liquid, rate) / stress
    spread = float(np.sqrt(np.mean(np.log(left) ** 2)))
    return Fit(liquid, spread, rate.size, _intervals(problem, free, confidence))


def choose(
    rates: ArrayLike, stresses: ArrayLike, density: KgPerM3 = 1000.0, *, confidence: Ratio = 0.95
) -> Choice:
    r"""The laws of one family fitted, best first by :func:`corrected_criterion`, with weights.

    .. math:: w_i = \frac{e^{-\Delta_i/2}}{\sum_j e^{-\Delta_j/2}}

    A law with more parameters must earn them. A law that the readings are too few for is left out:
    a newtonian liquid needs 4 readings, a power law or Bingham 5, Herschel and Bulkley 6. Source:
    K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2nd ed. (2002),
    section 2.9, from memory.

    Raises:
        BadInput: fewer than five readings, or readings that :func:`fit` refuses.

    >>> choose([1, 3, 10, 30, 100, 300], [2.0, 3.4, 6.4, 10.9, 20.1, 34.6]).best.liquid.law
    'power-law'
    """
    if np.size(rates) < 5:
        raise BadInput(
            Message("To choose between flow laws give five readings or more, or name the law.")
        )
    fits = []
    for law in (law for law in LAWS.values() if law.family):
        if len(np.unique(np.asarray(rates, dtype=float))) >= len(law.fitted):
            found = fit(rates, stresses, law.name, density, confidence=confidence)
            if math.isfinite(found.criterion):
                fits.append(found)
    fits.sort(key=lambda found: found.criterion)
    shares = [math.exp(-(found.criterion - fits[0].criterion) / 2.0) for found in fits]
    return Choice(tuple(fits), tuple(share / sum(shares) for share in shares))
