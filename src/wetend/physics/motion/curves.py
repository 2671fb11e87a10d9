"""Losses of tubes and hoses, and openings of valves, as curves the compiled model can look up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.keeping import MB, kept
from wetend.monotone_curve import rising
from wetend.physics.hose import hose_loss
from wetend.physics.motion.layout import CURVE_SIZE, KNOTS
from wetend.physics.motion.parameters import BallValve, Hose, MotionParameters
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.valves import Seat, seat_opening
from wetend.units.quantity import M, M3PerS, Pa

Array = NDArray[np.float64]

_SAMPLES = 200
_MOST = MB
"""Curves kept: a pump is played many times, spraying and stalled, with one fault after another, and
its tube, hoses and liquid stay the same."""


def odd_curve(x: Array, y: Array) -> Array:
    """A curve for :func:`.passages.curve` through points that start at (0, 0) and rise.

    Knots lie evenly in the square root of x, where a square-root or a power law is smooth.
    """
    root = np.sqrt(x / x[-1])
    value, slope = rising(root, y, np.linspace(0.0, 1.0, KNOTS))
    found = np.empty(CURVE_SIZE)
    found[0] = x[-1]
    found[1 : 1 + KNOTS] = value
    found[1 + KNOTS :] = slope
    found.flags.writeable = False
    return found


def _greatest_flow(parameters: MotionParameters) -> float:
    return 2.0 * parameters.chambers.bore_area * parameters.drive.free_speed


def suction_curve(parameters: MotionParameters) -> Array:
    """Pressure lost along the suction tube against flow."""
    line, liquid = parameters.suction, parameters.liquid.liquid
    return _suction_curve(liquid, line.bore, line.length, _greatest_flow(parameters))


@kept("curves of suction lines", most=_MOST)
def _suction_curve(liquid: Liquid, bore: M, length: M, most: M3PerS) -> Array:
    flows = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * most
    lost = hose_loss(liquid, flows, bore, length)
    lost[0] = 0.0
    return odd_curve(flows, lost)


@kept("curves of valves", most=_MOST)
def opening_curve(valve: BallValve) -> Array:
    """Flow area of a lifted ball against its lift, up to its stop."""
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    lifts = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * valve.lift
    return odd_curve(lifts, seat_opening(seat, lifts))


def hose_curve(parameters: MotionParameters, highest: Pa) -> Array:
    """Flow along the whole hose string against pressure lost, up to ``highest`` Pa."""
    outlet = parameters.outlet
    liquid = thickened(parameters.liquid.liquid, outlet.viscosity_scale)
    line = _Line(liquid, outlet.hoses, outlet.line_resistance)
    return _hose_curve(line, _greatest_flow(parameters), highest)


@dataclass(frozen=True)
class _Line:
    """A hose string with what flows in it."""

    liquid: Liquid
    hoses: tuple[Hose, ...]
    resistance: float
    """Pa s/m^3 more."""


@kept("curves of hoses", most=_MOST)
def _hose_curve(line: _Line, most: M3PerS, highest: Pa) -> Array:
    def lost(flows: Array) -> Array:
        each = [hose_loss(line.liquid, flows, h.bore, h.length) for h in line.hoses]
        return np.asarray(np.sum(each, axis=0) + line.resistance * flows)

    for _ in range(60):
        if float(lost(np.array([most]))[0]) <= highest:
            break
        most *= 0.5
    most *= 2.0
    flows = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * most
    losses = lost(flows)
    rising = np.concatenate([[True], np.diff(losses) > 0]) & (losses > 0)
    return odd_curve(
        np.concatenate([[0.0], losses[rising]]), np.concatenate([[0.0], flows[rising]])
    )
