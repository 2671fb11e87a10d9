r"""Do repairs of one pump come ever sooner? Power-law process and trend tests.

The intensity of the power-law process is :math:`u(t) = \lambda\beta t^{\beta-1}`; :math:`\beta > 1`
means repairs come ever sooner.

Sources: L. H. Crow, Reliability Analysis for Complex, Repairable Systems, AMSAA TR-138 (1975);
MIL-HDBK-189, Reliability Growth Management; NIST/SEMATECH e-Handbook of Statistical Methods,
sections 8.2.3.4 and 8.4.5.2.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, NoAnswer
from wetend.lazy_import import special
from wetend.units.message import Message

Floats = NDArray[np.float64]
_MOST_POWER = 709.0


@dataclass(frozen=True)
class PowerLaw:
    """A fitted power-law process of one or several like pumps."""

    shape: float
    """beta, by maximum likelihood."""
    log_scale: float
    """ln lambda, so that the expected repairs by t are lambda t^beta; kept as a logarithm, since
    late repairs of an old pump put beta in the hundreds."""
    unbiased_shape: float
    repairs: int
    end: float

    @property
    def scale(self) -> float:
        """lambda; 0 or infinite where no float holds it."""
        return _exp(self.log_scale)

    def expected(self, time: float) -> float:
        """Expected repairs of one pump by a time."""
        return _exp(self.log_scale + self.shape * math.log(time)) if time > 0 else 0.0

    def mtbf(self, time: float | None = None) -> float:
        """Time between repairs now: one over the intensity at the end, or at ``time``."""
        at = self.end if time is None else time
        return _exp(-self.log_scale - math.log(self.shape) - (self.shape - 1.0) * math.log(at))


def _exp(power: float) -> float:
    """e to a power, infinite where no float holds it."""
    return math.exp(power) if power < _MOST_POWER else math.inf


@dataclass(frozen=True)
class Trend:
    """A trend test: its statistic and the chance of one so far out with no trend (two-sided)."""

    statistic: float
    p_value: float
    degrees: int = 0


def _checked(times: Sequence[float] | Floats, end: float | None) -> tuple[Floats, float, bool]:
    t = np.sort(np.asarray(times, dtype=float))
    if len(t) == 0 or not np.all(np.isfinite(t)) or t[0] <= 0:
        raise BadInput(
            Message("Give the times of repair as positive numbers, counted from the start.")
        )
    if end is None:
        return t, float(t[-1]), True
    if end < t[-1] or not math.isfinite(end):
        raise BadInput(Message("The end of watching can't lie before the last repair."))
    return t, float(end), False


def fit_power_law(times: Sequence[float] | Floats, end: float | None = None) -> PowerLaw:
    r"""Fit one pump's repairs: times since new, watched until ``end`` or the last repair.

    .. math:: \hat\beta = n/\sum\ln(T/t_i), \quad \hat\lambda = n/T^{\hat\beta}

    Unbiased: (n-1)/n of it when watched until a time, (n-2)/n until a repair.

    Raises:
        NoAnswer: fewer than two repairs (three if watched until the last), or all at the end.
    """
    t, end_at, at_repair = _checked(times, end)
    n = len(t)
    total = float(np.log(end_at / t).sum())
    if n < (3 if at_repair else 2) or total <= 0:
        raise NoAnswer(Message("Too few repairs to find a trend."))
    beta = n / total
    log_scale = math.log(n) - beta * math.log(end_at)
    unbiased = (n - (2 if at_repair else 1)) / n * beta
    return PowerLaw(beta, log_scale, unbiased, n, end_at)


def laplace(times: Sequence[float] | Floats, end: float | None = None) -> Trend:
    r"""Laplace's test; positive when repairs come ever sooner.

    .. math:: z = \frac{\bar t - T/2}{T/\sqrt{12 n}}

    Watched until a repair, that repair is left out of the mean and the count.
    """
    t, end_at, at_repair = _checked(times, end)
    inner = t[:-1] if at_repair else t
    if len(inner) == 0:
        raise NoAnswer(Message("Too few repairs to find a trend."))
    z = (float(inner.mean()) - end_at / 2.0) / (end_at / math.sqrt(12.0 * len(inner)))
    return Trend(z, 2.0 * float(special.ndtr(-abs(z))))
