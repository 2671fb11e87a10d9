"""Where a block of pumps keeps its figures, one row of so many numbers for each; their arithmetic.

One piece of memory with rows at places known when it is compiled: that is what lets a processor
work on several pumps at once. A power of a number is computed here by series, since the library's
own is called number by number and would be most of the work.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Real, Reals, inner, numbers, pack_of, reals

Array = NDArray[np.float64]

LANES = 128
"""Pumps in a block: as many as stay in a processor's nearest memory."""

GIVEN = 15
"""What is given for a pump: the first rows, in this order."""
FIGURES = 10
"""What is computed for one way: as many rows from ``SPEED`` on, in the order of ``OneWay``."""
TOGETHER = 4
"""What is computed for both ways: rows from ``RATE`` on, in the order of ``StrokeState``."""

(FORCE, FREE, FRICTION, REVERSAL, VISCOSITY, FILTER, LINE, NOZZLE, FILLING,
 STATIC_SLOW, STATIC_FAST, PISTON_SLOW, PISTON_FAST, FOOT_SLOW, FOOT_FAST,
 TABLE_ROW, SHARE, STRAIGHT,
 VALVE_SLOW, VALVE_FAST, PULL, REACH, SWEEP, PAST, PAST_STEEP, OUT, OUT_STEEP,
 RATIO, RAISED, X, STALLED, ROOT, LOWER, RISE, WITHIN, STEEP, UNDONE,
 SPEED, TIME, PRESSURE, GAUGE, AT_NOZZLE, FLOW, PAST_FLOW, OUT_FLOW, STALL, CREEP,
 UP_SPEED, UP_TIME, UP_GAUGE, UP_FLOW, UP_STALL,
 RATE, MEAN_FLOW, MEAN_GAUGE, MEAN_STALL,
 ALL) = range(0, 57 * LANES, LANES)  # fmt: skip
"""Where each row begins; ``ALL`` is how many numbers there are."""


class Law(NamedTuple):
    """How leaks grow with pressure."""

    reference: float
    """Pressure at which they are given, Pa."""
    power: float


class HoseTable(NamedTuple):
    """A hose's table of losses, row after row, as ``losses.LossTable``; two rows at least."""

    losses: Array
    scales: Array
    step: float


LAW = numbers(Law)
HOSE = pack_of(HoseTable, Reals, Reals, Real)

LEAST_RATIO = 1e-12
"""Least pressure over the reference at which a leak is computed."""
SLOWEST = 1e-9
"""m/s taken for a rod that stands, so that times stay finite."""


@inner(reals(4)(Real, Real, Real, reals(4)), fused=True)
def both_leaks(
    ratio: float, raised: float, power: float, rates: tuple[float, float, float, float]
) -> tuple[float, float, float, float]:
    r"""Two leaks side by side and their slopes with the ratio: ``gap.blend``, written for speed.

    .. math::

        q = \frac{a\, r^n}{1 + R},\; R = \sqrt{1 + b\, r^{2n-1}}, \qquad
        q' = \frac{q}{r} \left(\tfrac{1}{2} + \frac{n - \tfrac{1}{2}}{R}\right)

    Args:
        ratio: r, pressure over the reference.
        raised: r to the power n.
        power: n.
        rates: a, twice the slow leak, and b, the square of a over the fast leak: of valve and
            packings, then of the static packings.
    """
    past, past_steep, out, out_steep = rates
    squared = raised * raised / ratio
    past_root = math.sqrt(1.0 + past_steep * squared)
    out_root = math.sqrt(1.0 + out_steep * squared)
    past_flow = past * raised / (1.0 + past_root)
    out_flow = out * raised / (1.0 + out_root)
    over = power - 0.5
    past_slope = past_flow * (0.5 + over / past_root) / ratio
    out_slope = out_flow * (0.5 + over / out_root) / ratio
    return past_flow, out_flow, past_slope, out_slope


