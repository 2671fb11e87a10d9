r"""The best base stock of a part by cost, exactly: one is ordered as one is used.

Where a part is short it is fetched by an emergency order, at a cost of its own, and the shelf is
not in debt. Then the number on order with base stock S is that of S servers without a queue: by
Erlang's loss formula, for any law of the lead time with its mean, as demand is Poisson.

.. math:: B(S, a) = \frac{a^S / S!}{\sum_{k=0}^{S} a^k / k!}, \qquad
          C(S) = h \, (S - a (1 - B)) + p \, \frac{a}{L} B

a is the demand in the lead time L, h the cost of holding one for a second, p that of one short.
C is convex in S, since B is, so the first S that is not improved on is the best.

Sources: A. K. Erlang 1917 and C. Palm 1938 as in S. Karush, A queueing model for an inventory
problem, Operations Research 5 (1957) 693; E. J. Messerli, Bell System Technical Journal 51 (1972)
951, for the convexity. Both cited from memory; tests compare with an enumeration of all states.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.units.message import Message

_MOST = 100_000


@dataclass(frozen=True)
class BaseStock:
    """A base stock, what it costs and the service it gives."""

    stock: int
    cost: float
    """Of holding and of shortage, a second."""
    served: float
    """Share of the demand that finds the part on the shelf."""


def erlang_loss(stock: int, demand: float) -> float:
    """Share of a Poisson demand that finds the shelf empty.

    Args:
        stock: base stock, pieces.
        demand: expected in the lead time, pieces.

    >>> round(erlang_loss(2, 1.0), 6)
    0.2
    """
    lost = 1.0
    for n in range(1, stock + 1):
        lost = demand * lost / (n + demand * lost)
    return lost


def base_stock_cost(
    stock: int, demand: float, *, lead: float, holding: float, shortage: float
) -> BaseStock:
    """What a base stock costs.

    Args:
        stock: base stock, pieces.
        demand: expected in the lead time, pieces.
        lead: lead time, s.
        holding: cost of holding one, a second.
        shortage: cost of one short.
    """
    lost = erlang_loss(stock, demand)
    cost = holding * (stock - demand * (1.0 - lost)) + shortage * demand / lead * lost
    return BaseStock(stock, cost, 1.0 - lost)


def best_base_stock(
    demand: float, *, lead: float, holding: float, shortage: float
) -> BaseStock:  # fmt: skip
    """The base stock of least cost.

    Raises:
        BadInput: a value is negative or not finite, or lead time or holding is none.
    """
    given = (demand, lead, holding, shortage)
    if not all(math.isfinite(v) and v >= 0 for v in given) or lead <= 0 or holding <= 0:
        raise BadInput(Message("Demand and costs must not be negative, lead and holding above 0."))
    lost, stock = 1.0, 0
    rate = shortage / lead
    cost = demand * rate
    while stock < _MOST:
        more = demand * lost / (stock + 1 + demand * lost)
        then = holding * (stock + 1 - demand * (1.0 - more)) + demand * rate * more
        if then >= cost:
            break
        stock, lost, cost = stock + 1, more, then
    return BaseStock(stock, cost, 1.0 - lost)
