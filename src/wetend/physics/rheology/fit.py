"""Flow laws fitted to viscometer readings: rates of shear with the stresses measured at them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import minimize_scalar

from wetend.errors import BadInput
from wetend.physics.rheology.liquid import Array, Law, Liquid, shear_stress
from wetend.units.quantity import KgPerM3, Ratio

_LEAST = {"newtonian": 1, "power-law": 2, "bingham": 2, "herschel-bulkley": 3}


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted liquid, and the root mean square of what the fit leaves, relative to the stress."""

    liquid: Liquid
    spread: Ratio


def _points(rates: ArrayLike, stresses: ArrayLike, law: Law) -> tuple[Array, Array]:
    rate, stress = np.asarray(rates, dtype=float), np.asarray(stresses, dtype=float)
    if rate.ndim != 1 or rate.shape != stress.shape:
        raise BadInput("Give one stress for each rate of shear.")
    if not (np.all(rate > 0) and np.all(stress > 0) and np.all(np.isfinite(rate * stress))):
        raise BadInput("Rates of shear and stresses must be more than nought.")
    if len(np.unique(rate)) < _LEAST[law]:
        raise BadInput(f"A {law} fit needs readings at {_LEAST[law]} or more rates of shear.")
    return rate, stress


def _power(rate: Array, stress: Array) -> tuple[float, float]:
    """Consistency and index of the straight line through the logarithms."""
    index, log_consistency = np.polyfit(np.log(rate), np.log(stress), 1)
    return float(np.exp(log_consistency)), float(index)


def _bingham(rate: Array, stress: Array) -> tuple[float, float]:
    """Yield stress and plastic viscosity of the line of least relative squares; yield >= 0."""
    slope, rest = np.polyfit(rate, stress, 1, w=1.0 / stress)
    if rest < 0:
        return 0.0, float(np.sum(rate / stress) / np.sum((rate / stress) ** 2))
    return float(rest), float(slope)


def _herschel_bulkley(rate: Array, stress: Array) -> tuple[float, float, float]:
    """Yield stress that leaves the least after a power law is fitted to the rest."""

    def left_over(yield_stress: float) -> float:
        consistency, index = _power(rate, stress - yield_stress)
        law = yield_stress + consistency * rate**index
        return float(np.sum((law / stress - 1.0) ** 2))

    high = float(np.min(stress)) * (1.0 - 1e-6)
    best = float(minimize_scalar(left_over, bounds=(0.0, high), method="bounded",
                                 options={"xatol": 1e-9 * high}).x)  # fmt: skip
    if left_over(0.0) <= left_over(best):
        best = 0.0
    return (best, *_power(rate, stress - best))


def fit(rates: ArrayLike, stresses: ArrayLike, law: Law, density: KgPerM3 = 1000.0) -> Fit:
    r"""A flow law fitted to viscometer readings.

    Rates in 1/s, stresses in Pa. Newtonian: mean of :math:`\tau/\dot\gamma`; power law: straight
    line through the logarithms; Bingham: straight line of least relative squares; Herschel-Bulkley:
    the yield stress that leaves least after a power law is fitted to the rest. Holds only inside
    the rates measured: a hose shears at 10 to 1000 /s, a nozzle at more than 100,000.

    Raises:
        BadInput: too few rates, or a reading that is not positive.

    >>> found = fit([10.0, 50.0], [15.85, 21.87], "bingham").liquid
    >>> round(found.consistency, 4), round(found.yield_stress, 3)
    (0.1505, 14.345)
    """
    rate, stress = _points(rates, stresses, law)
    yield_stress, consistency, index = 0.0, float(np.mean(stress / rate)), 1.0
    if law == "power-law":
        consistency, index = _power(rate, stress)
    elif law == "bingham":
        yield_stress, consistency = _bingham(rate, stress)
    elif law == "herschel-bulkley":
        yield_stress, consistency, index = _herschel_bulkley(rate, stress)
    if consistency <= 0 or index <= 0:
        raise BadInput("The stress must rise with the rate of shear; look at the readings again.")
    liquid = Liquid(law, density, yield_stress, consistency, index)
    left = shear_stress(liquid, rate) / stress - 1.0
    return Fit(liquid, float(np.sqrt(np.mean(left**2))))
