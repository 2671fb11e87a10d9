"""Two routes to the same strokes, in time and by the steady balance: how far they part.

    python benchmarks/agreement.py [pumps]

Random pumps, sound and leaking in five places, whose liquid and hose give little, so that what the
steady model leaves out is small. Prints what docs/performance.md records.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from random_pumps import random_pump
from steady_twin import drawing, filling, steady_twin

from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.simulate import simulate
from wetend.physics.stroke.steady import steady
from wetend.physics.valves import contact_diameter

BALLS = 0.008
"""Share of the swept volume that both balls together displace as they rise, up to which they are
left out of the steady model."""

SUCKED = -5e4
"""Pressure at the foot valve, over the atmosphere, down to which the cylinder is sure to fill."""


def risen(parameters: MotionParameters) -> float:
    """That share."""
    rise = sum(
        math.pi / 4 * contact_diameter(v.ball_diameter, v.half_angle) ** 2 * v.lift
        for v in (parameters.foot_valve, parameters.piston_valve)
    )
    return rise / (parameters.chambers.bore_area * parameters.chambers.stroke)


def holds(parameters: MotionParameters) -> bool:
    """Whether the steady model's assumptions hold: small balls, and a cylinder that fills."""
    speed = float(steady(steady_twin(parameters)).up.speed[0])
    return risen(parameters) < BALLS and drawing(parameters, speed) > SUCKED


def differences(pumps: Sequence[MotionParameters]) -> NDArray[np.float64]:
    """Up time, down time and flow in time over steady, less 1."""
    found = []
    for parameters, trace in zip(pumps, (simulate(p, cycles=4) for p in pumps), strict=True):
        up, down = trace.strokes[-2:]
        plain = steady(steady_twin(parameters))
        line = float(plain.up.pressure[0] + plain.down.pressure[0]) / 2
        suction = drawing(parameters, float(plain.up.speed[0]))
        filled = min(filling(parameters, line, suction), 1.0)
        twin = steady(steady_twin(parameters, filled=filled))
        flow = (up.delivered + down.delivered) / (up.time + down.time)
        found.append((
            up.time / float(twin.up.time[0]) - 1, down.time / float(twin.down.time[0]) - 1,
            flow / float(twin.flow[0]) - 1,
        ))  # fmt: skip
    return np.array(found)


def main(wanted: int) -> None:
    """Print how far stroke times and flow part."""
    rng = np.random.default_rng(12)
    pumps: list[MotionParameters] = []
    tried = 0
    while len(pumps) < wanted:
        made = random_pump(rng, give=0.03)
        tried += 1
        if holds(made):
            pumps.append(made)
    worst = np.abs(differences(pumps)).max(axis=1)
    print(f"time and balance, {wanted} pumps of {tried}: 95 % part by under "
          f"{np.quantile(worst, 0.95):.2%}, all by under {worst.max():.2%}")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
