"""Figures of the theory pages on fittings, nozzles, valves and suction."""

from __future__ import annotations

import math

import numpy as np
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.fittings import Hooper2K
from plot import Axis, Plot
from published import near

from wetend.physics import air, falls, lines, nozzle, valves
from wetend.physics.suction import ACCELERATION_CONSTANT, atmosphere_at


def fittings() -> Plot:
    """Loss of fittings against Reynolds number."""
    plot = Plot(Axis("Reynolds number", 1, 1e6, log=True), Axis("loss, velocity heads", 0.1, 3000, log=True))
    names = (("elbow 90", "Elbow, 90°, Standard (R/D = 1), Screwed"), ("tee branch", "Elbow, Used as, Standard, Screwed"),
             ("ball valve", "Valve, Gate, Full line size, Beta = 1"), ("lift check valve", "Valve, Check, Lift"))  # fmt: skip
    for i, (ours, theirs) in enumerate(names):
        item = lines.FITTINGS[ours]
        plot.law(lambda x, f=item: np.array([lines.two_k(f, float(r), 0.0095) for r in x]), ours, ink=i, dash=i)
        known = [(r, Hooper2K(Di=0.0095 / 0.0254, Re=r, name=theirs)) for r in (10.0, 1e3, 1e5)]
        for r, value in known:
            near(lines.two_k(item, r, 0.0095), value, 1e-9)
        plot.points(*zip(*known, strict=True), label="by the fluids library" if i == 0 else "", ink=i)
    return plot


def nozzle_coefficient() -> Plot:
    """Discharge coefficient against Reynolds number, with its two limits."""
    plot = Plot(
        Axis("Reynolds number of the nozzle", 1, 1e5, log=True), Axis("discharge coefficient", 0.05, 1, log=True)
    )
    pressures, hole = np.geomspace(0.01, 1e12, 600), 0.5e-3
    ideal = math.pi * hole**2 / 4 * np.sqrt(2 * pressures / 1200.0)
    for i, ratio in enumerate((0.0, 1.0, 4.0)):
        flow = nozzle.orifice_flow(
            pressures, hole, density=1200.0, viscosity=0.02, land=ratio * hole, discharge_coefficient=0.85
        )
        reynolds, shown = 4 * 1200.0 * flow / (math.pi * 0.02 * hole), flow / ideal
        inside = (reynolds >= 1) & (reynolds <= 1e5) & (shown >= 0.05)
        label = "sharp hole" if ratio == 0 else f"land of {ratio:g} diameters"
        plot.curve(reynolds[inside], shown[inside], label, ink=i, dash=i)
    plot.law(
        lambda x: np.where(x < 60, np.sqrt(x / (12 * math.pi)), np.nan),
        "Sampson 1891, slow flow through a hole",
        ink=4,
        dash=4,
    )
    return plot


def drag() -> Plot:
    """The standard drag curve of a sphere."""
    table = ((0.1, 240), (1, 26.5), (10, 4.1), (100, 1.07), (1e3, 0.46), (1e4, 0.405), (1e5, 0.48))
    plot = Plot(Axis("Reynolds number", 0.05, 2e5, log=True), Axis("drag coefficient", 0.2, 600, log=True))
    plot.law(np.vectorize(valves.drag_coefficient), "Cheng 2009", ink=0)
    plot.law(lambda x: np.where(x < 3, 24 / x, np.nan), "Stokes", ink=4, dash=2)
    for re, value in table:
        near(valves.drag_coefficient(re), value, 0.07)
    return plot.points(*zip(*table, strict=True), label="Lapple and Shepherd 1940 (from memory)")


def wall() -> Plot:
    """How a tube slows a slow sphere."""
    table = (
        (0.1, 1.263),
        (0.2, 1.680),
        (0.3, 2.371),
        (0.4, 3.596),
        (0.5, 5.970),
        (0.6, 11.135),
        (0.7, 24.955),
        (0.8, 73.555),
    )
    plot = Plot(Axis("ball over tube diameter", 0, 0.85), Axis("drag over that far from walls", 1, 150, log=True))
    plot.law(np.vectorize(valves.wall_factor), "Bungay and Brenner 1973 (ours)", ink=0)
    plot.law(lambda x: 1 / (1 - 2.104 * x + 2.09 * x**3 - 0.95 * x**5), "Faxén, good to 0.3", ink=2, dash=1)
    plot.law(lambda x: ((1 - 0.475 * x) / (1 - x)) ** 4, "Francis", ink=3, dash=2)
    for ratio, value in table:
        near(valves.wall_factor(ratio), value, 0.017)
    return plot.points(*zip(*table, strict=True), label="Haberman and Sayre, table (from memory)")


