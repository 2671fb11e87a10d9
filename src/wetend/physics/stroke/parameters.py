"""The parameters of the steady stroke model: floats, or arrays with one entry a pump."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.physics.stroke.gap import FloatOrArray, LeakRate
from wetend.physics.stroke.losses import LossTable

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class DriveLine:
    """Drive and rod.

    ``stall_force`` is what the drive pulls and pushes with standing still; it falls with the square
    of speed to nothing at ``free_speed``, as the passages that feed the drive lose pressure by the
    square of flow.
    """

    stall_force: FloatOrArray
    """N, the same up and down."""
    free_speed: FloatOrArray
    """m/s with nothing against it."""
    friction: FloatOrArray
    """N, packings and drive together."""
    stroke: float
    reversal: FloatOrArray
    """s standing at each end."""
    control: FloatOrArray = 0.0
    """Outlet pressure above which an electric drive lets go, Pa; 0 for none."""


@dataclass(frozen=True, eq=False)
class OutletLine:
    """What stands after the outlet: filter, gauge, hose, nozzle, in that order."""

    hose: LossTable
    viscosity: FloatOrArray
    """Over the described one."""
    filter_resistance: FloatOrArray
    """Pa s/m^3 before the gauge."""
    line_resistance: FloatOrArray
    """Pa s/m^3 after the gauge, besides the hose: a blockage."""
    nozzle: FloatOrArray
    """Pa s^2/m^6: pressure over flow squared."""


@dataclass(frozen=True, eq=False)
class Leaks:
    """Leaks at the reference pressure; ``power`` is 1 over the liquid's flow index."""

    foot: LeakRate
    piston: LeakRate
    static: LeakRate
    reference: float
    """Pa"""
    power: float = 1.0


@dataclass(frozen=True, eq=False)
class StrokeParameters:
    """Everything the steady stroke model needs (SI)."""

    upper_area: float
    """A_u, annulus above the piston, m^2."""
    rod_area: float
    """A_r, m^2."""
    drive: DriveLine
    outlet: OutletLine
    leaks: Leaks
    filling: FloatOrArray = 1.0
    """Share of the cylinder that fills on the up-stroke."""


@dataclass(frozen=True, eq=False)
class OneWay:
    """One stroke's steady run, and the stall that ends it (SI arrays)."""

    speed: Array
    time: Array
    """With the reversal before it."""
    pressure: Array
    """In the pump, before the outlet filter."""
    gauge: Array
    """At the pump's outlet, after the filter."""
    nozzle_pressure: Array
    flow: Array
    """Delivered."""
    leak: Array
    """Lost past valve or packings, static packings left out."""
    static_leak: Array
    stall_pressure: Array
    creep: Array
    """Rod speed at stall."""


@dataclass(frozen=True, eq=False)
class StrokeState:
    """A cycle: both strokes with the figures that belong to both."""

    up: OneWay
    down: OneWay
    cycle_rate: Array
    flow: Array
    """Mean over the cycle."""
    gauge: Array
    """Mean over the cycle."""
    stall_pressure: Array
    """Mean of both ways."""


def nozzle_resistance(density: float, area: FloatOrArray, discharge: FloatOrArray) -> FloatOrArray:
    r"""Pressure over flow squared at a nozzle, Pa s^2/m^6.

    .. math:: \frac{p}{Q^2} = \frac{\rho}{2 C_d^2 A^2}

    Source: orifice equation, any textbook of fluid mechanics.

    >>> float(nozzle_resistance(1000.0, 1e-6, 1.0))
    5.00e14
    """
    return np.asarray(density / (2.0 * (np.asarray(discharge) * np.asarray(area)) ** 2))


def stall_force(
    supply: FloatOrArray, ratio: float, upper_area: float, rod_area: float
) -> FloatOrArray:
    r"""Force of a drive described by its ratio of outlet stall pressure to supply pressure.

    .. math:: F = p_s\, i\, \frac{A_u + A_r}{2} = p_s\, i\, A_b / 2

    The ratio is taken frictionless and as the mean of both ways, so a pump with A_b = 2 A_r stalls
    at supply times ratio, less friction, up and down. Source: definition.

    >>> float(stall_force(7e5, 40.0, 5e-4, 5e-4))
    14000.0
    """
    return np.asarray(np.asarray(supply) * (ratio * 0.5 * (upper_area + rod_area)))
