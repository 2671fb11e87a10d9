"""Pumps, coatings and faults at random, for what is held against them in tests and benchmarks."""

from __future__ import annotations

import math

import numpy as np

from wetend.physics.motion.parameters import (
    AeratedLiquid,
    BallValve,
    Chambers,
    Drive,
    Hose,
    Leak,
    LeakPaths,
    MotionParameters,
    Outlet,
    SuctionLine,
)
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import Filling, GapPath, leak_rate

STEEL = 7650.0
ANGLE = math.radians(45.0)


def _liquid(rng: np.random.Generator) -> Liquid:
    law = str(rng.choice(["newtonian", "power-law", "bingham", "herschel-bulkley"]))
    thick = math.exp(rng.uniform(math.log(0.05), 0.0))
    index = 1.0 if law in ("newtonian", "bingham") else float(rng.uniform(0.6, 1.0))
    yields = float(rng.uniform(0, 10)) if law in ("bingham", "herschel-bulkley") else 0.0
    return Liquid(law, float(rng.uniform(950, 2600)), yields, thick * 100 ** (1 - index), index)


def _leaks(rng: np.random.Generator, liquid: Liquid, bore: float, line: tuple[float, float]):
    """Three in ten of each leak, none taking more than two fifths of the delivery."""
    ball, (pressure, flow) = 0.55 * bore, line
    paths = {
        "foot_seat": GapPath(0.22 * ball, 0.004), "packings": GapPath(math.pi * bore, 0.025),
        "piston_seat": GapPath(0.16 * ball, 0.003),
        "static_packings": GapPath(2.2 * bore, 0.03), "outside": GapPath(0.001, 0.002),
    }  # fmt: skip
    found: dict[str, Leak] = {}
    filling = Filling(liquid.consistency, liquid.index, liquid.density)
    for name, path in paths.items():
        beside = {"piston_seat": "packings", "outside": "static_packings"}.get(name)
        if rng.random() > 0.3 or beside in found:
            continue
        gap = math.exp(rng.uniform(math.log(5e-6), math.log(80e-6)))
        while True:
            rate = leak_rate(gap, path, filling, pressure=pressure)
            slow, fast = float(rate.laminar), float(rate.inertial)
            if slow * fast < 0.4 * flow * (slow + fast):
                break
            gap *= 0.8
        found[name] = Leak(slow, fast, pressure)
    return LeakPaths(**found)


def random_pump(rng: np.random.Generator, *, give: float) -> MotionParameters:
    """A pump, coating and faults at random.

    ``give`` 1 is as built: liquid of 1.6 GPa with air in it, hose that swells. At 0.03 liquid and
    hose give so little that a pressure settles early in its stroke.
    """
    bore, stroke = rng.uniform(0.025, 0.08), rng.uniform(0.06, 0.2)
    whole = math.pi / 4 * bore**2
    rod = whole * rng.uniform(0.66, 0.76) ** 2
    liquid = _liquid(rng)
    stall, time = rng.uniform(150e5, 400e5), rng.uniform(0.6, 2.0)
    force, flow = stall * whole / 2, whole / 2 * stroke / time
    share = math.sqrt(1.0 - rng.uniform(0.35, 0.8))
    pressure = stall * (1.0 - share**2)
    ball, lift = 0.55 * bore, 0.55 * bore * rng.uniform(0.12, 0.2)
    slack = give if give < 1 else 1.0
    hose = Hose(0.008, 1.0) if give < 1 else Hose(
        min(max((128 * liquid.consistency * 15 * flow / (0.5 * pressure)) ** 0.25, 0.008), 0.025),
        rng.uniform(8, 20), rng.uniform(1e-12, 1e-11),
    )  # fmt: skip
    return MotionParameters(
        AeratedLiquid(liquid, 1.6e9 / slack, slack * rng.uniform(0.0005, 0.004)),
        Drive(force, stroke / time / share, force * rng.uniform(0.01, 0.06), 63e3 * rod * stroke,
              rng.uniform(0.02, 0.08)),
        Chambers(whole, rod, stroke, 0.2 * whole * stroke, 0.2 * (whole - rod) * stroke),
        BallValve(ball, STEEL, ANGLE, 0.64 * ball, 0.18 * ball, lift, bore),
        BallValve(0.82 * ball, STEEL, ANGLE, 0.5 * ball, 0.15 * ball, 0.85 * lift, 1.05 * ball),
        SuctionLine(0.75 * bore, rng.uniform(0.5, 2.0), rng.uniform(-0.3, 0.8), 1e-5),
        Outlet(rng.uniform(1e5, 5e5) / flow, (hose,), 0.8 * pressure / flow**2,
               nodes=int(rng.integers(2, 6))),
        _leaks(rng, liquid, bore, (stall, flow)),
    )  # fmt: skip
