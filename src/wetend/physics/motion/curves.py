"""Losses of tubes and hoses, and openings of valves, as curves the compiled model can look up."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from wetend.physics.hose import hose_loss
from wetend.physics.motion.layout import CURVE_SIZE, KNOTS
from wetend.physics.motion.parameters import BallValve, MotionParameters
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.valves import Seat, seat_opening

Array = NDArray[np.float64]

_SAMPLES = 200
_LATEST = 32
"""Curves kept: a pump is played several times, spraying and stalled."""


def odd_curve(x: Array, y: Array) -> Array:
    """A curve for :func:`.passages.curve` through points that start at (0, 0) and rise.

    Knots lie evenly in the square root of x, where a square-root or a power law is smooth.
    """
    root = np.sqrt(x / x[-1])
    through = PchipInterpolator(root, y)
    knots = np.linspace(0.0, 1.0, KNOTS)
    found = np.empty(CURVE_SIZE)
    found[0] = x[-1]
    found[1 : 1 + KNOTS] = through(knots)
    found[1 + KNOTS :] = through.derivative()(knots)
    found.flags.writeable = False
    return found


def _greatest_flow(parameters: MotionParameters) -> float:
    return 2.0 * parameters.chambers.bore_area * parameters.drive.free_speed


@lru_cache(maxsize=_LATEST)
def suction_curve(parameters: MotionParameters) -> Array:
    """Pressure lost along the suction tube against flow."""
    line = parameters.suction
    flows = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * _greatest_flow(parameters)
    lost = hose_loss(parameters.liquid.liquid, flows, line.bore, line.length)
    lost[0] = 0.0
    return odd_curve(flows, lost)


@lru_cache(maxsize=_LATEST)
def opening_curve(valve: BallValve) -> Array:
    """Flow area of a lifted ball against its lift, up to its stop."""
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    lifts = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * valve.lift
    return odd_curve(lifts, seat_opening(seat, lifts))


def thickened(liquid: Liquid, scale: float) -> Liquid:
    """The same liquid with every stress times ``scale``."""
    return replace(
        liquid, yield_stress=liquid.yield_stress * scale, consistency=liquid.consistency * scale
    )


@lru_cache(maxsize=_LATEST)
def hose_curve(parameters: MotionParameters, highest: float) -> Array:
    """Flow along the whole hose string against pressure lost, up to ``highest`` Pa."""
    outlet = parameters.outlet
    liquid = thickened(parameters.liquid.liquid, outlet.viscosity_scale)

    def lost(flows: Array) -> Array:
        each = [hose_loss(liquid, flows, h.bore, h.length) for h in outlet.hoses]
        return np.asarray(np.sum(each, axis=0) + outlet.line_resistance * flows)

    most = _greatest_flow(parameters)
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
