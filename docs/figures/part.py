"""Figures of the theory pages on rings, threads, films and roundness."""

from __future__ import annotations

import json
import math

import numpy as np
from plot import Axis, Plot
from published import near, rows

from wetend.physics.circle import least_squares_circle
from wetend.physics.film import theoretical_coverage
from wetend.physics.seals import stretched_section


def stretch() -> Plot:
    """Section lost by a stretched ring; the points are exact at constant volume."""
    plot = Plot(Axis("stretch of the inside, %", 0, 5), Axis("section lost, %", 0, 3))
    plot.law(
        lambda x: np.array([100 * (1 - stretched_section(1.0, s / 100)) for s in x]), "constant volume (ours)", ink=0
    )
    told = ((2.0, 0.99), (3.0, 1.47), (5.0, 2.41))
    for percent, lost in told:
        near(100 * (1 - stretched_section(1.0, percent / 100)), lost, 5e-3)
    return plot.points(*zip(*told, strict=True), label="1 − 1/√(1 + x), worked by hand")


def coverage() -> Plot:
    """Coverage by film and solids."""
    told = ((100, 60, 6.0), (125, 75, 6.0), (125, 65, 5.2), (175, 100, 5.7), (300, 80, 2.7), (225, 55, 2.4))
    plot = Plot(Axis("dry film, µm", 50, 350), Axis("coverage, m²/L", 0, 14))
    for i, solids in enumerate((1.0, 0.75, 0.55)):
        plot.law(lambda x, s=solids: s / (x * 1e-6) / 1000, f"{solids:.0%} solids by volume", ink=i, dash=i)
    for film, solids, value in told:
        near(theoretical_coverage(film * 1e-6, solids / 100) / 1000, value, 0.02)
    return plot.points([t[0] for t in told], [t[2] for t in told], "coverage table, 55 to 100 % solids")


def circle() -> Plot:
    """A reference data set of NIST and the circle through it."""
    row = rows("nist-circle")[0]
    given = json.loads(row["inputs"])["points"].removesuffix(" mm").split(";")
    xs, ys = np.array([[float(c) for c in point.split(",")] for point in given]).T
    found = least_squares_circle(xs, ys)
    plot = Plot(Axis("x, mm", -140, -121), Axis("y, mm", 136, 152.5))
    turn = np.linspace(0, 2 * math.pi, 121)
    x0, y0, r = (float(getattr(found, n)) for n in ("x", "y", "radius"))
    near(2 * r, 12.8837663777, 1e-9)
    plot.curve(x0 + r * np.cos(turn), y0 + r * np.sin(turn), "least squares (ours)", ink=0)
    return plot.points(xs, ys, "NIST cir2d8")
