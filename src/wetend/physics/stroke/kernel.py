"""The steady stroke compiled, for many pumps at once: the same sums as in ``steady``, pump by pump.

Compiled at its first call and kept on disk where a folder can be written; few pumps go the plain
way, so nobody waits for a compiler to see a single answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Function = TypeVar("Function", bound=Callable[..., Any])

_MOST = 90
_BISECT_EVERY = 3
_LEAST = 1e-30
_LEAST_RATIO = 1e-12
_SLOWEST = 1e-9
_CLOSE = 1e-9
"""What may be left over, of what there is: as the functions rise by at least that much over a
root's own length, the root is then known to as many places.
"""

(SPEED, TIME, PRESSURE, GAUGE, NOZZLE_PRESSURE, FLOW, LEAK, STATIC_LEAK, STALL, CREEP,
 FIGURES) = range(11)  # fmt: skip
"""Rows of what is worked out for one way, in the order of ``OneWay``."""
(FORCE, FREE, FRICTION, REVERSAL, START, SHARE, FILTER, LINE, NOZZLE, VALVE_SLOW, VALVE_FAST,
 STATIC_SLOW, STATIC_FAST, GIVEN) = range(14)  # fmt: skip
"""Rows of what is given for one way."""


def _compiled(function: Function) -> Function:
    try:
        made = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder to keep it in: compiled anew by every process
        made = numba.njit(nogil=True, error_model="numpy")(function)
    return cast(Function, made)


@_compiled
def _blend(
    slow: float, fast: float, ratio: float, raised: float, power: float
) -> tuple[float, float]:
    """A leak and its slope with the ratio, as ``gap.blend``."""
    if slow <= 0.0:
        return 0.0, 0.0
    squared = raised * raised / ratio
    steep = 2.0 * slow / max(fast, _LEAST)
    root = math.sqrt(1.0 + steep * steep * squared)
    flow = 2.0 * slow * raised / (1.0 + root)
    return flow, flow / ratio * (power - (2.0 * power - 1.0) * (root - 1.0) / (2.0 * root))


@_compiled
def _leaks(
    pressure: float, given: Array, i: int, reference: float, power: float
) -> tuple[float, float, float]:
    """Through valve and packings, through the static packings, the slope of both."""
    ratio = max(pressure / reference, _LEAST_RATIO)
    raised = ratio if power == 1.0 else ratio**power
    past, past_slope = _blend(given[VALVE_SLOW, i], given[VALVE_FAST, i], ratio, raised, power)
    out, out_slope = _blend(given[STATIC_SLOW, i], given[STATIC_FAST, i], ratio, raised, power)
    return past, out, (past_slope + out_slope) / reference


@_compiled
def _hose(
    flow: float, losses: Array, columns: int, step: float, start: float, share: float
) -> tuple[float, float]:
    """Hose loss and its slope, as ``losses.LossReader``."""
    root = math.sqrt(max(flow, 0.0))
    place = root / step
    left = min(int(place), columns - 2)
    if start < 0.0:
        lower, upper = losses[left] * share, losses[left + 1] * share
    else:
        at = int(start) + left
        near, far = losses[at], losses[at + columns]
        lower = max(near + share * (far - near), 0.0)
        near, far = losses[at + 1], losses[at + 1 + columns]
        upper = max(near + share * (far - near), 0.0)
    slope = max(upper - lower, 0.0)
    return lower + (place - left) * slope, slope / (2.0 * step * max(root, 1e-9))


@_compiled
def _next(x: float, value: float, slope: float, below: float, above: float, count: int) -> float:
    """Newton's step where it stays in the bracket, else the bracket's middle."""
    step = x - value / slope
    inside = below <= step <= above and not (count > 8 and count % _BISECT_EVERY == 0)
    return step if inside else 0.5 * (below + above)


@_compiled
def _stall(
    pull: float, reach: float, sweep: float, given: Array, i: int, reference: float, power: float
) -> float:
    """The x at which nothing is delivered."""
    below, above = 0.0, math.sqrt(reach)
    past, out, _ = _leaks(pull * reach, given, i, reference, power)
    x = min((past + out) / max(sweep, 1e-300), above)
    for count in range(_MOST):
        past, out, slope = _leaks(pull * max(reach - x * x, 0.0), given, i, reference, power)
        value = sweep * x - past - out
        if abs(value) <= _CLOSE * sweep * x:
            return x
        if value < 0.0:
            below = x
        else:
            above = x
        new = _next(x, value, sweep + 2.0 * pull * x * slope, below, above, count)
        if abs(new - x) <= 1e-13:
            return new
        x = new
    return x


@_compiled
def _spray(
    pull: float, reach: float, sweep: float, stalled: float, given: Array, i: int,
    reference: float, power: float, losses: Array, columns: int, step: float,
) -> float:  # fmt: skip
    """The x at which the outlet takes just the pressure that the drive has left."""
    below, above = stalled, max(math.sqrt(reach), stalled)
    nozzle, straight = given[NOZZLE, i], given[FILTER, i] + given[LINE, i]
    square = nozzle * sweep * sweep
    x = min(max(above * math.sqrt(pull / max(pull + square, 1e-300)), below), above)
    for count in range(_MOST):
        pressure = pull * max(reach - x * x, 0.0)
        past, out, slope = _leaks(pressure, given, i, reference, power)
        flow = max(sweep * x - past - out, 0.0)
        hose, resistance = _hose(flow, losses, columns, step, given[START, i], given[SHARE, i])
        value = hose + (straight + nozzle * flow) * flow - pressure
        if abs(value) <= _CLOSE * pull * x * x:
            return x
        resistance += straight + 2.0 * nozzle * flow
        if value < 0.0:
            below = x
        else:
            above = x
        rise = resistance * (sweep + 2.0 * pull * x * slope) + 2.0 * pull * x
        new = _next(x, value, rise, below, above, count)
        if abs(new - x) <= 1e-11:
            return new
        x = new
    return x


@_compiled
def run_way(
    given: Array, area: float, stroke: float, reference: float, power: float, losses: Array,
    columns: int, step: float, out: Array,
) -> None:  # fmt: skip
    """One way of the stroke for every pump: rows of ``given`` to rows of ``out``."""
    for i in range(given.shape[1]):
        force = max(given[FORCE, i], 1e-9)
        pull, free = force / area, given[FREE, i]
        reach = min(max(1.0 - given[FRICTION, i] / force, 0.0), 1.0)
        sweep = area * free
        stalled = _stall(pull, reach, sweep, given, i, reference, power)
        x = _spray(pull, reach, sweep, stalled, given, i, reference, power, losses, columns, step)
        pressure = pull * max(reach - x * x, 0.0)
        past, lost, _ = _leaks(pressure, given, i, reference, power)
        flow = max(sweep * x - past - lost, 0.0)
        speed = max(x * free, _SLOWEST)
        out[SPEED, i] = speed
        out[TIME, i] = stroke / speed + given[REVERSAL, i]
        out[PRESSURE, i] = pressure
        out[GAUGE, i] = max(pressure - given[FILTER, i] * flow, 0.0)
        out[NOZZLE_PRESSURE, i] = given[NOZZLE, i] * flow * flow
        out[FLOW, i] = flow
        out[LEAK, i] = past
        out[STATIC_LEAK, i] = lost
        out[STALL, i] = pull * max(reach - stalled * stalled, 0.0)
        out[CREEP, i] = stalled * free
