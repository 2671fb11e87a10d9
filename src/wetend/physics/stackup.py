"""Where a clamped stack stops its housing turning, and which shims bring it where it should be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.quantity import M, Rad

Array = NDArray[np.float64]
TURN = 2 * math.pi
_MOST_SHIMS = 16
_UNIFORM = 3.0 * math.pi
"""Spread beyond which a direction is as good as evenly spread round the clock."""


def stop_angle(gap: M | ArrayLike, lead: M) -> Array:
    r"""Angle at which the housing stops, from its datum, counted in the tightening direction.

    .. math:: \theta=2\pi\,\operatorname{frac}\!\left(\frac{g}{l}\right),\qquad g=t-\sum_i h_i

    ``gap`` is what the stack leaves of the depth at the datum turn; turning home closes it, one
    lead a turn. A shim of a quarter of the lead turns the stop a quarter turn back. Rigid parts;
    from the geometry of the helix. Between 0 and a full turn.

    Source: geometry.

    >>> math.degrees(stop_angle(0.0015, 0.002))
    270.0
    """
    if lead <= 0:
        raise BadInput("A thread needs a pitch above zero.")
    part = np.mod(np.asarray(gap, dtype=float) / lead, 1.0)
    return np.where(1.0 - part < 1e-9, 0.0, part * TURN)  # a hair short of a whole turn is a turn


def miss(angle: Rad | ArrayLike, target: Rad) -> Array:
    """Shortest turn from target to angle, between half a turn back and half a turn on.

    Source: geometry.

    >>> math.degrees(miss(math.radians(350.0), math.radians(10.0)))
    -20.0
    """
    return np.asarray(np.mod(np.asarray(angle, dtype=float) - target + math.pi, TURN) - math.pi)


def within(target_miss: Rad | ArrayLike, spread: Rad | ArrayLike, tolerance: Rad) -> Array:
    r"""Probability that the housing stops within the tolerance of its target.

    .. math:: P = \sum_k \Phi\!\left(\frac{w - \delta + 2\pi k}{\sigma}\right)
              - \Phi\!\left(\frac{-w - \delta + 2\pi k}{\sigma}\right)

    A direction spread normally about the miss, wrapped round the circle. Valid for any spread;
    beyond one and a half turns it is the even spread, w / pi.

    Source: the wrapped normal distribution (Mardia and Jupp, Directional Statistics, 2000,
    section 3.5.7, from memory).

    >>> float(within(0.0, math.radians(10.0), math.radians(19.6)))
    0.95
    """
    error = miss(target_miss, 0.0)[..., None]
    sigma = np.maximum(np.asarray(spread, dtype=float), 1e-12)[..., None]
    laps, reach = TURN * np.arange(-8, 9), min(tolerance, math.pi)
    chance = (
        special.ndtr((reach - error + laps) / sigma) - special.ndtr((-reach - error + laps) / sigma)
    ).sum(-1)
    return np.clip(np.where(sigma[..., 0] > _UNIFORM, reach / math.pi, chance), 0.0, 1.0)


@dataclass(frozen=True)
class ShimChoice:
    """The shims to put in and where the housing then stops."""

    shims: tuple[M, ...]
    angle: Rad
    miss: Rad
    """Signed; positive is past the target."""
    tried: int
    """Distinct subsets of the tin looked at."""


def subsets(tin: Sequence[M], keep: int | None = None) -> list[tuple[M, ...]]:
    """Every distinct subset of a tin of shims, fewest first, each in falling order.

    Source: counting.

    Raises:
        BadInput: more shims than can all be tried, or one of no thickness.

    >>> subsets([0.0005, 0.0005])
    [(), (0.0005,), (0.0005, 0.0005)]
    """
    if len(tin) > _MOST_SHIMS:
        raise BadInput(f"At most {_MOST_SHIMS} shims can all be tried; give fewer.")
    if any(not t > 0 for t in tin):
        raise BadInput("A shim's thickness must be above zero.")
    ordered = sorted(tin, reverse=True)
    found: set[tuple[M, ...]] = {()}
    for shim in ordered:
        found |= {(*held, shim) for held in found if keep is None or len(held) < keep}
    return sorted(found, key=lambda s: (len(s), math.fsum(s)))


def choose_shims(gap: M, lead: M, tin: Sequence[M], *, target: Rad = 0.0) -> ShimChoice:
    """The subset of the tin that brings the stop nearest its target, by trying every one.

    Of subsets within a thousandth of a degree the fewest shims, then the thinnest, are taken.

    Source: every subset tried.

    >>> best = choose_shims(0.0017, 0.002, [0.0005, 0.0005, 0.0002], target=math.pi)
    >>> best.shims, round(math.degrees(best.angle))
    ((0.0005, 0.0002), 180)
    """
    every = subsets(tin)
    totals = np.array([math.fsum(s) for s in every])
    angles = (gap - totals) / lead * TURN
    misses = np.abs(miss(angles, target))
    best = int(np.flatnonzero(misses <= misses.min() + math.radians(1e-3))[0])
    angle = float(stop_angle(gap - float(totals[best]), lead))
    return ShimChoice(every[best], angle, float(miss(angle, target)), len(every))
