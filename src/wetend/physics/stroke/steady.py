r"""The steady stroke: speeds, pressures and flow of a double-acting pump with its leaks.

Up-stroke: foot valve open, piston valve shut; the annulus A_u delivers, and what passes the piston
valve and the moving packings falls back. Down-stroke: foot valve shut, piston valve open; the rod's
area A_r delivers, and what passes the foot valve runs back to the tin. Either way the static
packings lose to the outside. For each way, with area A,

.. math::

    F (1 - v^2/v_0^2) = p A + F_f, \qquad
    Q = A v - q(p), \qquad
    p = R Q + \Delta p_h(Q) + \tfrac{\rho}{2} \left(\frac{Q}{C_d A_n}\right)^2

Valid where the pressure settles early in the stroke: reversals, compression, inertia and the
suction's part in the force (under 1 bar in hundreds) are left out. Source: force and volume
balance; drive droop by the square of speed is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.physics.stroke.gap import FloatOrArray, LeakRate, blend
from wetend.physics.stroke.kernel import COMPILED, steady_of_many
from wetend.physics.stroke.losses import LossReader
from wetend.physics.stroke.parameters import (
    Leaks,
    OneWay,
    StrokeParameters,
    StrokeState,
)
from wetend.physics.stroke.rows import LEAST_RATIO, SLOWEST
from wetend.roots import rising_roots

Array = NDArray[np.float64]

_CHUNK = 8192
_WORTH_COMPILING = 400
"""Pumps from which the compiled solver is used."""


def _full(value: FloatOrArray, size: int) -> Array:
    return np.ascontiguousarray(np.broadcast_to(np.asarray(value, dtype=float), (size,)))


@dataclass(frozen=True, eq=False)
class _Way:
    """One way of the stroke, one chunk of pumps, ready to be solved for x = v / v_0."""

    area: float
    pull: Array
    """F / A, the pressure of a frictionless stall."""
    reach: Array
    """1 - friction / F, at least 0: the square of the fastest x."""
    sweep: Array
    """A v_0"""
    valve: LeakRate
    static: LeakRate
    reference: float
    power: float

    def pressure(self, x: Array) -> Array:
        return self.pull * np.maximum(self.reach - x * x, 0.0)

    def leaks(self, pressure: Array) -> tuple[Array, Array, Array]:
        """Through valve and packings, through the static packings, and the slope of both."""
        ratio = np.maximum(pressure * (1.0 / self.reference), LEAST_RATIO)
        raised = None if self.power == 1.0 else ratio**self.power
        past, past_slope = blend(self.valve, ratio, self.power, ratio_power=raised)
        out, out_slope = blend(self.static, ratio, self.power, ratio_power=raised)
        return past, out, (past_slope + out_slope) * (1.0 / self.reference)

    def surplus(self, x: Array) -> tuple[Array, Array, Array]:
        """Pressure, delivered flow and its slope with x."""
        pressure = self.pressure(x)
        past, out, slope = self.leaks(pressure)
        return (pressure, self.sweep * x - past - out, self.sweep + 2.0 * self.pull * x * slope)

    def stall(self) -> Array:
        """The x at which nothing is delivered: the creep against a shut gun."""
        high = np.sqrt(self.reach)
        past, out, _ = self.leaks(self.pressure(np.zeros_like(high)))
        guess = np.minimum((past + out) / np.maximum(self.sweep, 1e-300), high)

        def residual(x: Array) -> tuple[Array, Array]:
            _, flow, slope = self.surplus(x)
            return flow, slope

        return rising_roots(residual, np.zeros_like(high), high, start=guess, tolerance=1e-13)

    def spray(self, outlet: _Outlet, stalled: Array) -> Array:
        """The x at which the outlet takes just the pressure that the drive has left."""
        high = np.maximum(np.sqrt(self.reach), stalled)
        square = outlet.nozzle * self.sweep * self.sweep
        guess = high * np.sqrt(self.pull / np.maximum(self.pull + square, 1e-300))

        def residual(x: Array) -> tuple[Array, Array]:
            pressure, flow, slope = self.surplus(x)
            taken, resistance = outlet.taken(flow)
            return taken - pressure, resistance * slope + 2.0 * self.pull * x

        return rising_roots(residual, stalled, high, start=guess, tolerance=1e-11)


@dataclass(frozen=True, eq=False)
class _Outlet:
    hose: LossReader
    filter: Array
    line_resistance: Array
    nozzle: Array

    def taken(self, flow: Array) -> tuple[Array, Array]:
        """Pressure the outlet takes at a flow, and its slope."""
        flow = np.maximum(flow, 0.0)
        loss, slope = self.hose.at(flow)
        straight = self.filter + self.line_resistance
        return (
            loss + (straight + self.nozzle * flow) * flow,
            slope + straight + 2.0 * self.nozzle * flow,
        )


def _part(rate: LeakRate, size: int, piece: slice) -> LeakRate:
    return LeakRate(_full(rate.laminar, size)[piece], _full(rate.inertial, size)[piece])


def _run_way(
    parameters: StrokeParameters, way: _Way, outlet: _Outlet, piece: slice, size: int
) -> OneWay:
    drive = parameters.drive
    free = _full(drive.free_speed, size)[piece]
    stalled = way.stall()
    x = way.spray(outlet, stalled)
    pressure, flow, _ = way.surplus(x)
    flow = np.maximum(flow, 0.0)
    past, out, _ = way.leaks(pressure)
    speed = np.maximum(x * free, SLOWEST)
    reversal = _full(drive.reversal, size)[piece]
    return OneWay(
        speed=speed,
        time=drive.stroke / speed + reversal,
        pressure=pressure,
        gauge=np.maximum(pressure - outlet.filter * flow, 0.0),
        nozzle_pressure=outlet.nozzle * flow * flow,
        flow=flow,
        leak=past,
        static_leak=out,
        stall_pressure=way.pressure(stalled),
        creep=stalled * free,
    )


def _way(parameters: StrokeParameters, leaks: Leaks, piece: slice, size: int, *, up: bool) -> _Way:
    area = parameters.upper_area if up else parameters.rod_area
    drive = parameters.drive
    force = np.maximum(_full(drive.stall_force, size)[piece], 1e-9)
    friction = _full(drive.friction, size)[piece]
    return _Way(
        area=area,
        pull=force / area,
        reach=np.clip(1.0 - friction / force, 0.0, 1.0),
        sweep=area * _full(drive.free_speed, size)[piece],
        valve=_part(leaks.piston if up else leaks.foot, size, piece),
        static=_part(leaks.static, size, piece),
        reference=leaks.reference,
        power=leaks.power,
    )


def _starved(down: OneWay, parameters: StrokeParameters, share: Array, free: Array) -> OneWay:
    """The down-stroke of a cylinder not filled: free until the piston meets liquid."""
    empty = 1.0 - share
    stroke = parameters.drive.stroke
    quick = stroke * empty / np.maximum(free, SLOWEST)
    working = stroke * share / down.speed
    reversal = down.time - stroke / down.speed
    return OneWay(**{**vars(down), "time": quick + working + reversal})


def _chunk(parameters: StrokeParameters, piece: slice, size: int) -> StrokeState:
    line = parameters.outlet
    outlet = _Outlet(
        line.hose.reader(_full(line.viscosity, size)[piece]),
        *(_full(v, size)[piece] for v in (line.filter_resistance, line.line_resistance,
                                          line.nozzle)),
    )  # fmt: skip
    ways = [_way(parameters, parameters.leaks, piece, size, up=up) for up in (True, False)]
    up, down = (_run_way(parameters, way, outlet, piece, size) for way in ways)
    share = np.clip(_full(parameters.filling, size)[piece], 0.0, 1.0)
    free = _full(parameters.drive.free_speed, size)[piece]
    down = _starved(down, parameters, share, free)
    return _cycle(up, down, parameters, share)


def _cycle(up: OneWay, down: OneWay, parameters: StrokeParameters, share: Array) -> StrokeState:
    stroke = parameters.drive.stroke
    up_run, down_run = stroke / up.speed, share * stroke / down.speed
    cycle = up.time + down.time
    drawn_back = (1.0 - share) * stroke * parameters.upper_area
    volume = np.maximum(up.flow * up_run + down.flow * down_run - drawn_back, 0.0)
    pumping = np.maximum(up_run + down_run, 1e-12)
    return StrokeState(
        up=up,
        down=down,
        cycle_rate=1.0 / cycle,
        flow=volume / cycle,
        gauge=(up.gauge * up_run + down.gauge * down_run) / pumping,
        stall_pressure=0.5 * (up.stall_pressure + down.stall_pressure),
    )


def _size(parameters: StrokeParameters) -> int:
    drive, line, leaks = parameters.drive, parameters.outlet, parameters.leaks
    values = [
        drive.stall_force, drive.free_speed, drive.friction, drive.reversal, line.viscosity,
        line.filter_resistance, line.line_resistance, line.nozzle, parameters.filling,
        *(side for rate in (leaks.foot, leaks.piston, leaks.static)
          for side in (rate.laminar, rate.inertial)),
    ]  # fmt: skip
    return int(np.broadcast_shapes((1,), *(np.shape(v) for v in values))[0])


def _join_ways(parts: list[OneWay]) -> OneWay:
    return OneWay(**{name: np.concatenate([vars(p)[name] for p in parts])
                     for name in vars(parts[0])})  # fmt: skip


def steady(parameters: StrokeParameters) -> StrokeState:
    """Run every pump described to its steady stroke.

    Every answer is finite: a rod that stands still is given 1e-9 m/s.

    Args:
        parameters: floats, or one-dimensional arrays of one length, mixed at will.

    See the module for formula, validity and source; there is a worked example in the tests.
    """
    size = _size(parameters)
    native = COMPILED.at_hand() if size >= _WORTH_COMPILING else None
    if native is not None:
        return steady_of_many(native["run"], parameters, size)
    return _few(parameters, size)


def _few(parameters: StrokeParameters, size: int) -> StrokeState:
    """Every pump by plain arrays, in chunks."""
    parts = [
        _chunk(parameters, slice(start, min(start + _CHUNK, size)), size)
        for start in range(0, size, _CHUNK)
    ]
    if len(parts) == 1:
        return parts[0]
    rest = ("cycle_rate", "flow", "gauge", "stall_pressure")
    return StrokeState(
        up=_join_ways([p.up for p in parts]),
        down=_join_ways([p.down for p in parts]),
        **{name: np.concatenate([vars(p)[name] for p in parts]) for name in rest},
    )
