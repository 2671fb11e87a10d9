"""Where a run starts: a pump just arrived at the bottom of its stroke, or stalled half-way."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.physics.motion import layout as at
from wetend.physics.motion.packing import pack
from wetend.physics.motion.parameters import Gun, MotionParameters
from wetend.physics.motion.passages import content, curve

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

_HALVINGS = 60


@dataclass(eq=False)
class Start:
    """Arrays that a run takes and changes."""

    p: Array
    y: Array
    mode: Integers
    clock: Array


def _let_go(parameters: MotionParameters, pressure: float) -> float:
    """A pressure no higher than that at which a drive that watches it lets go."""
    control = parameters.drive.control
    return min(pressure, control) if control > 0 else pressure


def spraying_guess(parameters: MotionParameters, p: Array) -> tuple[float, float]:
    """Pump pressure over the atmosphere and flow of a tight pump, mean of both ways.

    By halving the pressure that the hose takes, at which drive and outlet agree.
    """
    drive, nozzle = parameters.drive, parameters.outlet.nozzle
    area = parameters.chambers.bore_area / 2
    most = area * drive.free_speed
    low, high = 0.0, drive.force / area
    for _ in range(_HALVINGS):
        along = 0.5 * (low + high)
        flow = curve(p, at.P_HOSE_CURVE, along)[0]
        taken = along + (1.0 / p[at.P_FILTER] + nozzle * flow) * flow
        left = drive.force * (1.0 - min(flow / most, 1.0) ** drive.droop) - drive.friction
        if taken * area < left:
            low = along
        else:
            high = along
    flow = curve(p, at.P_HOSE_CURVE, low)[0]
    pressure = low + (1.0 / float(p[at.P_FILTER]) + nozzle * flow) * flow
    return _let_go(parameters, pressure), flow


def _fill(parameters: MotionParameters, p: Array, place: float, line: tuple[float, float]) -> Array:
    """State of a pump standing at ``place`` with these pressures at gauge and gun."""
    nodes = parameters.outlet.nodes
    chambers = parameters.chambers
    air = parameters.liquid.atmosphere
    y = np.zeros(at.FIRST_NODE + nodes + at.SUMS)
    gauge, gun = (air + max(v, 0.0) for v in line)
    still = max(float(p[at.P_PUSH]), parameters.liquid.vapour_pressure + 0.02 * air)
    y[at.MS] = content(p, still, p[at.P_HEAD_VOLUME], p[at.P_HEAD_GIVE])
    below = float(p[at.P_DEAD_BELOW]) + chambers.bore_area * place
    above = float(p[at.P_DEAD_ABOVE]) + float(p[at.P_AREA_ABOVE]) * (chambers.stroke - place)
    y[at.M1] = content(p, gauge, below, 0.0)
    y[at.M2] = content(p, gauge, above, 0.0)
    y[at.X] = place
    pressures = np.linspace(gauge, gun, nodes)
    for i, pressure in enumerate(pressures):
        y[at.FIRST_NODE + i] = content(p, pressure, p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
    return y


def _mode(parameters: MotionParameters, trips: int) -> Integers:
    mode = np.zeros(at.MODES, np.int64)
    mode[at.M_FOOT], mode[at.M_PISTON] = at.SEATED, at.SEATED
    mode[at.M_SLIP] = 1
    mode[at.M_NODES] = parameters.outlet.nodes
    mode[at.M_TRIPS_WANTED] = trips
    use = parameters.gun.use
    mode[at.M_GUN] = 0 if use == "shut" else 1
    mode[at.M_GUN_KIND] = {"shut": at.GUN_SHUT, "open": at.GUN_OPEN, "pulsed": at.GUN_PULSED}[use]
    return mode


def _clock(parameters: MotionParameters) -> Array:
    clock = np.full(at.CLOCKS, np.inf)
    clock[at.C_NOW] = 0.0
    if parameters.gun.use == "pulsed":
        clock[at.C_GUN] = parameters.gun.on
    return clock


def at_bottom(parameters: MotionParameters, *, trips: int) -> Start:
    """A pump that has just come down, its line at the pressure it should spray with."""
    p = pack(parameters)
    pressure, flow = spraying_guess(parameters, p)
    if parameters.gun.use == "shut":
        line = (pressure, pressure)
    else:
        line = (pressure - flow / float(p[at.P_FILTER]), parameters.outlet.nozzle * flow**2)
    y = _fill(parameters, p, 0.0, line)
    mode, clock = _mode(parameters, trips), _clock(parameters)
    mode[at.M_WAY], mode[at.M_ROD] = -1, at.LOCKED
    clock[at.C_DWELL] = float(p[at.P_DWELL])
    return Start(p, y, mode, clock)


def stalled(parameters: MotionParameters, *, up: bool) -> Start:
    """A pump half-way with its gun shut and the drive's whole force on, near its stall pressure."""
    p = pack(parameters)
    chambers, drive = parameters.chambers, parameters.drive
    area = chambers.bore_area - chambers.rod_area if up else chambers.rod_area
    pressure = _let_go(parameters, max(drive.force - drive.friction, 0.0) / area)
    y = _fill(parameters, p, 0.5 * chambers.stroke, (pressure, pressure))
    if up:
        below = float(p[at.P_DEAD_BELOW]) + 0.5 * chambers.bore_area * chambers.stroke
        y[at.M1] = content(p, max(float(p[at.P_PUSH]), 0.2 * parameters.liquid.atmosphere),
                           below, 0.0)  # fmt: skip
    y[at.BUILT] = 1.0
    shut = replace(parameters, gun=Gun("shut"))
    mode, clock = _mode(shut, 1), _clock(shut)
    mode[at.M_WAY], mode[at.M_ROD] = (1 if up else -1), at.STUCK
    return Start(p, y, mode, clock)
