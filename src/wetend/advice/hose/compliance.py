r"""Readings of a spraying pump with hose compliance: one balance over the whole cycle.

Taken stroke by stroke, each way of the pump finds its own pressure. A hose holds its pressure from
stroke to stroke instead: both ways work against nearly the same, a pause or an empty cylinder lets
it fall, and what a leak takes from one stroke quickens both. With the hose's mean pressure p,

.. math::

    F (1 - v_i^2/v_0^2) = (p + R_f A_i v_i) A_i + F_f, \qquad
    Q = \frac{V}{T_u + T_d + 2 t_r}, \qquad p = p_n r^2 + p_r r, \quad r = Q / Q_0

where V is what both strokes deliver less leaks and what the drop e at the start of the down-stroke
draws back, e S A_u; the rod drops freely, pushed by p on A_u. What the outlet takes is held to the
nozzle's share p_n and the rest p_r of the steady model's own pressures at its flow Q_0, leaks to
the root of pressure. The hose's pressure still swings by

.. math:: \rho = 1 - \left(\frac{\tau}{T_u} + \frac{\tau}{T_d}\right)
          \frac{(1 - a)(1 - b)}{1 - ab}, \qquad a = e^{-T_u/\tau}, \; b = e^{-T_d/\tau}

of what the two ways differ by when each finds its own, with the time constant tau of hose and
liquid against nozzle and drive (periodic answer of a first-order lag, any textbook). The drop, fed
from the hose, adds a saw-tooth: its volume over the hose's give at once, made good over the rest of
the cycle. Held against the model in time by the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.physics.stroke.parameters import OneWay, StrokeParameters, StrokeState
from wetend.pump.description import Pump
from wetend.units.quantity import M3PerPa, Pa, Ratio

Array = NDArray[np.float64]

BULK_MODULUS, FREE_AIR, CLOSING = 1.6e9, 0.003, 0.004
"""Of a coating (Pa), air it carries undissolved (of its volume), stroke lost to closing balls."""
_CHUNK = 8192
_ROUNDS = 3
_CLOSE = 1e-8
_LEAST = 1e-9
_MOST_DROP = 0.95


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


def give_of(pump: Pump) -> M3PerPa:
    """Volume the hoses take up per pressure, walls and liquid."""
    return sum(h.growth + math.pi / 4 * h.bore**2 * h.length / BULK_MODULUS for h in pump.hose)


def squeezed(pump: Pump, pressure: Pa | Array) -> Array:
    """Share of the stroke that goes into squeezing what is below the piston, and closing balls."""
    spare = pump.cylinder.length - pump.stroke - pump.moving_packings.height
    room = 1.0 + max(0.5 * spare / pump.stroke, 0.1)
    lost = (np.asarray(pressure) / BULK_MODULUS + FREE_AIR) * room + CLOSING
    return np.asarray(np.minimum(lost, 0.3))


@dataclass(frozen=True, eq=False)
class _Way:
    """One way, ready to be run against any hose pressure."""

    area: float
    spare: Array
    """Force left after friction, N."""
    bend: Array
    """N s^2/m^2: force lost to speed."""
    filter: Array
    lost: Array
    """Leaks over the root of pressure."""

    def run(self, pressure: Array) -> tuple[Array, Array]:
        """Speed and flow."""
        held = self.filter * self.area * self.area
        left = np.maximum(self.spare - pressure * self.area, _LEAST * self.spare + 1e-12)
        speed = 2.0 * left / (held + np.sqrt(held * held + 4.0 * self.bend * left))
        return speed, self.area * speed - self.lost * np.sqrt(np.maximum(pressure, 0.0))


@dataclass(frozen=True, eq=False)
class _Run:
    """A chunk of pumps at one guess of the hose's pressure."""

    pressure: Array
    volume: Array
    up: Array
    """Time of the up-stroke without its pause."""
    down: Array
    quick: Array
    """Time of the drop."""
    surplus: Array
    """Flow given less flow taken."""
    speeds: tuple[Array, Array]


