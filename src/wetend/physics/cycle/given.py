"""The parameters of the march, and what it carries along."""

from __future__ import annotations

from typing import Any, NamedTuple

from wetend.jit.kinds import numbers

Given = Any
"""A number, or an array of one a pump."""

BULK_MODULUS, FREE_AIR, ATMOSPHERE, VAPOUR = 1.6e9, 0.003, 101_325.0, 1000.0
"""Of a coating (Pa), air it carries undissolved (of its volume), pressures (Pa)."""
GAS = ATMOSPHERE - VAPOUR
EMPTY = -0.99 * GAS
"""Lowest pressure in the line, over the atmosphere."""


class Cycled(NamedTuple):
    """A pump for the march (SI)."""

    force: Given
    bend: Given
    """Force lost to the square of speed, N s^2/m^2."""
    friction: Given
    drag: Given
    """N s/m"""
    stroke: Given
    reversal: Given
    control: Given
    """Pressure above which an electric drive lets go; a very high one for none."""
    upper: Given
    rod: Given
    filter: Given
    offset: Given
    """What the outlet takes: this, and in proportion to flow, and to its square."""
    straight: Given
    nozzle: Given
    volume: Given
    """Of the hoses."""
    growth: Given
    above: Given
    """Room of the chamber above the piston, joined to the hose on the up-stroke, in the mean."""
    below: Given
    """Of both chambers, joined to it on the down-stroke."""
    reference: Given
    power: Given
    """Of the leaks."""
    static_slow: Given
    static_fast: Given
    piston_slow: Given
    piston_fast: Given
    foot_slow: Given
    foot_fast: Given
    empty: Given
    """Share of the stroke that is not filled, but for what the suction cannot bring."""
    room: Given
    """Volume below the piston at the top, over what is swept."""
    sucked: Given
    """Pressure at the foot valve on the up-stroke, under the atmosphere."""
    through: Given
    """Pressure lost through the piston valve on the down-stroke."""
    intake: Given
    """Most that the suction brings, m^3/s."""
    held_back: Given
    """Share of what is swept that the air in the suction head yields as the pressure falls."""
    late: Given
    """Share of the stroke lost to the foot valve's ball."""
    late_up: Given
    """The same, to the piston valve's."""
    guess: Given
    """A first pressure."""


CYCLED = numbers(Cycled)
ROWS = len(Cycled._fields)


class Way(NamedTuple):
    """One way of the stroke."""

    area: Given
    given: Given
    """That area, less what the valve's ball takes back."""
    spare: Given
    """Force left after friction and suction."""
    slow: Given
    fast: Given
    """Leak past its valve."""
    room: Given
    """Of the chambers joined to the hose."""


WAY = numbers(Way)


class Tangent(NamedTuple):
    """A leak about a pressure: flow is this and in proportion to pressure."""

    flow: Given
    slope: Given


TANGENT = numbers(Tangent)


class Sums(NamedTuple):
    """Since the turn: content, time, time times pressure, delivered."""

    content: Given
    time: Given
    pressed: Given
    delivered: Given


SUMS = numbers(Sums)


class OneCycle(NamedTuple):
    """A cycle: the pressure it ends with, both strokes' times, and what is read."""

    end: Given
    up_time: Given
    down_time: Given
    gauge: Given
    volume: Given
    drop: Given


ONE_CYCLE = numbers(OneCycle)
