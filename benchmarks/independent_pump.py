"""A spraying pump simulated without the package's physics: another's pump, to try the diagnosis on.

Quasi-steady: at each moment the rod's speed follows from a balance of forces; what hose and liquid
hold carries the pressure from one moment to the next. Laws and figures are its own: leaks are part
laminar and part orifice, the drive droops by another power of speed, and dimensions, friction,
viscosity, hose, nozzle and gauge all differ a little from the pump's description. Common practice
and textbook formulas, from memory; no source for the spreads.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetend.pump.coating import Coating
from wetend.pump.description import Pump

Array = NDArray[np.float64]

GRID = 240
"""Pressures at which speeds and flows are tabulated."""
FALLING = 0.9
"""Of its speed without load, at which the rod drops through an empty cylinder."""


@dataclass
class Truth:
    """How a pump truly is: factors over its description, leaks over the stroke's own flow."""

    bore: float = 1.0
    rod: float = 1.0
    stroke: float = 1.0
    force: float = 1.0
    """All that makes force but the supply."""
    supply: float = 1.0
    droop: float = 2.0
    """Power of speed by which the force falls."""
    friction: float = 1.0
    free_speed: float = 1.0
    viscosity: float = 1.0
    nozzle: float = 1.0
    """Area."""
    filter: float = 1.0
    hose: float = 1.0
    """How much it swells."""
    laminar: float = 0.5
    """Share of a leak at stall that is laminar; the rest goes by the root of the pressure."""
    foot: float = 0.0
    piston: float = 0.0
    rod_seal: float = 0.0
    outside: float = 0.0
    """Leaks at stall over what the sound pump delivers a second."""
    filter_blocked: float = 0.0
    line_blocked: float = 0.0
    """Pressure they take at the sound pump's flow, over its gauge."""
    empty: float = 0.0
    """Share of the down-stroke that finds nothing, or no shut valve."""
    slow_empty: float = 0.0
    """The same at a third of the pace."""
    pause: float = 0.0
    """s longer at each turn."""
    wrong_coating: Coating | None = None
    """What is truly in it, where another was said."""


@dataclass
class Shown:
    """What the pump truly shows (SI)."""

    up_time: float
    down_time: float
    gauge: float
    flow: float
    drop: float
    slow_drop: float
    pause: float
    stall_up: float
    stall_down: float
    creep_up: float
    creep_down: float
    supply: float
    leaks: dict[str, float] = field(default_factory=dict)
    """At stall, m^3/s."""

    @property
    def cycle(self) -> float:
        """Time of a whole cycle, s."""
        return self.up_time + self.down_time


def hose_loss(coating: Coating, thick: float, flow: Array, bore: float, length: float) -> Array:
    """Pressure lost in a hose: laminar by the wall's shear rate, or turbulent after Blasius."""
    speed = flow / (math.pi / 4 * bore**2)
    rate = np.maximum(8.0 * speed / bore, 1e-6)
    wall = thick * _stress(coating, rate)
    apparent = wall / rate
    reynolds = np.maximum(coating.density * speed * bore / apparent, 1e-6)
    turbulent = 0.0395 * reynolds**-0.25 * coating.density * speed**2
    return np.asarray(4.0 * length / bore * np.where(reynolds > 3000.0, np.maximum(wall, turbulent),
                                                     wall))  # fmt: skip


def _stress(coating: Coating, rate: Array) -> Array:
    """Shear stress at a pipe's wall by its nominal shear rate, near enough for any law."""
    if coating.law == "newtonian":
        return np.asarray((coating.viscosity or 0.1) * rate)
    if coating.law == "power-law":
        n = coating.index or 1.0
        turned = ((3.0 * n + 1.0) / (4.0 * n) * rate) ** n
        return np.asarray((coating.consistency or 1.0) * turned)
    if coating.law == "herschel-bulkley":
        n = coating.index or 1.0
        turned = ((3.0 * n + 1.0) / (4.0 * n) * rate) ** n
        return np.asarray(1.1 * (coating.yield_stress or 0.0) + (coating.consistency or 1.0)
                          * turned)  # fmt: skip
    if coating.law == "casson":
        thick = np.sqrt((coating.casson_viscosity or 0.1) * rate)
        return np.asarray((np.sqrt(coating.yield_stress or 0.0) + thick) ** 2)
    plastic = (coating.plastic_viscosity or 0.1) * rate
    return np.asarray(4.0 / 3.0 * (coating.yield_stress or 0.0) + plastic)


