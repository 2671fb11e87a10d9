"""Figures of the theory pages on coatings and how they flow in a bore."""

from __future__ import annotations

import json

import numpy as np
from chemicals.viscosity import Viswanath_Natarajan_3, viscosity_converter
from fluids.friction import friction_factor
from plot import Axis, Plot
from published import near, rows

from wetend.materials.cups import find_cup
from wetend.physics.rheology.cups import kinematic_viscosity
from wetend.physics.rheology.fit import fit
from wetend.physics.rheology.flow import shear_stress
from wetend.physics.rheology.friction import dodge_metzner, fanning_friction
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.temperature import ThroughTwo, vogel_pole
from wetend.physics.rheology.thinning import thinned_viscosity


def flow_laws() -> Plot:
    """Two laws through the same two readings: Coulson and Richardson, ex. 3.10."""
    rates, stresses = [10.0, 50.0], [15.85, 21.87]
    power, plastic = (fit(rates, stresses, law).liquid for law in ("power-law", "bingham"))
    near(power.consistency, 10.0, 2e-3)
    near(power.index, 0.2, 2e-3)
    near(plastic.yield_stress, 14.345, 1e-4)
    near(plastic.consistency, 0.1505, 1e-4)
    plot = Plot(Axis("rate of shear, 1/s", 0.1, 1e4, log=True), Axis("shear stress, Pa", 4, 1000, log=True))
    plot.law(lambda x: shear_stress(power, x), "power law, K = 10, n = 0.2", ink=0)
    plot.law(lambda x: shear_stress(plastic, x), "Bingham, 14.345 Pa and 0.1505 Pa s", ink=2, dash=1)
    return plot.points(rates, stresses, "the readings")


def cups() -> Plot:
    """Cups and the seconds they take; Cannon's table of oils and drain times."""
    plot = Plot(Axis("time to empty, s", 18, 160, log=True), Axis("kinematic viscosity, mm²/s", 5, 2000, log=True))
    for i, key in enumerate(("iso-4mm", "ford-2", "ford-4", "ford-5", "zahn-2", "zahn-3")):
        cup = find_cup(key)
        times = np.geomspace(cup.shortest, cup.longest, 41)
        plot.curve(times, [kinematic_viscosity(float(t), cup) * 1e6 for t in times], cup.title, ink=i, dash=i)
    told = []
    for row in rows("cannon-cups"):
        given = json.loads(row["inputs"])
        if "other_cup" in given:
            continue
        published = json.loads(row["expected"])["kinematic_viscosity"]["kinematic viscosity"]
        told.append((float(given["time"].split()[0]), float(published.removesuffix(" mm^2/s"))))
    plot.points(*zip(*told, strict=True), label="Cannon Instrument, drain times of oils", ink=1)
    other = [(t, viscosity_converter(t, f"zahn cup #{n}", "kinematic viscosity") * 1e6)
             for n, times in ((2, (22, 33, 46)), (3, (24, 34, 47))) for t in times]  # fmt: skip
    plot.points(*zip(*other, strict=True), label="Zahn 2 and 3 by the chemicals library: they disagree", ink=3)
    return plot


_VOGEL = {
    "water": (-1.5318, -220.57, 149.39, 270, 380), "o-xylene": (-1.8927, -553.59, -14.003, 270, 380),
    "butyl acetate": (-1.7722, -431.58, 29.726, 270, 380),
}  # fmt: skip


def temperature() -> Plot:
    """Vogel's law by the databook constants, and Andrade and Vogel through two of its points."""
    plot = Plot(Axis("temperature, °C", 0, 100), Axis("viscosity, mPa s", 0.2, 3, log=True))
    seen = {"water": ((20, 1.0016), (25, 0.8900)), "o-xylene": ((20, 0.8112), (25, 0.7569)), "butyl acetate": ()}
    for i, (name, (a, b, c, *_)) in enumerate(_VOGEL.items()):
        at = [Viswanath_Natarajan_3(t + 273.15, a - 3, b, c) for t in range(0, 101, 2)]
        plot.curve(range(0, 101, 2), [v * 1000 for v in at], f"{name}, Vogel", ink=i)
        line = ThroughTwo("andrade", (283.15, at[5]), (333.15, at[30]))
        pole = vogel_pole(((283.15, at[5]), (313.15, at[20]), (333.15, at[30])))
        bent = ThroughTwo("vogel", (283.15, at[5]), (333.15, at[30]), pole=pole)
        plot.curve(range(0, 101, 2), [1000 * line.viscosity(t + 273.15) for t in range(0, 101, 2)], ink=i, dash=2)
        for t, value in seen[name]:
            near(bent.viscosity(t + 273.15) * 1000, value, 0.005)
    told = [p for points in seen.values() for p in points]
    plot.points(*zip(*told, strict=True), label="IAPWS and CoolProp reference equations", ink=4)
    plot.curve([0, 0], [1, 1], "dotted: Andrade through 10 and 60 °C", ink=4, dash=2)
    return plot


def thinning() -> Plot:
    """The logarithmic rule; no published table of a coating was found."""
    plot = Plot(Axis("thinner, % of the coating's volume", 0, 30), Axis("viscosity, mPa s", 10, 3000, log=True))
    for i, thick in enumerate((2.0, 0.8, 0.3)):
        plot.law(lambda x, mu=thick: np.array([1000 * thinned_viscosity(mu, 7e-4, s / 100) for s in x]),
                 f"{thick * 1000:g} mPa s as bought", ink=i)  # fmt: skip
    return plot


def friction() -> Plot:
    """The friction chart: laminar line and turbulent curves by flow index."""
    plot = Plot(
        Axis("Reynolds number of Metzner and Reed", 100, 1e6, log=True),
        Axis("Fanning friction factor", 1e-3, 0.2, log=True),
    )
    plot.law(lambda x: np.where(x < 3000, 16 / x, np.nan), "laminar, 16/Re", ink=4)
    for i, n in enumerate((1.0, 0.8, 0.6, 0.4)):
        plot.law(
            lambda x, n=n: np.where(x > 3000, dodge_metzner(x, n), np.nan), f"turbulent, n′ = {n:g}", ink=i % 4, dash=i
        )
    known = [(re, friction_factor(Re=re, eD=0.0) / 4) for re in (5e3, 2e4, 1e5, 5e5)]
    for re, value in known:
        near(float(dodge_metzner(re, 1.0)), value, 0.01)
    plot.points(*zip(*known, strict=True), label="Colebrook, smooth, by the fluids library", ink=0)
    liquid = Liquid("bingham", 1530.0, 3.8, 0.00686, 1.0)
    ours = fanning_friction(liquid, 3.47, 0.0206)
    near(2 * float(ours.wall_stress) / (1530 * 3.47**2), 0.00619, 0.12)
    label = "measured Bingham slurry, de Nevers ex. 13.5 (ours 11 % high)"
    return plot.points([float(ours.reynolds)], [0.00619], label, ink=1)
