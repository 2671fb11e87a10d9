r"""Rates of events over exposure, and shares of trials, with exact intervals.

Garwood's interval of a Poisson count n is :math:`\chi^2_{\alpha/2, 2n}/2` to
:math:`\chi^2_{1-\alpha/2, 2n+2}/2`. The ratio of two rates is compared by the binomial law of one
count given both (Przyborowski and Wilenski 1940), its interval by that of Clopper and Pearson 1934.
Sources: F. Garwood, Biometrika 28 (1936) 437; C. J. Clopper, E. S. Pearson, Biometrika 26 (1934)
404.
"""

from __future__ import annotations

import math

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.message import Message

Pair = tuple[float, float]


def count_interval(count: int, share: float = 0.95) -> Pair:
    """Garwood's interval of the mean of a Poisson count.

    >>> tuple(round(v, 3) for v in count_interval(10))
    (4.795, 18.39)

    Raises:
        BadInput: the count is negative, or the share none.
    """
    _check(count, share)
    tail = (1.0 - share) / 2.0
    low = float(special.gammaincinv(count, tail)) if count else 0.0
    return low, float(special.gammaincinv(count + 1, 1.0 - tail))


def share_interval(hits: int, trials: int, share: float = 0.95) -> Pair:
    """Clopper and Pearson's interval of a share.

    Raises:
        BadInput: more hits than trials, or the share is none.
    """
    _check(hits, share)
    if hits > trials:
        raise BadInput(Message("More hits than trials."))
    tail = (1.0 - share) / 2.0
    low = float(special.betaincinv(hits, trials - hits + 1, tail)) if hits else 0.0
    if hits == trials:
        return low, 1.0
    return low, float(special.betaincinv(hits + 1, trials - hits, 1.0 - tail))


def ratio_interval(one: int, over: float, other: int, rest: float, share: float = 0.95) -> Pair:
    """Exact interval of the ratio of two rates, the first over the second.

    Args:
        one: events of the first.
        over: its exposure.
        other: events of the second.
        rest: its exposure, in the same unit.
        share: confidence.

    Raises:
        BadInput: an exposure is not above zero, or a count negative.
    """
    if not (over > 0 and rest > 0):
        raise BadInput(Message("Exposures must be above zero."))
    low, high = share_interval(one, one + other, share)
    scale = rest / over
    return scale * low / (1.0 - low), math.inf if high >= 1.0 else scale * high / (1.0 - high)


def share_tails(hits: int, trials: int, other: int, others: int) -> Pair:
    r"""Chance of so few hits, and of so many, if both shares were one: Fisher's exact test.

    .. math:: P(k) = \binom{n}{k} \binom{m}{K-k} / \binom{n+m}{K}

    Args:
        hits: of the first.
        trials: of the first.
        other: hits of the second.
        others: trials of the second.

    Raises:
        BadInput: more hits than trials, or a count is negative.
    """
    if not (0 <= hits <= trials and 0 <= other <= others):
        raise BadInput(Message("More hits than trials."))
    together = hits + other
    first = max(0, together - others)
    logs = [
        _choose(trials, k) + _choose(others, together - k)
        for k in range(first, min(trials, together) + 1)
    ]
    peak = max(logs)
    weights = [math.exp(each - peak) for each in logs]
    every, place = sum(weights), hits - first
    return sum(weights[: place + 1]) / every, sum(weights[place:]) / every


def _choose(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


def _check(count: int, share: float) -> None:
    if count < 0 or not 0 < share < 1:
        raise BadInput(Message("Counts must not be negative, and the share between 0 and 1."))