def _root(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Roots of a rising function, by halving."""
    low, high = np.array(low, dtype=float), np.array(high, dtype=float)
    for _ in range(50):
        middle = 0.5 * (low + high)
        over = function(middle) > 0
        high, low = np.where(over, middle, high), np.where(over, low, middle)
    return 0.5 * (low + high)


class IndependentPump:
    """One pump with its truth, run to what it shows."""

    def __init__(self, pump: Pump, coating: Coating, truth: Truth) -> None:
        self.pump, self.truth = pump, truth
        self.coating = truth.wrong_coating or coating
        bore = pump.cylinder.bore * truth.bore
        rod = pump.rod.diameter * truth.rod
        self.bore_area, self.rod_area = math.pi / 4 * bore**2, math.pi / 4 * rod**2
        self.upper = self.bore_area - self.rod_area
        self.stroke = pump.stroke * truth.stroke
        drive = pump.drive
        described = 0.5 * drive.supply_rated * drive.ratio * pump.bore_area
        self.force = described * truth.force * truth.supply
        self.free = self.stroke / (drive.free_speed * truth.free_speed)
        self.friction = truth.friction * (
            drive.friction + pump.moving_packings.friction + pump.static_packings.friction
        )
        self.reference = (described - self.friction / max(truth.friction, 1e-9)) * (
            0.5 / pump.upper_area + 0.5 / pump.rod_area
        )
        volume = sum(math.pi / 4 * h.bore**2 * h.length for h in pump.hose)
        self.give = truth.hose * sum(h.growth for h in pump.hose) + volume / 1.5e9
        self.usual_flow = 1.0
        self.usual_gauge = 0.5 * self.reference
        self.most = 1.6 * max(self.force / min(self.upper, self.rod_area), self.reference)
        self.pressures = np.linspace(0.0, self.most, GRID)

    # what leaves
    def _leak(self, share: float, pressure: Array) -> Array:
        r = np.maximum(pressure, 0.0) / self.reference
        laminar = self.truth.laminar
        thin = 1.0 / self.truth.viscosity
        size = share * self.usual_flow
        return np.asarray(size * (laminar * thin * r + (1.0 - laminar) * np.sqrt(r)))

    def _sprayed(self, opened: float) -> Array:
        """Flow through line and nozzle by the gauge."""
        hole = math.pi / 4 * self.pump.nozzle.orifice**2 * self.truth.nozzle * opened
        rate = self.pump.nozzle.discharge_coefficient * hole
        block = self.truth.line_blocked * self.usual_gauge / max(self.usual_flow, 1e-12)

        def over(flow: Array) -> Array:
            lost = sum(hose_loss(self.coating, self.truth.viscosity, flow, h.bore, h.length)
                       for h in self.pump.hose)  # fmt: skip
            nozzle = 0.5 * self.coating.density * (flow / rate) ** 2
            return np.asarray(lost + nozzle + block * flow - self.pressures)

        most = rate * np.sqrt(2.0 * self.pressures / self.coating.density) + 1e-15
        return _root(over, np.zeros(GRID), most)

    def _speeds(self, area: float, leak: float) -> tuple[Array, Array]:
        """Rod speed and delivery into the line by the gauge, one way."""
        t, clean = (
            self.truth,
            self.pump.filter.clean_loss
            / (self.pump.displacement * self.pump.limits.cycle_rate_high),
        )
        resistance = clean * t.filter * t.viscosity
        resistance += t.filter_blocked * self.usual_gauge / max(self.usual_flow, 1e-12)

        def inside(v: Array) -> Array:
            flow = area * v
            pressure = self.pressures + resistance * flow
            for _ in range(2):
                flow = np.maximum(area * v - self._leak(leak + t.rod_seal, pressure), 0.0)
                pressure = self.pressures + resistance * flow
            return np.asarray(pressure)

        def over(v: Array) -> Array:
            push = self.force * (1.0 - (v / self.free) ** t.droop)
            return np.asarray(inside(v) * area + self.friction - push)

        v = _root(over, np.zeros(GRID), np.full(GRID, self.free))
        if self.pump.drive.kind == "electric":  # its control lets go at the pressure it is set to
            limit = self.pump.drive.supply_rated * self.pump.drive.ratio * t.supply * t.force
            v = v * np.clip((limit - inside(v)) / (0.02 * limit), 0.0, 1.0)
        return v, area * v - self._leak(leak + t.rod_seal, inside(v))

    def run(self, *, opened: float = 1.0, slow: bool = False) -> tuple[float, float, float, float,
                                                                       float]:  # fmt: skip
        """Up time, down time, mean gauge, delivery and drop, once it repeats."""
        t = self.truth
        out = self._sprayed(opened) + self._leak(t.outside, self.pressures)
        up = self._speeds(self.upper, t.piston)
        down = self._speeds(self.rod_area, t.foot)
        empty = t.slow_empty if slow else t.empty
        step_p = self.pressures[1]
        pause = self.pump.drive.reversal + t.pause

        def at(table: Array, p: float) -> tuple[float, float]:
            k = min(max(int(p / step_p), 0), GRID - 2)
            slope = (table[k + 1] - table[k]) / step_p
            return float(table[k] + slope * (p - k * step_p)), float(slope)

        def moved(p: float, table: Array | None, dt: float) -> float:
            net, slope = at(-out if table is None else table - out, p)
            return max(p + dt * net / (self.give - dt * min(slope, 0.0)), 0.0)

        nets = {True: up[1] - out, False: down[1] - out}
        p = float(np.interp(0.0, -(0.5 * (up[1] + down[1]) - out), self.pressures))
        last: tuple[float, ...] = ()
        for _ in range(60):
            start, whole, pressed = p, 0.0, 0.0
            times = {}
            drop = 0.0
            for going_up in (True, False):
                spent, x = 0.0, 0.0
                if not going_up:
                    squeezed = 0.25 * p / 1.5e9 + 0.004
                    drop = min(empty + squeezed, 0.95)
                    quick = FALLING * self.free
                    spent += drop * self.stroke / quick
                    p = max(p - self.upper * drop * self.stroke / self.give, 0.0)
                    p = moved(p, None, spent)
                    x, whole, pressed = drop * self.stroke, whole + spent, pressed + spent * p
                speeds = up[0] if going_up else down[0]
                while x < self.stroke and spent < 600.0:
                    v = max(at(speeds, p)[0], 1e-9)
                    dt = min(0.02, 0.02 * self.stroke / v, (self.stroke - x) / v + 1e-9)
                    net, slope = at(nets[going_up], p)
                    p = max(p + dt * net / (self.give - dt * min(slope, 0.0)), 0.0)
                    x, spent, whole = x + v * dt, spent + dt, whole + dt
                    pressed += p * dt
                p = moved(p, None, pause)
                pressed, whole = pressed + p * pause, whole + pause
                times[going_up] = spent + pause
            gauge = pressed / whole
            last = (times[True], times[False], gauge, at(out, gauge)[0], drop)
            if abs(p - start) < 0.002 * max(start, 1e5):
                break
        leaked = float(self._leak(t.outside, np.array([last[2]]))[0])
        return last[0], last[1], last[2], last[3] - leaked, last[4]

    def _stalled(self, area: float, leak: float) -> tuple[float, float]:
        """Pressure and creep with the gun shut."""
        t = self.truth
        lost = self._leak(leak + t.rod_seal + t.outside, self.pressures)
        v = lost / area
        push = self.force * (1.0 - np.minimum(v / self.free, 1.0) ** t.droop)
        left = (push - self.friction) / area - self.pressures
        p = float(np.interp(0.0, -left, self.pressures))
        if self.pump.drive.kind == "electric":
            p = min(p, self.pump.drive.supply_rated * self.pump.drive.ratio * t.supply * t.force)
        return p, float(np.interp(p, self.pressures, v))

    def shown(self, sound: Shown | None = None) -> Shown:
        """What it shows; leaks and blockages are sized by what the sound pump shows."""
        if sound is not None:
            self.usual_flow, self.usual_gauge = sound.flow, sound.gauge
        up, down, gauge, flow, drop = self.run()
        slow_drop = self.run(opened=0.25, slow=True)[4]
        stall_up, creep_up = self._stalled(self.upper, self.truth.piston)
        stall_down, creep_down = self._stalled(self.rod_area, self.truth.foot)
        middle = np.array([0.5 * (stall_up + stall_down)])
        leaks = {name: float(self._leak(getattr(self.truth, name), middle)[0])
                 for name in ("foot", "piston", "rod_seal", "outside")}  # fmt: skip
        return Shown(
            up, down, gauge, flow, drop, slow_drop, self.pump.drive.reversal + self.truth.pause,
            stall_up, stall_down, creep_up, creep_down,
            self.pump.drive.supply_rated * self.truth.supply, leaks,
        )  # fmt: skip
