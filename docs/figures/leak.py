"""Figures of the theory pages on leaks through gaps and scores."""

from __future__ import annotations

import json
import math

import numpy as np
from plot import Axis, Plot
from published import near, rows

from wetend.physics import channels, grooves, scored
from wetend.physics.leakage import eccentric_factor
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.slits import annulus_leak, slit_flow


def ducts() -> Plot:
    """f Re of rectangles, and of other grooves."""
    told = {}
    for row in rows("shah-london"):
        if row["calls"].endswith("rectangle_poiseuille"):
            told[json.loads(row["inputs"])["aspect"]] = float(row["expected"])
    plot = Plot(Axis("depth over width of the groove", 0.02, 1), Axis("Darcy f Re", 45, 100))
    plot.law(np.vectorize(channels.rectangle_poiseuille), "rectangle", ink=0)
    at = np.linspace(0.02, 1, 25)
    plot.curve(at, [grooves.ellipse_groove(float(a), 1.0).poiseuille for a in at], "half ellipse", ink=2, dash=1)
    plot.curve(at, [grooves.parabola_groove(float(a), 1.0).poiseuille for a in at], "parabola", ink=3, dash=2)
    plot.curve(at, [channels.triangle(float(a), 1.0).poiseuille for a in at], "triangle", ink=4, dash=3)
    for aspect, value in told.items():
        near(channels.rectangle_poiseuille(aspect), value, 3e-4)
    near(grooves.ellipse_groove(0.5, 1.0).poiseuille, 63.07, 2e-4)
    plot.points(list(told), list(told.values()), "Shah and London 1978, rectangles")
    return plot.points([0.5], [63.07], "semicircle, Fanning 15.767", ink=2)


def triangles() -> Plot:
    """f Re of isosceles triangles by apex angle."""
    told = [(float(json.loads(r["inputs"])["apex"]["angle"].split()[0]), float(r["expected"]))
            for r in rows("shah-london") if r["calls"].endswith("triangle_poiseuille")]  # fmt: skip
    plot = Plot(Axis("apex angle, degrees", 0, 180), Axis("Darcy f Re", 47, 54))
    plot.law(
        lambda x: np.array([channels.triangle_poiseuille(math.radians(float(b))) for b in x]),
        "finite elements (ours)",
        ink=0,
    )
    plot.law(
        lambda x: np.where(x <= 90, 48.5575 + 0.1577 * x - 0.0013 * x**2, np.nan),
        "fit of the Modelica library, to 90 degrees",
        ink=2,
        dash=1,
    )
    for angle, value in told:
        near(channels.triangle_poiseuille(math.radians(angle)), value, 5e-4)
    return plot.points(*zip(*told, strict=True), label="Shah and London 1978 (from memory)")


def eccentric() -> Plot:
    """How much more an eccentric ring leaks, by flow law."""
    plot = Plot(Axis("offset over clearance", 0, 1), Axis("leak over that of a centred ring", 1, 5))
    how = {"length": 0.022, "pressure": 2e6}
    for i, n in enumerate((1.0, 0.7, 0.5)):
        liquid = Liquid("power-law", 1400.0, 0.0, 3.0, n)
        centred = annulus_leak(liquid, 0.038, 60e-6, **how)
        plot.law(lambda x, q=centred, c=liquid: np.array(
            [annulus_leak(c, 0.038, 60e-6, **how, eccentricity=float(e)) / q for e in x]),
            "newtonian" if n == 1 else f"power law, n = {n:g}", ink=i, dash=i)  # fmt: skip
    told = ((0.0, 1.0), (0.5, 1.375), (1.0, 2.5))
    for offset, value in told:
        near(eccentric_factor(offset), value, 1e-12)
    return plot.points(*zip(*told, strict=True), label="1, 1.375 and 2.5: Merritt 1967 (from memory)")


def scored_ways() -> Plot:
    """How far the short way falls behind the solved one, by flow index."""
    plot = Plot(Axis("flow index n", 0.3, 1.2), Axis("leak by the two numbers of Kozicki, over solved", 0.3, 1.1))
    indices = np.linspace(0.3, 1.2, 10)
    shapes = (
        ("square", scored.Score("rectangle", 1.0, 1.0), channels.rectangle(1.0, 1.0)),
        ("shallow V, 1 to 400", scored.Score("triangle", 0.0025, 1.0), channels.triangle(0.0025, 1.0)),
    )
    for i, (name, score, channel) in enumerate(shapes):
        ratios = []
        for n in indices:
            liquid = Liquid("power-law", 1000.0, 0.0, 1.0, float(n))
            short = float(channels.liquid_flow(channel, liquid, length=1.0, pressure=1.0))
            ratios.append(short / scored.score_flow(score, liquid, length=1.0, pressure=1.0))
        plot.curve(indices, ratios, name, ink=i, dash=i)
    told = []
    for n in (0.5, 0.7, 1.0):
        liquid = Liquid("power-law", 1000.0, 0.0, 1.0, n)
        short = float(channels.liquid_flow(shapes[1][2], liquid, length=1.0, pressure=1.0))
        # a row of slits: the mean of h^(2+1/n) over the width
        deep = float(slit_flow(liquid, 0.0025, breadth=1.0, length=1.0, pressure=1.0))
        exact = deep / (3 + 1 / n)
        near(scored.score_flow(shapes[1][1], liquid, length=1.0, pressure=1.0), exact, 2e-3)
        told.append((n, short / exact))
    plot.points(*zip(*told, strict=True), label="shallow V by lubrication", ink=1)
    half = Liquid("power-law", 1000.0, 0.0, 1.0, 0.5)
    handbook = (0.5 / 5.72) ** 2
    near(scored.score_flow(shapes[0][1], half, length=1.0, pressure=1.0), handbook, 2e-3)
    short = float(channels.liquid_flow(shapes[0][2], half, length=1.0, pressure=1.0))
    return plot.points(
        [0.5], [short / handbook], "square, f Re 5.72 at n = 0.5: Chhabra and Richardson (from memory)", ink=0
    )
