"""Does a measured value meet its limit? Probability, guard bands, decisions and their risks.

Source: JCGM 106:2012, *The role of measurement uncertainty in conformity assessment*; ISO 14253-1
for the decision by guard bands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, NoAnswer
from wetend.lazy_import import special
from wetend.roots import zero_between
from wetend.units.message import Message
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(20)
_NO_GUARD = Message("No guard band of up to ten uncertainties gives this risk.")
_REACH = 9.0
"""Uncertainties from an acceptance limit beyond which an error has no weight to speak of."""
_BENDS = np.array([-6.0, -4.0, -2.5, -1.2, 0.0, 1.2, 2.5, 4.0, 6.0])
_TAILS = 10.0 ** -np.array([12.0, 9.0, 7.0, 5.0, 4.0, 3.0, 2.0, 1.3, 0.8, 0.5])
_QUANTILES = np.concatenate([_TAILS, [0.5], 1.0 - _TAILS])
"""Where the error's density and the prior bend: ends of stretches to integrate over."""


class Decision(StrEnum):
    """What may be said of a measured thing against its limits."""

    CONFORMS = "conforms"
    FAILS = "does not conform"
    UNDECIDED = "not proven"


class Prior(Protocol):
    """What was known before measuring; any frozen SciPy distribution is one."""

    def cdf(self, x: Array, /) -> Array:
        """Probability of being at most ``x``."""

    def sf(self, x: Array, /) -> Array:
        """Probability of being more than ``x``."""

    def ppf(self, q: Array, /) -> Array:
        """Value not exceeded with probability ``q``."""


@dataclass(frozen=True)
class Risks:
    """Chances, before measuring, of accepting a bad item and of rejecting a good one."""

    consumer: Ratio
    producer: Ratio


def _below(value: float, uncertainty: float, limit: float, degrees: float) -> float:
    """Probability that the true value lies at or below the limit."""
    if uncertainty == 0:
        return 1.0 if value <= limit else 0.0
    z = (limit - value) / uncertainty
    return float(special.ndtr(z)) if math.isinf(degrees) else float(special.stdtr(degrees, z))


def _check(uncertainty: float, lower: float | None, upper: float | None) -> None:
    if not uncertainty >= 0:
        raise BadInput(Message("A standard uncertainty cannot be negative."))
    if lower is None and upper is None:
        raise BadInput(Message("A limit is needed to judge against: lower, upper or both."))
    if lower is not None and upper is not None and lower > upper:
        raise BadInput(Message("The lower limit lies above the upper one."))


def conformance_probability(
    value: float,
    uncertainty: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    degrees: float = math.inf,
) -> Ratio:
    r"""Probability that the true value lies within the limits.

    .. math:: p_c = \Phi\!\left(\frac{T_U-y}{u}\right)-\Phi\!\left(\frac{T_L-y}{u}\right)

    Value, uncertainty and limits share one unit. Holds where knowledge of the measurand is normal
    about the measured value (little known beforehand); with few degrees of freedom Student's t
    takes the place of the normal.
    Source: JCGM 106:2012, 7.2 to 7.4.

    Raises:
        BadInput: no limit, limits crossed, or a negative uncertainty.

    >>> conformance_probability(13.6, 1.8, lower=12.5, upper=16.3)
    0.6626
    """
    _check(uncertainty, lower, upper)
    high = 1.0 if upper is None else _below(value, uncertainty, upper, degrees)
    if lower is None:
        return high
    if uncertainty == 0:
        return float(value >= lower) * high
    low = _below(value, uncertainty, lower, degrees)
    return 1.0 - low if upper is None else max(high - low, 0.0)


def decide(probability: Ratio, *, accept: Ratio = 0.95, reject: Ratio = 0.05) -> Decision:
    """Decision from a conformance probability.

    Conforms at ``accept`` and above, fails at ``reject`` and below, undecided between. The usual
    5 % risk of a wrong word to either side is the default (ISO 14253-1:2017, from memory).

    Raises:
        BadInput: the thresholds are crossed or outside 0 to 1.

    >>> decide(0.97).value, decide(0.5).value, decide(0.01).value
    ('conforms', 'not proven', 'does not conform')
    """
    if not 0 <= reject < accept <= 1:
        raise BadInput(
            Message("The rejecting probability must lie below the accepting one, both 0 to 1.")
        )
    if probability >= accept:
        return Decision.CONFORMS
    return Decision.FAILS if probability <= reject else Decision.UNDECIDED


def guard_band(uncertainty: float, *, confidence: Ratio = 0.95) -> float:
    r"""Width to stay inside a limit so that conformity is proven with the confidence given.

    .. math:: g = u\,\Phi^{-1}(p)

    One-sided: the other limit is far away compared with the uncertainty.
    Source: JCGM 106:2012, 8.3; 1.65 u at 95 % is the default of ISO 14253-1:2017 (from memory).

    >>> guard_band(1.0)
    1.6449
    """
    return uncertainty * float(special.ndtri(confidence))


def _pieces(prior: Prior, uncertainty: float, edge: float, stretch: tuple[float, float]) -> Array:
    """Ends of stretches on which neither the prior nor the error about an edge bends much."""
    marks = np.concatenate([edge + uncertainty * _BENDS, np.asarray(prior.ppf(_QUANTILES))])
    low = max(stretch[0], edge - _REACH * uncertainty)
    high = min(stretch[1], edge + _REACH * uncertainty)
    inside = marks[(marks > low) & (marks < high)]
    return np.unique(np.concatenate([[low], inside, [high]])) if low < high else np.empty(0)


