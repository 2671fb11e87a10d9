"""What the hose holds, what outlet and leaks take, what the drive presses: with their slopes."""

from __future__ import annotations

import numpy as np

from wetend.jit.kinds import Flag, Real, inner, reals
from wetend.physics.cycle.given import (
    BULK_MODULUS,
    CYCLED,
    FREE_AIR,
    GAS,
    TANGENT,
    WAY,
    Cycled,
    Given,
    Tangent,
    Way,
)

_BAND = 0.05
"""Over its setting, what an electric drive lets go in."""


def _is_below(value: float, limit: float) -> bool:
    return abs(value) <= limit


@inner(Flag(Real, Real), one=_is_below)
def all_below(values: Given, limit: Given) -> bool:
    """Whether no value is above the limit."""
    return bool(np.all(np.abs(values) <= limit))


def _one_of(flag: bool, yes: float, no: float) -> float:
    return yes if flag else no


@inner(Real(Flag, Real, Real), one=_one_of)
def where(flag: Given, yes: Given, no: Given) -> Given:
    """One number or the other, by whether something holds."""
    return np.where(flag, yes, no)


@inner(reals(2)(CYCLED, Real, Real), fused=True)
def content(g: Cycled, room: Given, pressure: Given) -> tuple[Given, Given]:
    """What hose and a room joined to it hold at a pressure, and its slope.

    Below the lowest pressure in a straight line: no line gets there, a search may.
    """
    q = np.maximum(pressure + GAS, 0.01 * GAS)
    more = q - GAS
    air = FREE_AIR * GAS / q
    share = 1.0 - more / BULK_MODULUS + air
    held = (g.volume + room + g.growth * more) / share
    give = (g.growth + held * (1.0 / BULK_MODULUS + air / q)) / share
    return held + give * (pressure + GAS - q), give


@inner(reals(2)(CYCLED, Real), fused=True)
def taken(g: Cycled, pressure: Given) -> tuple[Given, Given]:
    """What the outlet takes at a pressure, and its slope."""
    left = np.maximum(pressure - g.offset, 0.0)
    root = np.sqrt(g.straight * g.straight + 4.0 * g.nozzle * left) + 1.0
    flow = 2.0 * left / (g.straight + root)
    return flow, where(left > 0.0, 1.0 / root, 0.0)


def _power_of_one(base: float, power: float) -> float:
    return base if power == 1.0 else base**power


@inner(Real(Real, Real), one=_power_of_one)
def _power(base: Given, power: Given) -> Given:
    """A power; of one it costs nothing where it is compiled."""
    return base**power


@inner(TANGENT(CYCLED, Real, Real, Real), fused=True)
def leaks(g: Cycled, slow: Given, fast: Given, pressure: Given) -> Tangent:
    """Past this way's valve and through the static packings, as ``gap.blend``, near a pressure."""
    at = np.maximum(pressure, 0.2 * g.guess)
    ratio = at / g.reference
    raised = _power(ratio, g.power)
    root = np.sqrt(ratio)
    past, out = 2.0 * slow * raised, 2.0 * g.static_slow * raised
    past_steep = past / np.maximum(fast * root, 1e-30)
    out_steep = out / np.maximum(g.static_fast * root, 1e-30)
    past_root = np.sqrt(1.0 + past_steep * past_steep)
    out_root = np.sqrt(1.0 + out_steep * out_steep)
    past, out = past / (1.0 + past_root), out / (1.0 + out_root)
    over = g.power - 0.5
    slope = (past * (0.5 + over / past_root) + out * (0.5 + over / out_root)) / at
    return Tangent(past + out - slope * at, slope)


@inner(reals(3)(CYCLED, WAY, TANGENT, Real), fused=True)
def at_speed(g: Cycled, way: Way, leak: Tangent, v: Given) -> tuple[Given, Given, Given]:
    """Pressure in the pump and at the gauge at a speed, and the slope of the latter."""
    area, spare = way.area, way.spare
    left = spare - (g.bend * v + g.drag) * v
    steep = -(2.0 * g.bend * v + g.drag)
    soft = g.force / (_BAND * g.control)
    held = g.filter * area
    over_area, over_soft = 1.0 / area, 1.0 / (area + soft)
    free, eased = left * over_area, (left + soft * (g.control + held * v)) * over_soft
    watched = eased < free
    pressure = where(watched, eased, free)
    slope = where(watched, (steep + soft * held) * over_soft, steep * over_area)
    gauge = pressure - g.filter * (area * v - leak.flow - leak.slope * pressure)
    return pressure, gauge, slope - g.filter * (area - leak.slope * slope)


@inner(Real(CYCLED, WAY, Real), fused=True)
def pace(g: Cycled, way: Way, pressure: Given) -> Given:
    """Speed of the rod against a pressure."""
    held = g.drag + g.filter * way.area * way.area
    left = np.maximum(way.spare - pressure * way.area, 1e-6 * g.force)
    return 2.0 * left / (held + np.sqrt(held * held + 4.0 * g.bend * left))
