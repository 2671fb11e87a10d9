"""Monte Carlo of the stack: heights, shims, stiffness and clamp drawn together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wetend.advice.reasons import Interval
from wetend.advice.rebuild.stack import (
    SEAT_SPREAD,
    Array,
    StackState,
    ball_top,
    clamp_limits,
)
from wetend.advice.rebuild.turn import circular_interval, share, stop_angle
from wetend.physics.stackup import CLAMP_SPREAD, SHIM_SPREAD, STIFFNESS_SPREAD, TURN, miss
from wetend.units.quantity import M, Rad, Ratio


@dataclass(frozen=True)
class Drawn:
    """Monte Carlo result for one way of building the stack."""

    angle: Interval
    on_target: Ratio
    lift: Interval
    lift_chance: Ratio
    clamp: Interval
    clamp_chance: Ratio
    draws: int
    seed: int


def _interval(values: Array) -> Interval:
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return Interval(float(low), float(middle), float(high))


def _relative(rng: np.random.Generator, spread: Ratio, size: tuple[int, ...]) -> Array:
    """Factors about one that can't go negative (lognormal, median one)."""
    return np.exp(spread * rng.standard_normal(size))


def _clamp(state: StackState, total: Array, give: Array, rng: np.random.Generator) -> Array:
    """Clamp of each draw: by torque on a thread, by what the closed ring leaves of the stack."""
    if not state.turns_freely:
        middle = sum(clamp_limits(state)) / 2
        return np.asarray(middle * _relative(rng, CLAMP_SPREAD, (len(total),)))
    depth = state.depth + state.depth_spread * rng.standard_normal(len(total))
    return np.asarray(np.maximum(total - depth, 0.0) / give.sum(axis=1))


def _angles(state: StackState, total: Array, squeezed: Array, rng: np.random.Generator) -> Array:
    depth = state.depth + state.depth_spread * rng.standard_normal(len(total))
    stack = state.pump.stack
    gap = depth - (total - squeezed)
    return stop_angle(gap, state.lead, datum=stack.datum, hand=stack.hand)


def draw_endings(
    state: StackState, target: Rad, on_top: tuple[M, ...], *, draws: int, seed: int
) -> Drawn:
    """Draw every uncertain size and count where elbow, ball and clamp end (JCGM 101:2008).

    Heights, depth and shims are normal; stiffness and clamp are lognormal, so never negative. Under
    a clamp ring the direction is set by hand and not drawn.
    """
    rng = np.random.default_rng(seed)
    parts = len(state.parts)
    heights = state.heights + state.spreads * rng.standard_normal((draws, parts))
    shims = sum(on_top) + SHIM_SPREAD * np.sqrt(len(on_top)) * rng.standard_normal(draws)
    total = heights.sum(axis=1) + shims
    give = state.compliance * _relative(rng, STIFFNESS_SPREAD, (draws, parts))
    clamp = _clamp(state, total, give, rng)
    squeezed = give * clamp[:, None]
    room = ((heights - squeezed) * state.bounds).sum(axis=1) + state.pump.stack.cage_floor
    valve = state.pump.foot_valve
    lift = room - ball_top(valve)
    lift = lift + np.hypot(state.cage_spread, SEAT_SPREAD) * rng.standard_normal(draws)
    low, high = clamp_limits(state)
    angles = np.full(draws, target % TURN)
    if not state.turns_freely:
        angles = _angles(state, total, squeezed.sum(axis=1), rng)
    return Drawn(
        angle=Interval(*circular_interval(angles)),
        on_target=share(np.abs(miss(angles, target)) <= state.pump.stack.target_within),
        lift=_interval(lift),
        lift_chance=share((lift >= valve.lift_low) & (lift <= valve.lift_high)),
        clamp=_interval(clamp),
        clamp_chance=share((clamp >= low) & (clamp <= high)),
        draws=draws,
        seed=seed,
    )
