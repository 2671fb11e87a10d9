"""The stack as described and measured: heights, spreads, stiffness."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.rebuild.plausible import check_stack
from wetend.physics import valves
from wetend.physics.stackup import STIFFNESS_SPREAD
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.parts import StackPart, Valve
from wetend.units.quantity import M, N, Ratio

Array = NDArray[np.float64]

SEAT_SPREAD = 50e-6
"""Standard uncertainty of where the ball's top stands, from cone and ball as made (common practice,
no source)."""


@dataclass(frozen=True)
class StackState:
    """Numbers of one stack, part by part from the housing's floor upwards."""

    pump: Pump
    parts: tuple[StackPart, ...]
    measured: tuple[bool, ...]
    heights: Array
    spreads: Array
    """Standard uncertainty of each height."""
    compliance: Array
    """Of each part, m/N; zero for a hard one."""
    bounds: NDArray[np.bool_]
    """Which parts stand between seat face and cage and so carry the cage's floor up."""
    depth: M
    depth_spread: M
    above: int
    """How many parts stand below the place of the shims."""
    tin: tuple[M, ...]

    @property
    def lead(self) -> M:
        """Travel a turn: pitch times starts."""
        return self.pump.stack.pitch * self.pump.stack.starts

    @property
    def turns_freely(self) -> bool:
        """Held by a clamp ring, so that the housing itself need not turn."""
        return self.pump.stack.held_by == "clamp-ring"

    @property
    def soft(self) -> NDArray[np.bool_]:
        """Which parts are soft rings."""
        return np.asarray(self.compliance > 0)

    @property
    def yielding(self) -> float:
        """Compliance of the whole stack, m/N: soft rings in series."""
        return float(self.compliance.sum())

    @property
    def cage_spread(self) -> M:
        """Standard uncertainty of the cage's floor: as of the cage's height."""
        of_cage = [s for s, p in zip(self.spreads, self.parts, strict=True) if p.kind == "cage"]
        return float(of_cage[0]) if of_cage else 20e-6


def _shim_place(parts: tuple[StackPart, ...]) -> int:
    """Parts below the shims: up to the cage; without one, up to the last soft ring."""
    for kind, beyond in (("cage", 1), ("soft-ring", 0)):
        at = [i for i, p in enumerate(parts) if p.kind == kind]
        if at:
            return at[-1] + beyond
    return len(parts)


def read_stack(pump: Pump, measured: StackMeasured) -> StackState:
    """Described and measured sizes together.

    Raises:
        BadInput: a measured part this pump does not have, or a size that cannot be.
        NoAnswer: a clamp-ring stack without any soft ring has no squeeze to set, or a soft ring is
            too soft to bear its clamp.
    """
    parts = pump.stack.parts
    heights = check_stack(pump, measured)
    known = tuple(p.name in measured.heights for p in parts)
    spreads = [
        measured.height_spread if seen else p.height_spread
        for p, seen in zip(parts, known, strict=True)
    ]
    return StackState(
        pump=pump,
        parts=parts,
        measured=known,
        heights=np.array(heights),
        spreads=np.array(spreads),
        compliance=np.array(
            [1 / p.stiffness if p.kind == "soft-ring" and p.stiffness else 0.0 for p in parts]
        ),
        bounds=np.array([p.bounds_lift and p.kind not in ("cage", "seat") for p in parts]),
        depth=measured.depth or pump.stack.depth,
        depth_spread=measured.height_spread if measured.depth else pump.stack.depth_spread,
        above=_shim_place(parts),
        tin=tuple(measured.tin),
    )


def clamp_limits(state: StackState) -> tuple[N, N]:
    """Clamping forces that suit the stack and keep every soft ring's squeeze within its limits.

    Where the two can't both be had, the stack's own limits stand.
    """
    stack = state.pump.stack
    low, high = sorted((stack.clamp_low, stack.clamp_high))
    least, most = low, high
    for part, height in zip(state.parts, state.heights, strict=True):
        if part.kind == "soft-ring" and part.stiffness:
            least = max(least, min(part.squeeze_low, part.squeeze_high) * height * part.stiffness)
            most = min(most, max(part.squeeze_low, part.squeeze_high) * height * part.stiffness)
    return (float(least), float(most)) if least < most else (low, high)


def ball_top(valve: Valve) -> M:
    """Height of the seated ball's top above the seat's face."""
    return valves.ball_height(
        valve.ball_diameter,
        valve.seat_half_angle,
        seat_bore=valve.seat_bore,
        seat_width=valve.seat_width,
    )


def room(state: StackState, clamp: N, *, under: M = 0.0) -> M:
    """Height of the cage's stop above the seat's face, clamped, with shims ``under`` the cage."""
    rings = state.heights - clamp * state.compliance
    return float(rings[state.bounds].sum()) + state.pump.stack.cage_floor + under


def lift(state: StackState, clamp: N, *, under: M = 0.0) -> M:
    """How far the foot-valve ball can rise: room in the cage less the seated ball's top.

    A shim on top of the cage leaves it as it is; one under the cage adds its thickness.
    """
    return valves.lift(room(state, clamp, under=under), ball_top(state.pump.foot_valve))


def lift_deviation(state: StackState, clamp: N, clamp_spread: Ratio) -> M:
    """Standard uncertainty of the lift."""
    squeezed = clamp * state.compliance[state.bounds]
    variance = (
        float((state.spreads[state.bounds] ** 2).sum())
        + float(squeezed.sum() * clamp_spread) ** 2
        + float(((squeezed * STIFFNESS_SPREAD) ** 2).sum())
        + state.cage_spread**2
        + SEAT_SPREAD**2
    )
    return math.sqrt(variance)
