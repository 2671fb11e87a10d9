"""Positions of the moving parts of a wet end at one instant, in drawing units.

The script of the page that moves the drawing does the same calculation.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from wetend.advice.simulation.film import Seen

_LEAST_FLOW = 0.01
"""Share of the greatest flow under which no arrow is drawn."""


@dataclass(frozen=True)
class Scene:
    """Numbers by which one column moves: sheet units for metres, pascals and m^3/s."""

    height: float
    travel: float
    """Sheet units the piston goes for a metre of the rod."""
    foot: float
    """Sheet units the foot ball goes for a metre of its lift."""
    lift: float
    """The same for the piston valve's ball."""
    roof: float
    """Where the chamber above ends."""
    seat: float
    """Where the chambers meet, the piston at its lowest."""
    floor: float
    """Where the chamber below ends."""
    pressure: float
    """Shown at full tint, Pa."""
    flow: float
    """Shown by a full arrow, m^3/s."""
    foot_shut: float
    """Lift under which the foot valve counts as shut, m."""
    piston_shut: float


def tint(scene: Scene, pressure: float) -> float:
    """How deep liquid at this pressure is tinted, 0 to 0.6."""
    return 0.6 * min(max(pressure / scene.pressure, 0.0), 1.0)


def arrow_scale(scene: Scene, flow: float) -> float:
    """Size of a flow's arrow, with its sign; zero for next to none."""
    share = abs(flow) / scene.flow
    if share < _LEAST_FLOW:
        return 0.0
    return math.copysign(min(0.35 + 0.65 * math.sqrt(share), 1.1), flow)


def pose(scene: Scene, values: Mapping[Seen, float]) -> dict[str, float]:
    """Every number that sets a column's moving parts, by name.

    ``piston``, ``foot`` and ``ball`` are how far up those stand; ``seam`` is where the chambers
    meet; ``tint-`` and ``arrow-`` are as :func:`tint` and :func:`arrow_scale` give them.
    """
    shut = values["foot_lift"] < scene.foot_shut
    closed = values["piston_lift"] < scene.piston_shut
    up = values["place"] * scene.travel
    return {
        "piston": up,
        "foot": values["foot_lift"] * scene.foot,
        "ball": values["piston_lift"] * scene.lift,
        "seam": scene.seat - up,
        "tint-suction": tint(scene, values["suction"]),
        "tint-below": tint(scene, values["below"]),
        "tint-above": tint(scene, values["above"]),
        "arrow-drawn": arrow_scale(scene, values["drawn"]),
        "arrow-foot": arrow_scale(scene, min(values["foot_flow"], 0.0)) if shut else 0.0,
        "arrow-piston": arrow_scale(scene, max(values["piston_flow"], 0.0)),
        "arrow-past": arrow_scale(scene, min(values["piston_flow"], 0.0)) if closed else 0.0,
        "arrow-outlet": arrow_scale(scene, values["outlet"]),
        "arrow-rod": arrow_scale(scene, values["rod_leak"]),
        "arrow-outside": arrow_scale(scene, values["outside"]),
    }
