r"""What to hold: spares for a fill probability, and the stock where shortage and holding balance.

Sources: the stock for a fill probability is the quantile of the (Poisson) demand; the balance is
the newsvendor's critical ratio, L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory,
section 4.3 (example 4.3 is a test).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.message import Message


@dataclass(frozen=True)
class StockLevel:
    """A stock level and what it costs a period in expectation."""

    stock: float
    cost: float


def spares_for_fill(demand: float, fill: float) -> int:
    """Fewest spares that meet a Poisson demand with at least this probability.

    >>> spares_for_fill(4.32, 0.95)
    8

    Raises:
        BadInput: the demand is negative or the probability is not between 0 and 1.
    """
    if not (math.isfinite(demand) and 0 <= demand <= 1e6 and 0 < fill < 1):
        raise BadInput(
            Message("Demand must be 0 to a million, and the fill probability between 0 and 1.")
        )
    return _fewest(1.0 - fill, demand)


def _fewest(short: float, demand: float) -> int:
    """Fewest that a Poisson demand exceeds with at most this chance, by halving."""
    low, high = -1, 1
    while special.pdtrc(high, demand) > short:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if special.pdtrc(middle, demand) > short else (low, middle)
    return high


def fill_probability(demand: float, stock: int) -> float:
    """Probability that a Poisson demand is met from this stock."""
    return float(special.pdtr(stock, demand))


def critical_stock(
    *, shortage: float, holding: float, mean: float, deviation: float | None = None
) -> StockLevel:
    r"""Stock at the critical ratio p/(p+h): normal demand, or Poisson without a deviation.

    Normal: :math:`S = \mu + z\sigma` at cost :math:`(p+h)\sigma\phi(z)`; none where that is less
    than none.

    Raises:
        BadInput: a cost is not positive, or the mean or deviation is negative.
    """
    if not (shortage > 0 and holding > 0 and mean >= 0 and (deviation is None or deviation >= 0)):
        raise BadInput(Message("Both costs must be positive; mean and deviation not negative."))
    both = shortage + holding
    short = holding / both
    if deviation is not None:  # by the smaller share, as the other may round to 1
        best = (
            -float(special.ndtri(short)) if short < 0.5 else float(special.ndtri(shortage / both))
        )
        z = max(best, -mean / deviation) if deviation else 0.0
        density = math.exp(-z * z / 2.0) / math.sqrt(math.tau)
        unbalanced = (
            (holding * float(special.ndtr(z)) - shortage * float(special.ndtr(-z))) * z
            if z > best
            else 0.0
        )
        return StockLevel(mean + z * deviation, deviation * (both * density + unbalanced))
    stock = _fewest(short, mean)
    over = left_over(stock, mean)
    lacking = max(over + mean - stock, 0.0)
    return StockLevel(float(stock), holding * over + shortage * lacking)


def left_over(stock: int, mean: float) -> float:
    r"""Expected number left of a stock by a Poisson demand.

    .. math:: E(S-N)^+ = S\,P(N \le S-1) - \mu\,P(N \le S-2)
    """
    below = float(special.pdtr(stock - 1, mean)) if stock > 0 else 0.0
    two_below = float(special.pdtr(stock - 2, mean)) if stock > 1 else 0.0
    return max(stock * below - mean * two_below, 0.0)