@inner(reals(3)(Real, HOSE, Real, Real), fused=True)
def hose_cell(
    place: float, hose: HoseTable, row: float, share: float
) -> tuple[float, float, float]:
    """Loss at the near edge of a cell of the table, rise to its far edge, and how far in it lies.

    As ``losses.LossReader``; the loss is the first plus the product of the others.

    Args:
        place: root of the flow, counted in columns; what is not a number reads the first.
        hose: the table.
        row: the pump's row.
        share: its way to the next row.
    """
    losses, columns = hose.losses, len(hose.losses) // len(hose.scales)
    place = place if place > 0.0 else 0.0
    left = int(min(place, columns - 2.0))
    at = int(row) * columns + left
    near, far = losses[at], losses[at + columns]
    lower = max(near + share * (far - near), 0.0)
    near, far = losses[at + 1], losses[at + 1 + columns]
    upper = max(near + share * (far - near), 0.0)
    return lower, max(upper - lower, 0.0), place - left


_FRACTION = 0xFFFFFFFFFFFFF
"""Bits of a double that hold its fraction."""
_ONE = 0x3FF0000000000000
"""Bits of 1.0."""
_BIG = 0x4330000000000000
"""Bits of 2**52: a whole number in its last places is that number added to it."""
_TO_WHOLE = 6755399441055744.0
"""1.5 * 2**52: added to a number, rounds it to a whole one."""


@inner(Real(Real), fused=True)
def log2(x: float) -> float:
    r"""Logarithm to base 2 of an ordinary number above zero.

    .. math::

        x = 2^e m,\; \tfrac{1}{\sqrt 2} \le m < \sqrt 2: \qquad
        \ln m = 2 \left(s + \tfrac{s^3}{3} + \cdots + \tfrac{s^{17}}{17}\right), \;
        s = \frac{m - 1}{m + 1}

    To 3e-15 of ln m. Source: series of the inverse hyperbolic tangent, any handbook.
    """
    bits = np.float64(x).view(np.int64)
    e = np.int64((bits >> 52) | _BIG).view(np.float64) - (4503599627370496.0 + 1023.0)
    m = np.int64((bits & _FRACTION) | _ONE).view(np.float64)
    high = m > 1.4142135623730951
    m = 0.5 * m if high else m
    e = e + 1.0 if high else e
    s = (m - 1.0) / (m + 1.0)
    q = s * s
    series = 1.0 / 15.0 + q * (1.0 / 17.0)
    series = 1.0 / 11.0 + q * (1.0 / 13.0 + q * series)
    series = 1.0 / 7.0 + q * (1.0 / 9.0 + q * series)
    series = 1.0 / 3.0 + q * (1.0 / 5.0 + q * series)
    return e + 2.8853900817779268 * s * (1.0 + q * series)


@inner(Real(Real), fused=True)
def exp2(y: float) -> float:
    r"""2 to the power y, for y between -1000 and 1000.

    .. math:: 2^y = 2^k \sum_{n=0}^{12} \frac{t^n}{n!}, \; t = (y - k) \ln 2,\; |t| \le 0.347

    To 2e-16, rounding aside. Source: series of the exponential, any handbook.
    """
    y = min(max(y, -1000.0), 1000.0)
    shifted = y + _TO_WHOLE
    t = 0.6931471805599453 * (y - (shifted - _TO_WHOLE))
    series = 1.0 / 39916800.0 + t * (1.0 / 479001600.0)
    series = 1.0 / 362880.0 + t * (1.0 / 3628800.0 + t * series)
    series = 1.0 / 5040.0 + t * (1.0 / 40320.0 + t * series)
    series = 1.0 / 120.0 + t * (1.0 / 720.0 + t * series)
    series = 1.0 / 6.0 + t * (1.0 / 24.0 + t * series)
    series = 1.0 + t * (1.0 + t * (0.5 + t * series))
    scale = np.int64((np.float64(shifted).view(np.int64) << 52) + _ONE).view(np.float64)
    return scale * series


@inner(Real(Real, Real), fused=True)
def raised(x: float, power: float) -> float:
    """``x ** power`` for an ordinary x above zero, to 1e-13 while it lies within 2**±1000."""
    return exp2(power * log2(x))
