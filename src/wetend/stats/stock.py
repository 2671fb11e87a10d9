r"""What to hold: spares for a fill probability, and the stock where shortage and holding balance.

Sources: the stock for a fill probability is the quantile of the (Poisson) demand; the balance is
the newsvendor's critical ratio, L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory,
section 4.3 (example 4.3 is a test).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import pdtr, pdtrik
from scipy.stats import norm

from wetend.errors import BadInput


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
        raise BadInput("Demand must be 0 to a million, and the fill probability between 0 and 1.")
    return _fewest(fill, demand)


def _fewest(chance: float, demand: float) -> int:
    """Quantile of a Poisson demand."""
    if not demand:
        return 0
    found = max(math.ceil(float(pdtrik(chance, demand))), 0)
    return found - 1 if found and pdtr(found - 1, demand) >= chance else found


def fill_probability(demand: float, stock: int) -> float:
    """Probability that a Poisson demand is met from this stock."""
    return float(pdtr(stock, demand))


def critical_stock(
    *, shortage: float, holding: float, mean: float, deviation: float | None = None
) -> StockLevel:
    r"""Stock at the critical ratio p/(p+h): normal demand, or Poisson without a deviation.

    Normal: :math:`S = \mu + z\sigma` at cost :math:`(p+h)\sigma\phi(z)`.

    Raises:
        BadInput: a cost is not positive, or the mean or deviation is negative.
    """
    if not (shortage > 0 and holding > 0 and mean >= 0 and (deviation is None or deviation >= 0)):
        raise BadInput("Both costs must be positive; mean and deviation not negative.")
    ratio = shortage / (shortage + holding)
    if deviation is not None:
        z = float(norm.ppf(ratio))
        cost = (shortage + holding) * deviation * float(norm.pdf(z))
        return StockLevel(mean + z * deviation, cost)
    stock = _fewest(ratio, mean)
    over = _left_over(stock, mean)
    short = max(over + mean - stock, 0.0)
    return StockLevel(float(stock), holding * over + shortage * short)


def _left_over(stock: int, mean: float) -> float:
    r"""Expected number left of a stock by a Poisson demand.

    .. math:: E(S-N)^+ = S\,P(N \le S-1) - \mu\,P(N \le S-2)
    """
    below = float(pdtr(stock - 1, mean)) if stock > 0 else 0.0
    two_below = float(pdtr(stock - 2, mean)) if stock > 1 else 0.0
    return max(stock * below - mean * two_below, 0.0)
