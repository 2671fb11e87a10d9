"""Where a housing on a thread stops turning, as the clock reads it, and chances of that."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.physics import stackup
from wetend.physics.stackup import TURN, miss
from wetend.units.message import Message
from wetend.units.quantity import M, Rad, Ratio

Array = NDArray[np.float64]
Hand = Literal["right", "left"]


def stop_angle(gap: M | Array, lead: M, *, datum: Rad = 0.0, hand: Hand = "right") -> Array:
    r"""Direction in which the housing stops, clockwise from 12 seen from below.

    .. math:: \theta = \theta_0 \pm \theta_s

    ``gap`` is the depth at the datum turn less the stack's clamped height; ``lead`` is pitch times
    starts; theta_s is :func:`wetend.physics.stackup.stop_angle`. Seen from below a right-hand
    thread tightens clockwise (plus), a left-hand one the other way. Valid while the thread is
    engaged. Source: geometry of the screw.

    >>> float(stop_angle(0.5e-3, 2e-3)) / math.pi
    0.5
    >>> float(stop_angle(0.5e-3, 2e-3, hand="left")) / math.pi
    1.5
    """
    sign = 1.0 if hand == "right" else -1.0
    return np.asarray(np.mod(datum + sign * stackup.stop_angle(gap, lead), TURN))


def on_target(mean: Rad | Array, deviation: Rad | Array, *, target: Rad, within: Rad) -> Array:
    """Chance that a direction so spread lies near the target: ``physics.stackup.within``.

    >>> round(float(on_target(0.0, 1.0, target=0.0, within=1.0)), 4)
    0.6827
    """
    return stackup.within(miss(mean, target), deviation, within)


def tightening(direction: Rad, *, datum: Rad = 0.0, hand: Hand = "right") -> Rad:
    """A direction clockwise from 12 as the turn from the datum in the tightening direction.

    >>> round(tightening(math.pi, datum=math.pi / 2, hand="left") / math.pi, 3)
    -0.5
    """
    return direction - datum if hand == "right" else datum - direction


def circular_interval(angles: Array) -> tuple[Rad, Rad, Rad]:
    """Low, middle and high direction of the 90 % interval, unwrapped so that low <= high.

    The middle is the mean direction plus the median deviation from it. Source: circular mean,
    Mardia and Jupp, Directional Statistics, 2000, section 2.2.1 (from memory).

    >>> low, middle, high = circular_interval(np.array([-0.2, 0.0, 0.2]) + 0.1)
    >>> round(middle, 6)
    0.1
    """
    mean = math.atan2(float(np.sin(angles).mean()), float(np.cos(angles).mean())) % TURN
    low, middle, high = np.quantile(miss(angles, mean), (0.05, 0.5, 0.95))
    return mean + float(low), mean + float(middle), mean + float(high)


def clock_text(angle: Rad) -> str:
    """An angle clockwise from 12 as the clock reads it, to five minutes (2.5 degrees).

    Raises:
        BadInput: not a finite angle.

    >>> clock_text(math.pi), clock_text(0.0), clock_text(-math.pi / 2)
    ('6:00', '12:00', '9:00')
    """
    if not math.isfinite(angle):
        raise BadInput(Message("The direction is not a number."))
    fives = round((angle % TURN) / TURN * 144) % 144
    return f"{fives // 12 or 12}:{fives % 12 * 5:02d}"


def probability_within(mean: M | Array, deviation: M | Array, low: M, high: M) -> Array:
    """Chance that a normally spread size lies between two limits (JCGM 106:2012, 7.2).

    >>> round(float(probability_within(0.0, 1.0, -1.0, 1.0)), 4)
    0.6827
    """
    sigma = np.maximum(np.asarray(deviation, dtype=float), 1e-15)
    middle = np.asarray(mean, dtype=float)
    return np.asarray(special.ndtr((high - middle) / sigma) - special.ndtr((low - middle) / sigma))


def share(hits: NDArray[np.bool_]) -> Ratio:
    """Share of draws that hit."""
    return float(np.mean(hits))
