"""Tolerance stacks: worst case, root sum of squares; and the share outside limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.quantity import Ratio


@dataclass(frozen=True)
class Link:
    """One dimension in a stack: nominal, equal tolerance either way, and which way it counts."""

    nominal: float
    tolerance: float
    weight: float = 1.0


@dataclass(frozen=True)
class StackSpread:
    """A stack's nominal and how far it may stray."""

    nominal: float
    worst_case: float
    """Every part at its worst at once."""
    root_sum_square: float
    """As likely as any single tolerance is kept, for independent parts."""


def stack(links: Sequence[Link]) -> StackSpread:
    r"""A chain of dimensions added up.

    .. math:: W=\sum|c_i|t_i,\qquad R=\sqrt{\sum (c_it_i)^2}

    Source: ASME Y14.5 practice; the worst case is arithmetic, the root sum of squares is the law of
    JCGM 100:2008, 5.1.2, for tolerances at the same number of standard deviations.

    >>> stack([Link(40, 0.10), Link(25, 0.05, -1), Link(2, 0.03, -1), Link(10, 0.05, -1)])
    StackSpread(nominal=3.0, worst_case=0.23, root_sum_square=0.126)
    """
    if not links:
        raise BadInput("A stack needs at least one dimension.")
    return StackSpread(
        math.fsum(link.weight * link.nominal for link in links),
        math.fsum(abs(link.weight) * link.tolerance for link in links),
        math.hypot(*(link.weight * link.tolerance for link in links)),
    )


def share_outside(
    mean: float, spread: float, *, lower: float = -math.inf, upper: float = math.inf
) -> Ratio:
    """Share of a normal population outside its limits.

    >>> share_outside(10.0, 0.4, lower=9.0, upper=11.0)
    0.01242
    """
    return float(special.ndtr((lower - mean) / spread) + special.ndtr((mean - upper) / spread))


def capability(
    mean: float, spread: float, *, lower: float = -math.inf, upper: float = math.inf
) -> float:
    r"""Process capability index, the nearer limit's distance over three standard deviations.

    .. math:: C_{pk}=\min\left(\frac{U-\bar x}{3s},\frac{\bar x-L}{3s}\right)

    Source: ISO 22514-2 (form from memory).

    >>> capability(10.5, 0.4, lower=9.0, upper=11.0)
    0.41667
    """
    return min(upper - mean, mean - lower) / (3 * spread)
