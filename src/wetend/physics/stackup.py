"""Where a clamped stack stops its housing turning, and which shims bring it where it should be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, Rad

Array = NDArray[np.float64]
TURN = 2 * math.pi
MOST_SHIMS = 12
TIED = 0.005
"""Chances closer than this are taken as equal: half a percentage point is below what the spreads
themselves are known to."""
REACH: Rad = math.radians(15.0)
"""How far off a housing may stop where nothing else is said."""
SHIM_SPREAD: MFine = 5e-6
"""Standard uncertainty of one shim, of rolled strip (common practice, no source)."""
CLAMP_SPREAD = 0.15
"""Relative standard uncertainty of the clamp got from a torque pulled by hand on greased threads
(common practice, no source)."""
STIFFNESS_SPREAD = 0.10
"""Relative standard uncertainty of a soft ring's stiffness (common practice, no source)."""
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
        raise BadInput(Message("A thread needs a pitch above zero."))
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


def gap_spread(sizes: Sequence[MFine], squeezes: Sequence[M] = ()) -> MFine:
    r"""Standard uncertainty of a stack's gap from sizes, stiffness and clamp.

    .. math:: u_g=\sqrt{\sum_i u_i^2+\sum_j (0.10\,x_j)^2+\Bigl(0.15\sum_j x_j\Bigr)^2}

    ``sizes`` are the standard uncertainties of depth, every height and every shim; ``squeezes`` x
    what each soft ring gives under the clamp. Independent sizes and stiffnesses, one clamp for all,
    first order (JCGM 100:2008, 5.1.2).

    Source: JCGM 100:2008, 5.1.2; the shares are :data:`STIFFNESS_SPREAD` and :data:`CLAMP_SPREAD`.

    >>> gap_spread([20e-6] * 4, [0.2e-3]) * 1e6
    53.9
    """
    soft = [squeeze * STIFFNESS_SPREAD for squeeze in squeezes]
    return math.hypot(*sizes, *soft, math.fsum(squeezes) * CLAMP_SPREAD)


def gap_worst(sizes: Sequence[MFine], squeezes: Sequence[M] = ()) -> MFine:
    """Furthest a gap may be off: everything two standard uncertainties out the same way.

    Source: definition.

    >>> gap_worst([20e-6] * 4, [0.2e-3]) * 1e6
    260.0
    """
    soft = math.fsum(squeezes) * (STIFFNESS_SPREAD + CLAMP_SPREAD)
    return 2 * (math.fsum(sizes) + soft)


@dataclass(frozen=True)
class ShimChoice:
    """The shims to put in and where the housing then stops."""

    shims: tuple[M, ...]
    """Thickest first."""
    angle: Rad
    miss: Rad
    """Signed; positive is past the target."""
    tried: int
    """Different sets that the tin holds, every one weighed."""


Weigh = Callable[[Array, NDArray[np.int64]], tuple[Array, Array]]
"""From each set's total thickness and count of shims: its chance of ending right, and its miss."""


def subsets(tin: Sequence[M]) -> tuple[Array, NDArray[np.bool_]]:
    """A tin's shims, thickest first, and every different set of them: a row a set, the empty first.

    Equal shims stand for one another, so of them only the first so many are taken.

    Source: counting.

    Raises:
        BadInput: more shims than can all be tried, or one of no thickness.

    >>> subsets([0.0005, 0.0005])[1].tolist()
    [[False, False], [True, False], [True, True]]
    """
    count = len(tin)
    if count > MOST_SHIMS:
        raise BadInput(
            Message(
                "Give at most {most_shims} shims; there are {count}.",
                most_shims=MOST_SHIMS,
                count=count,
            )
        )
    if any(not t > 0 for t in tin):
        raise BadInput(Message("A shim's thickness must be above zero."))
    ordered = np.array(sorted(tin, reverse=True), dtype=float)
    taken = np.asarray((np.arange(2**count)[:, None] >> np.arange(count)) & 1, dtype=bool)
    same = np.flatnonzero(ordered[1:] == ordered[:-1])
    skipped = (taken[:, same + 1] & ~taken[:, same]).any(axis=1)
    return ordered, taken[~skipped]


def best_set(tin: Sequence[M], weigh: Weigh) -> tuple[tuple[M, ...], int]:
    """The set of shims most likely to end right, thickest first, and how many sets were weighed.

    Chances within :data:`TIED` of the best count as equal; of equal ones the fewest shims are
    taken, then the nearest, then the thinnest set.

    Source: every set weighed.

    Raises:
        BadInput: more shims than can all be tried, or one of no thickness.

    >>> def nearest(total, count):
    ...     return np.exp(-np.abs(total - 0.0007) / 1e-4), np.abs(total - 0.0007)
    >>> best_set([0.0005, 0.0005, 0.0002], nearest)
    ((0.0005, 0.0002), 6)
    """
    ordered, taken = subsets(tin)
    total, count = taken @ ordered, taken.sum(axis=1)
    chance, off = weigh(total, count)
    tied = np.flatnonzero(chance >= chance.max() - TIED)
    order = np.lexsort((total[tied], np.round(off[tied], 9), count[tied]))
    return tuple(float(s) for s in ordered[taken[tied[order[0]]]]), len(taken)


def choose_shims(
    gap: M, lead: M, tin: Sequence[M], *, target: Rad = 0.0, reach: Rad = REACH,
    spread: MFine = 0.0, shim_spread: MFine = SHIM_SPREAD,
) -> ShimChoice:  # fmt: skip
    """The shims that most likely stop the housing near enough to its target: :func:`best_set`.

    Not the set whose middle comes nearest: each shim adds its own uncertainty, so where the stack
    is not known better a set that is nearer by less than that is no better, and takes more shims.

    Args:
        gap: what the stack without shims leaves of the depth at the datum turn.
        lead: travel a turn.
        tin: thicknesses to hand, at most twelve.
        target: wanted, in the tightening direction.
        reach: how far from the target it may stop.
        spread: standard uncertainty of the gap, shims apart.
        shim_spread: standard uncertainty of one shim.

    Source: every set weighed by :func:`within`.

    Raises:
        BadInput: more shims than can all be tried, or one of no thickness.

    >>> best = choose_shims(0.0017, 0.002, [0.0005, 0.0005, 0.0002], target=math.pi, spread=40e-6)
    >>> best.shims, round(math.degrees(best.angle))
    ((0.0005, 0.0002), 180)
    """

    def weigh(total: Array, count: NDArray[np.int64]) -> tuple[Array, Array]:
        off = miss((gap - total) / lead * TURN, target)
        deviation = np.sqrt(spread**2 + count * shim_spread**2) / lead * TURN
        return within(off, deviation, reach), np.abs(off)

    shims, tried = best_set(tin, weigh)
    angle = float(stop_angle(gap - math.fsum(shims), lead))
    return ShimChoice(shims, angle, float(miss(angle, target)), tried)