def _about(tail: Callable[[Array], Array], uncertainty: float, edge: float, ends: Array) -> float:
    """Integral of a tail of the prior times the density of the error about an edge."""
    if not math.isfinite(edge) or ends.size < 2:
        return 0.0
    half, middle = np.diff(ends) / 2, (ends[1:] + ends[:-1]) / 2
    places = middle[:, None] + half[:, None] * _POINTS
    density = np.exp(-0.5 * ((edge - places) / uncertainty) ** 2)
    total = np.sum(half[:, None] * _WEIGHTS * density * np.asarray(tail(places)))
    return float(total) / (uncertainty * math.sqrt(math.tau))


def _accepted(at: float, uncertainty: float, acceptance: tuple[float, float]) -> float:
    """Chance that an item of true value ``at`` is accepted."""
    low, high = acceptance
    below = 1.0 if high == math.inf else float(special.ndtr((high - at) / uncertainty))
    return below - (0.0 if low == -math.inf else float(special.ndtr((low - at) / uncertainty)))


def _through(
    prior: Prior, uncertainty: float, stretch: tuple[float, float], acceptance: tuple[float, float]
) -> float:
    r"""Chance of lying in a stretch and being accepted.

    .. math:: \int_a^b g A\,d\eta = \bigl[-S A\bigr]_a^b + \int_a^b S A'\,d\eta, \qquad
              A' = \tfrac1u\left[\varphi\left(\tfrac{l-\eta}u\right)
              - \varphi\left(\tfrac{h-\eta}u\right)\right]

    By parts, so that it rests on the prior's tail S, which is smooth where its density need not be,
    and is computed about the acceptance limits l and h alone. Below the median the other tail
    takes its place. By Gauss's rule.
    """
    low, high = stretch
    if not low < high:
        return 0.0
    upper = low >= float(prior.ppf(np.array([0.5]))[0])
    tail, sign = (prior.sf, -1.0) if upper else (prior.cdf, 1.0)
    total = 0.0
    for end, way in ((high, sign), (low, -sign)):
        if math.isfinite(end):
            kept = float(np.asarray(tail(np.array([end])))[0])
            total += way * kept * _accepted(end, uncertainty, acceptance)
    if high == math.inf and not upper and acceptance[1] == math.inf:
        total += 1.0
    for edge, way in ((acceptance[1], sign), (acceptance[0], -sign)):
        if math.isfinite(edge):
            ends = _pieces(prior, uncertainty, edge, stretch)
            total += way * _about(tail, uncertainty, edge, ends)
    return min(max(total, 0.0), 1.0)


def risks(
    prior: Prior,
    uncertainty: float,
    limits: tuple[float, float],
    acceptance: tuple[float, float] | None = None,
) -> Risks:
    r"""Consumer's and producer's risk of an acceptance rule, before anything is measured.

    .. math:: R_C=\int_{\bar C} g_0(\eta)\,P(\text{accept}\mid\eta)\,d\eta,\qquad
              R_P=\int_{C} g_0(\eta)\,P(\text{reject}\mid\eta)\,d\eta

    A missing limit is ``-inf`` or ``inf``; ``acceptance`` is ``limits`` unless given. Measurement
    error is normal. Source: JCGM 106:2012, 9.5.

    >>> from scipy.stats import gamma
    >>> risks(gamma(4, scale=0.25), 0.25, (0.0, 2.0)).consumer
    0.00802
    """
    if not uncertainty > 0:
        raise BadInput(Message("Risks need a standard uncertainty above zero."))
    low, high = limits
    accepting = acceptance or limits
    good = _between(prior, low, high)
    consumer = _through(prior, uncertainty, (-math.inf, low), accepting)
    consumer += _through(prior, uncertainty, (high, math.inf), accepting)
    producer = good - _through(prior, uncertainty, (low, high), accepting)
    return Risks(min(consumer, 1.0), max(producer, 0.0))


def _between(prior: Prior, low: float, high: float) -> Ratio:
    """Chance that an item lies within its limits."""
    below, above = (np.array([v]) for v in (low, high))
    bad = float(np.asarray(prior.cdf(below))[0]) + float(np.asarray(prior.sf(above))[0])
    return max(1.0 - bad, 0.0)


def acceptance_limit(prior: Prior, uncertainty: float, upper: float, risk: Ratio) -> float:
    """Upper acceptance limit that keeps the consumer's risk down to ``risk``.

    Source: JCGM 106:2012, 9.5.4.

    Raises:
        NoAnswer: the risk is met without any guard band, or by none within ten uncertainties.

    >>> from scipy.stats import gamma
    >>> acceptance_limit(gamma(4, scale=0.25), 0.25, 2.0, 0.001)
    1.672
    """

    def excess(limit: float) -> float:
        return risks(prior, uncertainty, (-math.inf, upper), (-math.inf, limit)).consumer - risk

    least = upper - 10 * uncertainty
    if excess(upper) <= 0 or excess(least) > 0:
        raise NoAnswer(_NO_GUARD)
    close = 1e-10 * max(abs(upper), uncertainty)
    return zero_between(excess, least, upper, xtol=close, why=_NO_GUARD)
