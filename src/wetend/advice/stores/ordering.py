r"""What to buy for what is wanted: single parts and kits, in packs, at the least price.

.. math:: \min_{n \ge 0} \sum_k c_k n_k, \quad \sum_k g_{ik} n_k \ge w_i

n packs of each thing, c the price of a pack, g how many of part i are in it, w how many are wanted.
A whole-number program, solved exactly (branch and bound; Q. Huangfu, J. A. J. Hall, Parallelizing
the dual revised simplex method, 2018, for the solver). Of equals the fewest packs are taken.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from wetend.errors import NoAnswer
from wetend.lazy_import import optimize
from wetend.units.message import Message, joined
from wetend.units.quantity import SAsDays

_TIE = 1e-6
"""Price of a pack beyond its own, as a share of the dearest: so that of equals fewer are taken."""


@dataclass(frozen=True)
class Offer:
    """One way to get something: the price of a pack, and what it gives."""

    price: float
    gives: Mapping[int, int]
    """How many of each thing wanted, by its place."""


def buy(wanted: Sequence[int], wares: Sequence[Offer]) -> tuple[int, ...]:
    """How many packs of each ware to buy, so that all that is wanted is there for the least price.

    >>> kit = Offer(150.0, {0: 1, 1: 1})
    >>> buy([1, 1], [Offer(90.0, {0: 1}), Offer(120.0, {1: 1}), kit])
    (0, 0, 1)
    >>> buy([1, 0], [Offer(90.0, {0: 1}), Offer(120.0, {1: 1}), kit])
    (1, 0, 0)

    Raises:
        NoAnswer: no ware gives something that is wanted.
    """
    open_ = [place for place, count in enumerate(wanted) if count > 0]
    if not open_:
        return (0,) * len(wares)
    gives = np.array([[ware.gives.get(place, 0) for ware in wares] for place in open_], dtype=float)
    if not wares or not (gives.max(axis=1) > 0).all():
        raise NoAnswer(Message("Something wanted is given by nothing that can be bought."))
    prices = np.array([ware.price for ware in wares])
    tie = _TIE * max(float(prices.max()), 1.0)
    found = optimize.milp(
        prices + tie, integrality=np.ones(len(wares), dtype=np.int64),
        bounds=optimize.Bounds(0.0, float(sum(wanted))),
        constraints=optimize.LinearConstraint(
            gives, [float(wanted[place]) for place in open_], np.inf
        ),
        options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    if found.x is None:
        raise NoAnswer(Message("What to order could not be computed."))
    return tuple(round(float(packs)) for packs in found.x)


@dataclass(frozen=True)
class OrderLine:
    """One line to order, as it is sent: nothing in it is the program's own."""

    number: str
    """The owner's part number; blank: none is known yet."""
    name: str
    supplier: str
    count: int
    """Packs."""
    pack: int
    """Pieces in a pack."""
    price: float | None
    """Of a pack; ``None``: not known."""
    covers: tuple[str, ...]
    """What it is for, in words."""
    lead: SAsDays | None = None
    """From order to shelf, s."""
    instead: float | None = None
    """Of a kit: what the single parts it takes the place of would cost."""

    @property
    def cost(self) -> float | None:
        """Of all packs; ``None`` where the price is not known."""
        return None if self.price is None else self.count * self.price


ORDER_HEAD: tuple[str, ...] = (
    Message("number"),
    Message("name"),
    Message("supplier"),
    Message("how many"),
    Message("in a pack"),
    Message("price each"),
    Message("total"),
    Message("for"),
)
NO_NUMBER = Message("no number yet")
NO_PRICE = Message("no price yet")


def order_rows(lines: Sequence[OrderLine]) -> list[list[str]]:
    """The order list as rows, the head first."""
    rows = [list(ORDER_HEAD)]
    for line in lines:
        price = NO_PRICE if line.price is None else f"{line.price:.2f}"
        cost = "" if line.cost is None else f"{line.cost:.2f}"
        rows.append([line.number or NO_NUMBER, line.name, line.supplier, str(line.count),
                     str(line.pack), price, cost, joined("; ", line.covers)])  # fmt: skip
    return rows
