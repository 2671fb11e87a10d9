"""Where a housing on a thread stops turning, and which shims make it stop where it should."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from wetend.errors import BadInput
from wetend.units.quantity import M, Rad, Ratio

Array = NDArray[np.float64]
TURN = 2 * math.pi
MOST_SHIMS = 12
TIED = 0.005
"""Chances closer than this are taken as equal: half a percentage point is below what the spreads
themselves are known to."""
_UNIFORM = 3.0 * math.pi
"""Spread beyond which a direction is as good as evenly spread round the clock."""


def stop_angle(
    gap: M | Array, lead: M, *, datum: Rad = 0.0, hand: Literal["right", "left"] = "right"
) -> Array:
    r"""Direction in which the housing stops, clockwise from 12 seen from below.

    .. math:: \theta = \theta_0 \pm 2\pi \, \mathrm{frac}\!\left(\frac{D - H}{L}\right)

    ``gap`` is D - H, the depth at the datum turn less the stack's clamped height; ``lead`` is
    pitch times starts. Seen from below a right-hand thread tightens clockwise (plus), a left-hand
    one the other way. Valid while the thread is engaged. Source: geometry of the screw.

    >>> float(stop_angle(0.5e-3, 2e-3)) / math.pi
    0.5
    >>> float(stop_angle(0.5e-3, 2e-3, hand="left")) / math.pi
    1.5
    """
    sign = 1.0 if hand == "right" else -1.0
    turned = np.asarray(datum + sign * TURN * np.asarray(gap, dtype=float) / lead)
    return np.asarray(np.mod(turned, TURN))


def off(angle: Rad | Array, target: Rad) -> Array:
    """Signed difference between two directions, from minus to plus half a turn.

    >>> round(float(off(0.1, TURN - 0.1)), 6)
    0.2
    """
    return np.asarray(np.mod(np.asarray(angle) - target + math.pi, TURN) - math.pi)


def on_target(mean: Rad | Array, deviation: Rad | Array, *, target: Rad, within: Rad) -> Array:
    r"""Chance that a direction spread normally, wrapped round the circle, lies near the target.

    .. math:: P = \sum_k \Phi\!\left(\frac{\tau + w - \delta - 2\pi k}{\sigma}\right)
              - \Phi\!\left(\frac{\tau - w - \delta - 2\pi k}{\sigma}\right)

    Valid for any spread; beyond one and a half turns it is the even spread, w / pi.
    Source: the wrapped normal distribution (Mardia and Jupp, Directional Statistics, 2000,
    section 3.5.7, from memory).

    >>> round(float(on_target(0.0, 1.0, target=0.0, within=1.0)), 4)
    0.6827
    """
    error = off(mean, target)[..., None]
    sigma = np.maximum(np.asarray(deviation, dtype=float), 1e-12)[..., None]
    laps = TURN * np.arange(-8, 9)
    reach = min(within, math.pi)
    chance = (ndtr((reach - error + laps) / sigma) - ndtr((-reach - error + laps) / sigma)).sum(-1)
    even = reach / math.pi
    return np.clip(np.where(sigma[..., 0] > _UNIFORM, even, chance), 0.0, 1.0)


def subsets(count: int) -> NDArray[np.bool_]:
    """Every way to take some of ``count`` shims: one row a way, the empty way first.

    Raises:
        BadInput: more than twelve shims.
    """
    if count > MOST_SHIMS:
        raise BadInput(f"Give at most {MOST_SHIMS} shims; there are {count}.")
    ways = np.arange(2**count)
    return np.asarray((ways[:, None] >> np.arange(count)) & 1, dtype=bool)


def choose(chance: Array, taken: NDArray[np.bool_], *, miss: Array, total: Array) -> int:
    """Row of the best way: highest chance, then fewest shims, then nearest, then thinnest.

    Chances within :data:`TIED` of the best count as equal.
    """
    tied = np.flatnonzero(chance >= chance.max() - TIED)
    order = np.lexsort((total[tied], np.round(miss[tied], 9), taken[tied].sum(axis=1)))
    return int(tied[order[0]])


def circular_interval(angles: Array) -> tuple[Rad, Rad, Rad]:
    """Low, middle and high direction that hold nine in ten, unwrapped so that low <= high.

    The middle is the mean direction plus the median deviation from it. Source: circular mean,
    Mardia and Jupp, Directional Statistics, 2000, section 2.2.1 (from memory).

    >>> low, middle, high = circular_interval(np.array([-0.2, 0.0, 0.2]) + 0.1)
    >>> round(middle, 6)
    0.1
    """
    mean = math.atan2(float(np.sin(angles).mean()), float(np.cos(angles).mean())) % TURN
    low, middle, high = np.quantile(off(angles, mean), (0.05, 0.5, 0.95))
    return mean + float(low), mean + float(middle), mean + float(high)


def clock_text(angle: Rad) -> str:
    """An angle clockwise from 12 as the clock reads it, to five minutes (2.5 degrees).

    Raises:
        BadInput: not a finite angle.

    >>> clock_text(math.pi), clock_text(0.0), clock_text(-math.pi / 2)
    ('6:00', '12:00', '9:00')
    """
    if not math.isfinite(angle):
        raise BadInput("The direction is not a number.")
    fives = round((angle % TURN) / TURN * 144) % 144
    return f"{fives // 12 or 12}:{fives % 12 * 5:02d}"


def probability_within(mean: M | Array, deviation: M | Array, low: M, high: M) -> Array:
    """Chance that a normally spread size lies between two limits (JCGM 106:2012, 7.2).

    >>> round(float(probability_within(0.0, 1.0, -1.0, 1.0)), 4)
    0.6827
    """
    sigma = np.maximum(np.asarray(deviation, dtype=float), 1e-15)
    middle = np.asarray(mean, dtype=float)
    return np.asarray(ndtr((high - middle) / sigma) - ndtr((low - middle) / sigma))


def share(hits: NDArray[np.bool_]) -> Ratio:
    """Share of draws that hit."""
    return float(np.mean(hits))
