"""Readings of a spraying pump, from its cycle: hose, cylinder, suction and balls together.

Taken stroke by stroke, each way of the pump finds its own pressure. A hose carries its pressure
from stroke to stroke instead, as far as it and the liquid in it give: :mod:`wetend.physics.cycle`
runs the cycle over and over until it ends as it began. What that needs to know of a pump, its
coating and its steady strokes is gathered here. Held against the model in time by the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.hose.inlet import SPEEDY, inlet_of, late
from wetend.physics.cycle.given import ATMOSPHERE
from wetend.physics.cycle.kernel import cycles_of
from wetend.physics.motion.packing import head_volume
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.parameters import StrokeParameters, StrokeState
from wetend.pump.description import Pump
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]

_NEVER = 1e12
"""Pa: setting of a drive that does not watch the pressure."""
_MOST_SUCKED = 0.8e5
_MEAN = 0.7
"""Share of what is swept that is in the chamber while its pressure rises, about."""
_CALM = 0.002
"""Share of the force that the model in time gives to drag, at the free speed and at any speed."""
_HEAD = 0.02
"""Share of the suction head's volume that its air yields: fitted to the model in time, on 200
random pumps."""


@dataclass(frozen=True, eq=False)
class Spraying:
    """What a spraying pump reads."""

    up_time: Array
    down_time: Array
    gauge: Array
    cycle_rate: Array
    cycle_volume: Array
    drop: Array
    """Share of the down-stroke gone quickly at its start."""

    @property
    def flow(self) -> Array:
        """Mean over the cycle."""
        return self.cycle_volume * self.cycle_rate


def _line(
    parameters: StrokeParameters, state: StrokeState, part: _Part
) -> tuple[Array, Array, Array]:
    """What the outlet takes, by a straight line between both strokes' flows and the nozzle."""
    outlet = parameters.outlet
    reader = outlet.hose.reader(part(outlet.viscosity))
    up, down = state.up.flow, state.down.flow
    high = np.maximum(np.maximum(up, down), 1e-12)
    low = np.clip(np.minimum(up, down), 1e-6 * high, 0.5 * high)  # a rod that stands has a line too
    upper, lower = reader.at(high)[0], reader.at(low)[0]
    slope = (upper - lower) / (high - low)
    offset = upper - slope * high
    bend = np.where(offset < 0.0, np.maximum((upper / high - lower / low) / (high - low), 0.0), 0.0)
    slope = np.where(offset < 0.0, np.maximum(upper / high - bend * high, 0.0), slope)
    return (
        np.maximum(offset, 0.0), slope + part(outlet.line_resistance), part(outlet.nozzle) + bend
    )  # fmt: skip


def _near(line: tuple[Array, Array, Array], state: StrokeState) -> Array:
    r"""Share of the hose's volume that is felt at the gauge.

    .. math:: (R_n + R_h / 2) / (R_n + R_h)

    with the resistances of hose and nozzle: a volume half-way along drives the rest of the way
    only (W. C. Elmore's time constant, 1948, from memory).
    """
    _, hose, nozzle = line
    out = 2.0 * nozzle * np.maximum(0.5 * (state.up.flow + state.down.flow), 1e-12)
    return np.asarray((out + 0.5 * hose) / np.maximum(out + hose, 1e-9))


@dataclass(frozen=True)
class _Part:
    """Makes arrays of one a pump."""

    size: int

    def __call__(self, value: object) -> Array:
        return np.broadcast_to(np.asarray(value, dtype=float), (self.size,))


def cycle_figures(
    pump: Pump, liquid: Liquid, parameters: StrokeParameters, state: StrokeState, empty: Array
) -> Array:
    """Rows for :func:`cycles_of`, in the order of ``Cycled``."""
    part, inlet = _Part(len(state.flow)), inlet_of(pump, liquid)
    drive, leaks, chambers = parameters.drive, parameters.leaks, inlet.wet_end.chambers
    force = np.maximum(part(drive.stall_force), 1e-9)
    free, viscosity, reversal = (
        part(drive.free_speed),
        part(parameters.outlet.viscosity),
        part(drive.reversal),
    )
    control = part(drive.control)
    drawn = chambers.bore_area * state.up.speed
    sucked = inlet.lift + inlet.table.reader(viscosity).at(drawn)[0] + inlet.vortex * drawn**2
    pushed = chambers.bore_area * state.down.speed
    pace, held = SPEEDY * free, 0.9 * reversal
    volume = sum(math.pi / 4 * h.bore**2 * h.length for h in pump.hose)
    line = _line(parameters, state, part)
    near = _near(line, state)
    rows = (
        force, force / free**2, part(drive.friction) + _CALM * force,
        _CALM * force / free, drive.stroke,
        reversal, np.where(control > 0.0, control, _NEVER), parameters.upper_area,
        parameters.rod_area, part(parameters.outlet.filter_resistance),
        *line, near * volume, near * sum(h.growth for h in pump.hose),
        chambers.dead_above + _MEAN * parameters.upper_area * chambers.stroke,
        chambers.dead_above + chambers.dead_below + _MEAN * chambers.bore_area * chambers.stroke,
        leaks.reference, leaks.power,
        *(side for rate in (leaks.static, leaks.piston, leaks.foot)
          for side in (rate.laminar, rate.inertial)),
        empty, 1.0 + chambers.dead_below / (chambers.bore_area * chambers.stroke),
        np.clip(sucked, 0.0, _MOST_SUCKED),
        np.minimum(inlet.through.reader(viscosity).at(pushed)[0], 0.1 * state.down.pressure),
        inlet.at(inlet.intake, viscosity),
        _HEAD * head_volume(inlet.wet_end.suction) / (chambers.bore_area * chambers.stroke),
        late(inlet, 0, viscosity, held, pace),
        late(inlet, 1, viscosity, held, 0.5 * pace),
        np.maximum(state.gauge, ATMOSPHERE),
    )  # fmt: skip
    return np.ascontiguousarray(np.stack([part(row) for row in rows]))


def spraying(
    pump: Pump, liquid: Liquid, parameters: StrokeParameters, state: StrokeState,
    *, empty: Array | Ratio = 0.0,
) -> Spraying:  # fmt: skip
    """Spraying pumps, their cycles settled.

    Args:
        pump: as described, for its hoses, suction and balls.
        liquid: in it, at the described viscosity.
        parameters: what the steady model was given, its filling left out of account.
        state: what it answered.
        empty: share of the down-stroke that the rod drops beyond what a sound pump's does.
    """
    lost = np.broadcast_to(np.asarray(empty, dtype=float), (len(state.flow),))
    cycle = cycles_of(cycle_figures(pump, liquid, parameters, state, lost))
    return Spraying(
        up_time=np.asarray(cycle.up_time), down_time=np.asarray(cycle.down_time),
        gauge=np.maximum(cycle.gauge, 0.0), cycle_rate=1.0 / (cycle.up_time + cycle.down_time),
        cycle_volume=np.maximum(cycle.volume, 0.0), drop=np.asarray(cycle.drop),
    )  # fmt: skip