def opening() -> Plot:
    """Flow area of a ball on a 45 degree cone over its lift."""
    seat = valves.Seat(0.020, math.radians(45), 0.0135, 0.003)
    hole = math.pi / 4 * 0.0135**2 * 1e6
    plot = Plot(Axis("rise, mm", 0, 7), Axis("flow area, mm²", 0, 170))
    plot.law(lambda x: valves.seat_opening(seat, x / 1000) * 1e6, "narrowest ring, then the hole (ours)", ink=0)
    a, told = 0.010 * math.cos(math.radians(45)), []
    for rise in (0.5, 1.0, 1.5, 2.0, 3.0):
        x = rise / 1000
        area = math.pi * (2 * a + x * 0.5) * x * math.cos(math.radians(45)) * 1e6
        if rise <= 0.5:
            near(float(valves.seat_opening(seat, x)) * 1e6, area, 0.05)
        told.append((rise, area))
    plot.points(*zip(*told, strict=True), label="conical poppet, Modelon Hydraulics help, 45 degrees")
    return plot.law(lambda x: 0 * x + hole, "area of the hole", ink=4, dash=4)


def fall() -> Plot:
    """Time of a ball back to its seat."""
    plot = Plot(Axis("viscosity, Pa s", 0.01, 30, log=True), Axis("time back from 3 mm, s", 0.01, 10, log=True))
    grid = np.geomspace(0.01, 30, 16)
    how = {"ball_density": 7800.0, "density": 1300.0}

    def times(**more: float) -> list[float]:
        return [falls.fall_time(0.003, 0.022, viscosity=float(v), **how, **more) for v in grid]

    plot.curve(grid, times(), "far from walls, from rest", ink=0)
    plot.curve(grid, times(tube=0.030), "in a tube of 30 mm", ink=1, dash=1)
    plot.curve(grid, times(tube=0.030, spring=10.0), "the same with a spring of 10 N", ink=2, dash=2)
    steady = [0.003 / valves.fall_speed(0.022, 6500.0, density=1300.0, viscosity=float(v)) for v in grid]
    return plot.curve(grid, steady, "far from walls, at its steady speed", ink=4, dash=4)


def atmosphere() -> Plot:
    """Pressure of the air by height."""
    plot = Plot(Axis("height above the sea, m", 0, 5000), Axis("pressure of the air, bar", 0.5, 1.05))
    plot.law(lambda x: np.array([atmosphere_at(float(h)) / 1e5 for h in x]), "formula (ours)", ink=0)
    told = [(h, ATMOSPHERE_1976(h).P / 1e5) for h in (0.0, 1000.0, 2000.0, 3000.0, 4000.0)]
    for h, p in told:
        near(atmosphere_at(h) / 1e5, p, 1e-3)
    return plot.points(*zip(*told, strict=True), label="US Standard Atmosphere 1976, fluids library")


def acceleration() -> Plot:
    """The crank's constant by theory for one cylinder, with those of the Hydraulic Institute."""
    names = ("simplex double-acting", "duplex double-acting", "triplex", "quintuplex", "septuplex", "nonuplex")
    cylinders = (1, 2, 3, 5, 7, 9)
    told = [ACCELERATION_CONSTANT[n] for n in names]
    mean = 2 * 0.3 * 1.5 * 4
    peak = 4 * (2 * math.pi * 1.5) ** 2 * 0.3 / 2  # (A/a) w^2 r
    theory = 1.2 * peak / (mean * 90.0)
    near(theory, told[0], 0.02)
    plot = Plot(Axis("cylinders", 0, 10), Axis("constant C of the acceleration head", 0, 0.25))
    plot.points(cylinders, told, "Hydraulic Institute 6.1-6.5 (from memory)")
    return plot.points([1], [theory], "theory, connecting rod of five cranks", ink=0)


def free_air() -> Plot:
    """Free air by pressure."""
    plot = Plot(
        Axis("absolute pressure, bar", 0.2, 20, log=True), Axis("free air, % of the liquid", 0.01, 100, log=True)
    )
    plot.law(lambda x: 100 * air.free_air(x * 1e5, 0.02), "2 % whipped in, none dissolved", ink=0)
    plot.law(lambda x: 100 * air.free_air(x * 1e5, 0.02, 0.15), "2 % whipped in, 15 % dissolved", ink=1, dash=1)
    return plot.law(lambda x: 100 * air.free_air(x * 1e5, 0.0, 0.15), "none whipped in, 15 % dissolved", ink=2, dash=2)