@dataclass(frozen=True, eq=False)
class _Balance:
    """A chunk of pumps with everything the balance needs."""

    up: _Way
    down: _Way
    stroke: float
    pause: Array
    drop: Array
    flow: Array
    nozzle: Array
    """Of the pressure at that flow, the nozzle's part and the rest."""
    rest: Array
    apart: Array
    """By how much the two ways differ when each finds its own pressure."""
    stall: Array
    """The lower of both ways' pressures with the rod at rest."""
    give: M3PerPa

    def taken(self, pressure: Array) -> Array:
        """Flow the outlet takes at a pressure."""
        root = np.sqrt(self.rest * self.rest + 4.0 * self.nozzle * pressure)
        return np.asarray(2.0 * self.flow * pressure / np.maximum(self.rest + root, 1e-9))

    def run(self, pace: Array, swing: tuple[Array, Array]) -> _Run:
        """The cycle with the hose at the pressure that leaves the drive this pace."""
        pressure = self.stall * (1.0 - pace * pace)
        high, low = pressure + swing[0], np.maximum(pressure - swing[1], 0.0)
        (up, up_flow), (down, down_flow) = self.up.run(high), self.down.run(low)
        free = np.sqrt((self.up.spare + pressure * self.up.area) / self.up.bend)
        up_time, down_time = self.stroke / up, self.stroke * (1.0 - self.drop) / down
        back = self.drop * self.stroke
        volume = up_flow * up_time + down_flow * down_time - back * self.up.area
        volume = np.maximum(volume, 0.0)
        quick = back / np.maximum(free, _LEAST)
        down_time = down_time + quick
        given = volume / (up_time + down_time + 2.0 * self.pause)
        return _Run(
            pressure, volume, up_time, down_time, quick, given - self.taken(pressure), (up, down)
        )

    def swing(self, run: _Run) -> tuple[Array, Array]:
        """By how much the hose stands above its mean going up, and below it going down."""
        ratio = self.taken(run.pressure) / self.flow
        resistance = (2.0 * self.nozzle * ratio + self.rest) / self.flow
        droop = 0.25 * (self.up.area**2 / (self.up.bend * run.speeds[0])
                        + self.down.area**2 / (self.down.bend * run.speeds[1]))  # fmt: skip
        lag = self.give / (1.0 / np.maximum(resistance, 1.0) + droop)
        up, down = run.up + self.pause, run.down + self.pause
        a, b = np.exp(-up / lag), np.exp(-down / lag)
        part = (1.0 - a) * (1.0 - b) / np.maximum(1.0 - a * b, 1e-12)
        left = np.clip(1.0 - (lag / up + lag / down) * part, 0.0, 1.0) * self.apart
        fed = self.drop * self.stroke * self.up.area + self.flow * ratio * run.quick
        left += 0.5 * np.minimum(fed / self.give, run.pressure)
        share = up / (up + down)
        return left * (1.0 - share), left * share

    def solve(self) -> _Run:
        """The cycle that gives what the outlet takes: the secant, kept in its bracket."""
        guess = (self.nozzle + self.rest) * (1.0 - self.drop)
        pace = np.sqrt(np.clip(1.0 - guess / self.stall, 1e-4, 1.0))
        still = np.zeros_like(pace)
        first = self.run(pace, (still, still))
        swing = self.swing(first)
        slope = (first.surplus + self.taken(first.pressure)) / pace
        slope += self.taken(first.pressure) * pace / np.maximum(1.0 - pace * pace, 0.05)
        before, was = pace, first.surplus
        pace = np.clip(pace - was / np.maximum(slope, 1e-30), 1e-4, 1.0)
        below, above = still, np.ones_like(pace)
        for _ in range(_ROUNDS):
            run = self.run(pace, swing)
            below = np.where(run.surplus < 0, pace, below)
            above = np.where(run.surplus < 0, above, pace)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = pace - run.surplus * (pace - before) / (run.surplus - was)
            before, was = pace, run.surplus
            found = np.abs(was) <= _CLOSE * self.flow
            inside = (step > below) & (step < above)
            pace = np.where(found, pace, np.where(inside, step, 0.5 * (below + above)))
        return self.run(pace, swing)


def _way(
    parameters: StrokeParameters, way: OneWay, piece: slice, force: Array, *, up: bool
) -> _Way:
    drive, size = parameters.drive, len(way.speed)
    free = _part(drive.free_speed, size, piece)
    pressure = np.maximum(way.pressure[piece], 1.0)
    return _Way(
        area=parameters.upper_area if up else parameters.rod_area,
        spare=np.maximum(force - _part(drive.friction, size, piece), 0.0),
        bend=force / (free * free),
        filter=_part(parameters.outlet.filter_resistance, size, piece),
        lost=(way.leak[piece] + way.static_leak[piece]) / np.sqrt(pressure),
    )


def _part(value: object, size: int, piece: slice) -> Array:
    return np.broadcast_to(np.asarray(value, dtype=float), (size,))[piece]


def _balance(
    pump: Pump, parameters: StrokeParameters, state: StrokeState, empty: Array, piece: slice
) -> _Balance:
    size, drive = len(state.flow), parameters.drive
    force = np.maximum(_part(drive.stall_force, size, piece), _LEAST)
    up, down = state.up, state.down
    flow = np.maximum(0.5 * (up.flow[piece] + down.flow[piece]), 1e-12)
    gauge = 0.5 * (up.gauge[piece] + down.gauge[piece])
    spare = np.maximum(force - _part(drive.friction, size, piece), 0.0)
    nozzle = np.minimum(0.5 * (up.nozzle_pressure[piece] + down.nozzle_pressure[piece]), gauge)
    return _Balance(
        up=_way(parameters, up, piece, force, up=True),
        down=_way(parameters, down, piece, force, up=False),
        stroke=float(drive.stroke), pause=_part(drive.reversal, size, piece),
        drop=np.minimum(empty[piece] + squeezed(pump, gauge), _MOST_DROP),
        flow=flow, nozzle=nozzle, rest=gauge - nozzle,
        apart=up.gauge[piece] - down.gauge[piece], give=max(give_of(pump), 1e-18),
        stall=np.maximum(spare / max(parameters.upper_area, parameters.rod_area), 1.0),
    )  # fmt: skip


def _run(balance: _Balance) -> Spraying:
    run = balance.solve()
    up, down = run.up + balance.pause, run.down + balance.pause
    return Spraying(
        up_time=up, down_time=down, gauge=run.pressure, cycle_rate=1.0 / (up + down),
        cycle_volume=run.volume, drop=balance.drop,
    )  # fmt: skip


def spraying(
    pump: Pump, parameters: StrokeParameters, state: StrokeState, *, empty: Array | Ratio = 0.0
) -> Spraying:
    """Spraying pumps with the hose's give.

    Args:
        pump: as described, for its hoses and dead room.
        parameters: what the steady model was told, its filling left out of account.
        state: what it answered.
        empty: share of the down-stroke that the rod drops before it meets liquid and a shut valve.
    """
    size = len(state.flow)
    lost = np.broadcast_to(np.asarray(empty, dtype=float), (size,))
    parts = [
        _run(_balance(pump, parameters, state, lost, slice(at, min(at + _CHUNK, size))))
        for at in range(0, size, _CHUNK)
    ]
    if len(parts) == 1:
        return parts[0]
    return Spraying(**{name: np.concatenate([vars(p)[name] for p in parts])
                       for name in vars(parts[0])})  # fmt: skip
