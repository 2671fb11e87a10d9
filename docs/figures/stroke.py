"""Figures of the theory pages on the steady stroke and on the stack, each beside a second route.

The second route of a stroke shares no function with ours: balances solved by SciPy's Brent, and losses of hose, nozzle
and leak by the fluids library.
"""

from __future__ import annotations

import json
import math

import numpy as np
from fluids.core import dP_from_K
from fluids.friction import one_phase_dP
from plot import Axis, Plot
from published import near, rows
from scipy.optimize import brentq

from wetend.advice.pump_physics import (
    Condition,
    described_friction,
    fastest,
    foot_path,
    rated_flow,
    stroke_parameters,
)
from wetend.physics.stackup import within
from wetend.physics.stroke.gap import Filling, GapPath, blend, leak_rate
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import demo_coatings, demo_pump

ENDS = 1.5
"""Velocity heads lost entering and leaving a gap."""


def _leak(gap: float, path: GapPath, *, viscosity: float, density: float, pressure: float) -> float:
    """A newtonian leak by Brent: viscous loss between plates and the fluids library's loss of the ends."""
    if gap <= 0 or pressure <= 0:
        return 0.0

    def over(flow: float) -> float:
        viscous = 12 * viscosity * path.length * flow / (path.width * gap**3)
        return viscous + dP_from_K(ENDS, rho=density, V=flow / (path.width * gap)) - pressure

    return float(brentq(over, 0.0, 10 * path.width * gap * math.sqrt(pressure / density), rtol=1e-12))


def stroke_leak() -> Plot:
    """Leak of oil past a piston by its clearance: Fox and McDonald, example 8.1."""
    given = json.loads(next(r for r in rows("fox-mcdonald-leakage") if r["id"] == "fox-8-1-calculator")["inputs"])
    viscosity, density, pressure = float(given["viscosity"].split()[0]), 880.0, 19e6
    path, oil = GapPath(width=math.pi * 0.025, length=0.015), Filling(viscosity, 1.0, density)

    def ours(gap: np.ndarray) -> np.ndarray:
        return blend(leak_rate(gap, path, oil, pressure=pressure), np.ones_like(gap), 1.0)[0]

    near(float(ours(np.array([5e-6]))[0]) * 1e9, 57.57, 1e-3)
    plot = Plot(Axis("clearance, µm", 1, 1000, log=True), Axis("leak, mm³/s", 0.1, 1e8, log=True))
    plot.law(lambda x: ours(x * 1e-6) * 1e9, "both in series (ours)", ink=0)
    plot.law(
        lambda x: leak_rate(x * 1e-6, path, oil, pressure=pressure).laminar * 1e9, "viscosity alone", ink=4, dash=1
    )
    plot.law(lambda x: leak_rate(x * 1e-6, path, oil, pressure=pressure).inertial * 1e9, "inertia alone", ink=4, dash=2)
    known = []
    for gap in (20e-6, 60e-6, 200e-6, 600e-6):
        other = _leak(gap, path, viscosity=viscosity, density=density, pressure=pressure)
        near(float(ours(np.array([gap]))[0]), other, 1e-6)
        known.append((gap * 1e6, other * 1e9))
    plot.points(*zip(*known, strict=True), label="Brent, ends by the fluids library", ink=2)
    return plot.points([5.0], [57.57], "Fox and McDonald, ex. 8.1", ink=1)


def _by_brent(pump: Pump, coating: Coating, gap: float) -> float:
    """Seconds of a down-stroke with the foot valve's gap, by the second route."""
    assert coating.viscosity is not None
    mu, rho, area = coating.viscosity, coating.density, pump.rod_area
    force = pump.drive.supply_rated * pump.drive.ratio * (pump.upper_area + pump.rod_area) / 2
    hole = math.pi / 4 * pump.nozzle.orifice**2
    filtered = pump.filter.clean_loss / rated_flow(pump)

    def taken(flow: float) -> float:
        hoses = sum(one_phase_dP(m=flow * rho, rho=rho, mu=mu, D=h.bore, L=h.length) for h in pump.hose)
        nozzle = dP_from_K(1 / pump.nozzle.discharge_coefficient**2, rho=rho, V=flow / hole)
        return filtered * flow + hoses + nozzle

    def over(speed: float) -> float:
        left = (force * (1 - (speed / fastest(pump)) ** 2) - described_friction(pump)) / area
        leak = _leak(gap, foot_path(pump), viscosity=mu, density=rho, pressure=left)
        flow = area * speed - leak
        return (taken(flow) if flow > 0 else 0.0) - left

    top = fastest(pump) * math.sqrt(1 - described_friction(pump) / force)
    return pump.stroke / float(brentq(over, 0.0, top, rtol=1e-12)) + pump.drive.reversal


def stroke_times() -> Plot:
    """Times of both strokes against a foot valve that leaks more and more."""
    coating = next(c for c in demo_coatings() if c.viscosity is not None)
    plot = Plot(Axis("gap at the foot valve's seat, µm", 0, 300), Axis("stroke, s", 0, 2.5))
    gaps = np.linspace(0.0, 300e-6, 121)
    for i, key in enumerate(("quay-air", "yard-hydraulic")):
        pump = demo_pump(key)
        state = steady(stroke_parameters(pump, coating, Condition(foot_gap=gaps)))
        plot.curve(gaps * 1e6, np.broadcast_to(state.up.time, gaps.shape), f"{key}, up", ink=i, dash=1)
        plot.curve(gaps * 1e6, state.down.time, f"{key}, down", ink=i)
        known = [(float(gaps[k]) * 1e6, _by_brent(pump, coating, float(gaps[k]))) for k in range(0, 121, 24)]
        for k, (_, seconds) in zip(range(0, 121, 24), known, strict=True):
            near(float(state.down.time[k]), seconds, 2e-3)
        plot.points(*zip(*known, strict=True), label="Brent with the fluids library" if i == 0 else "", ink=i)
    return plot


def _series(off: float, spread: float, reach: float) -> float:
    """The wrapped normal by its Fourier series, integrated term by term."""
    k = np.arange(1, 400)
    terms = np.exp(-0.5 * (k * spread) ** 2) * np.cos(k * off) * np.sin(k * reach) / k
    return float((reach + 2 * terms.sum()) / math.pi)


def stack_chance() -> Plot:
    """Chance that the elbow stops within 15 degrees of where it should point."""
    plot = Plot(
        Axis("standard uncertainty of the stop, degrees", 1, 360, log=True), Axis("chance within 15°, %", 0, 100)
    )
    reach, places = math.radians(15.0), (5.0, 10.0, 20.0, 45.0, 90.0, 200.0)
    for i, off in enumerate((0.0, 15.0, 45.0)):
        miss = math.radians(off)
        plot.law(lambda x, m=miss: 100 * within(m, np.radians(x), reach),
                 "on target" if off == 0 else f"{off:g}° off", ink=i, dash=i)  # fmt: skip
        known = [(place, 100 * _series(miss, math.radians(place), reach)) for place in places]
        for place, chance in known:
            near(100 * float(within(miss, math.radians(place), reach)), chance, 1e-6)
        plot.points(*zip(*known, strict=True), label="Fourier series of the wrapped normal" if i == 0 else "", ink=i)
    return plot
