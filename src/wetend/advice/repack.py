"""When packings will be due: sliding distance times pressure times abrasiveness."""

from __future__ import annotations

import math

from scipy.special import ndtr, ndtri

from wetend.advice.pump_physics import liquid_of
from wetend.advice.reasons import Interval
from wetend.advice.working_point import middle_pressure, working_point
from wetend.errors import BadInput
from wetend.pump.coating import Abrasiveness, Coating
from wetend.pump.description import Pump
from wetend.units.quantity import M3

PACKING_LIFE = 60e3 * 200e5
"""Sliding distance times pressure a set bears in a mild coating, m Pa: 60 km at 200 bar (common
practice, no source; ours and rough)."""
CLASS_FACTOR: dict[Abrasiveness, float] = {
    "mild": 1.0,
    "moderate": 2.0,
    "abrasive": 5.0,
    "very abrasive": 12.0,
}
"""How many times faster each class wears (common practice, no source; ours and rough)."""
LIFE_SPREAD = 0.7
"""Standard deviation of the logarithm of life: a factor of about three either way at 90 %."""


def middle_life(pump: Pump, coating: Coating) -> M3:
    r"""Volume at which half the sets of packings are worn.

    .. math:: V = \frac{W}{p\,k} \cdot \frac{V_c}{2 S}

    W sliding distance times pressure, p the pump's pressure at the middle of the coating's range, k
    the class factor, V_c the displacement a cycle, 2 S the way a cycle. Common practice, no source.
    """
    point = working_point(pump, liquid_of(coating), nozzle_pressure=middle_pressure(coating))
    distance = PACKING_LIFE / (point.pump_pressure * CLASS_FACTOR[coating.abrasiveness])
    return distance / (2 * pump.stroke) * pump.displacement


def repack_volume(pump: Pump, coating: Coating, used: M3 | None) -> Interval:
    """Volume to the next repack from sliding distance, pressure and abrasiveness class.

    A lognormal life; where ``used`` has been pumped already, what is left given that the packings
    still hold. Common practice, no source: life and class factors are ours and wide.

    Raises:
        BadInput: ``used`` is negative or not a number.
    """
    done = used or 0.0
    if not 0 <= done < math.inf:
        raise BadInput("The volume pumped since the last repack can't be negative.")
    middle = math.log(middle_life(pump, coating))
    alive = float(ndtr(-(math.log(done) - middle) / LIFE_SPREAD)) if done > 0 else 1.0

    def left(worn: float) -> M3:
        quantile = -float(ndtri(max(alive * (1 - worn), 1e-300)))
        return max(math.exp(middle + LIFE_SPREAD * quantile) - done, 0.0)

    return Interval(left(0.05), left(0.5), left(0.95))
