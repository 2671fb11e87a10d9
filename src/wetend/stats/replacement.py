r"""Replace when: the age or interval at which planned replacement costs least.

Age: :math:`C(T) = \dfrac{C_p R(T) + C_f [1-R(T)]}{\int_0^T R\,dt}`; the optimum solves
:math:`h(T)\int_0^T R - F(T) = C_p/(C_f-C_p)`. Block: :math:`C(T) = [C_p + C_f M(T)]/T`.

Source: R. E. Barlow, F. Proschan, Mathematical Theory of Reliability (1965), chapters 3 and 4
(from memory; checked by published examples in the tests).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.roots import zero_between
from wetend.stats.renewal import weibull_mean
from wetend.units.message import Message

_NO_AGE = Message("No replacement age can be calculated from this life and these costs.")


@dataclass(frozen=True)
class Replacement:
    """The least-cost policy."""

    age: float
    """Replace at this age; infinite means run to failure."""
    cost_rate: float
    """Cost per unit of life under it."""
    run_to_failure: float
    """Cost per unit of life when only failed parts are replaced."""

    @property
    def saving(self) -> float:
        """Share of the run-to-failure cost saved."""
        return 1.0 - self.cost_rate / self.run_to_failure


def _check(shape: float, scale: float, planned: float, unplanned: float) -> None:
    if min(shape, scale, planned, unplanned) <= 0 or not math.isfinite(
        shape + scale + planned + unplanned
    ):
        raise BadInput(Message("Shape, scale and both costs must be positive numbers."))


def _survived(shape: float, scale: float, age: float) -> float:
    """Mean life lived by an age: the integral of survival."""
    return (
        scale
        * float(special.gamma(1.0 + 1.0 / shape))
        * float(special.gammainc(1.0 / shape, (age / scale) ** shape))
    )


def replacement_age(shape: float, scale: float, *, planned: float, unplanned: float) -> Replacement:
    """The age at which to replace a part with a Weibull life.

    With a shape of 1 or less, or a planned cost no less than the unplanned, run to failure.

    >>> best = replacement_age(2.5, 1000.0, planned=1.0, unplanned=5.0)
    >>> round(best.age, 2), round(best.cost_rate, 6)
    (493.05, 0.003462)
    """
    _check(shape, scale, planned, unplanned)
    mean = weibull_mean(shape, scale)
    never = unplanned / mean
    if shape <= 1.0 or planned >= unplanned:
        return Replacement(math.inf, never, never)
    goal = planned / (unplanned - planned)

    def lack(log_age: float) -> float:
        x = math.exp(log_age) / scale
        hazard = shape / scale * x ** (shape - 1.0)
        lived = _survived(shape, scale, x * scale)
        return float(hazard * lived + math.expm1(-(x**shape)) - goal)

    # h(T) times the life lived is at most shape x^shape, so the root lies above this
    low = math.log(scale) + math.log(goal / shape) / shape - 0.1
    high = max(math.log(scale), low)
    while lack(high) < 0:
        high += 0.5
        if high > math.log(scale) + 60.0 / shape + 5.0:
            return Replacement(math.inf, never, never)
    age = math.exp(zero_between(lack, low, high, xtol=1e-13, rtol=1e-14, why=_NO_AGE))
    hazard = shape / scale * (age / scale) ** (shape - 1.0)
    return Replacement(age, (unplanned - planned) * hazard, never)
