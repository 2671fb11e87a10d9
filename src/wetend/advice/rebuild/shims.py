"""Choice of shims from the tin: every subset evaluated, the best one taken."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wetend.advice.rebuild.stack import Array, StackState, clamp_limits, lift, lift_deviation
from wetend.advice.rebuild.turn import on_target, probability_within, stop_angle, tightening
from wetend.physics import stackup
from wetend.physics.stackup import CLAMP_SPREAD, SHIM_SPREAD, STIFFNESS_SPREAD, TURN
from wetend.units.quantity import M, N, Rad, Ratio


@dataclass(frozen=True)
class Ending:
    """Where one set of shims leaves the housing: direction, clamp, lift, with their spreads."""

    angle: Rad
    deviation: Rad
    """Standard uncertainty of the direction; zero where it is set by hand."""
    on_target: Ratio
    clamp: N
    clamp_deviation: N
    clamp_chance: Ratio
    """Probability that the clamp lies within its limits."""
    lift: M
    lift_deviation: M
    lift_chance: Ratio
    gap: M
    """Depth less clamped height: what turning the housing closes."""


def _height_variance(state: StackState, count: int | NDArray[np.int64]) -> Array:
    fixed = float((state.spreads**2).sum()) + state.depth_spread**2
    return np.asarray(fixed + SHIM_SPREAD**2 * np.asarray(count, dtype=float))


def clamp_at(state: StackState, total: M | Array) -> Array:
    """Clamp that a total of shims gives: set by torque on a thread, by nip under a clamp ring."""
    if not state.turns_freely:
        return np.full(np.shape(total), sum(clamp_limits(state)) / 2)
    nip = float(state.heights.sum()) + np.asarray(total) - state.depth
    return np.asarray(np.maximum(nip, 0.0) / state.yielding)


def clamp_deviation(state: StackState, clamp: Array, count: int | NDArray[np.int64]) -> Array:
    """Standard uncertainty of that clamp."""
    if not state.turns_freely:
        return np.asarray(clamp * CLAMP_SPREAD)
    part = float(((state.compliance * STIFFNESS_SPREAD) ** 2).sum()) / state.yielding**2
    return np.asarray(np.sqrt(_height_variance(state, count) / state.yielding**2 + clamp**2 * part))


def _sizes(state: StackState, count: int) -> list[float]:
    return [*state.spreads, state.depth_spread, *(SHIM_SPREAD,) * count]


def gap_deviation(state: StackState, clamp: N, count: int) -> M:
    """Standard uncertainty of the gap that turning closes, threaded housing."""
    return stackup.gap_spread(_sizes(state, count), list(clamp * state.compliance))


def gap_worst(state: StackState, clamp: N, count: int) -> M:
    """Furthest the gap may be off with every size two standard uncertainties out the same way."""
    return stackup.gap_worst(_sizes(state, count), list(clamp * state.compliance))


def gap_at(state: StackState, clamp: Array, total: M | Array) -> Array:
    """Depth at the datum turn less the stack's clamped height."""
    return np.asarray(
        state.depth - (float(state.heights.sum()) + np.asarray(total) - clamp * state.yielding)
    )


def best_shims(state: StackState, target: Rad) -> tuple[tuple[M, ...], int]:
    """The best set from the tin, thickest first, and how many sets were weighed.

    On a thread the set most likely to end with the elbow on target; under a clamp ring, with the
    clamp within its limits. Exact: every set is weighed (:func:`wetend.physics.stackup.best_set`).
    Shims on top of the cage leave the lift alone on a threaded housing; under a clamp ring they
    change it by microns through the squeeze.
    """
    if state.turns_freely:
        return stackup.best_set(state.tin, partial(_weigh_clamp, state))
    stack, clamp = state.pump.stack, clamp_at(state, 0.0)
    found = stackup.choose_shims(
        float(gap_at(state, clamp, 0.0)), state.lead, state.tin,
        target=tightening(target, datum=stack.datum, hand=stack.hand), reach=stack.target_within,
        spread=gap_deviation(state, float(clamp), 0),
    )  # fmt: skip
    return found.shims, found.tried


def _weigh_clamp(state: StackState, total: Array, count: NDArray[np.int64]) -> tuple[Array, Array]:
    """Chance that the clamp lies within its limits, and how far from their middle it is."""
    clamp = clamp_at(state, total)
    low, high = clamp_limits(state)
    chance = probability_within(clamp, clamp_deviation(state, clamp, count), low, high)
    return chance, np.abs(clamp - (low + high) / 2)


def shims_wanted(state: StackState, target: Rad) -> M:
    """Least total thickness that would end exactly right, or zero where none does."""
    clamp = sum(clamp_limits(state)) / 2
    if state.turns_freely:
        return max(0.0, state.depth - float(state.heights.sum()) + clamp * state.yielding)
    stack = state.pump.stack
    gap = float(gap_at(state, np.array(clamp), 0.0))
    bare = float(stop_angle(gap, state.lead, datum=stack.datum, hand=stack.hand))
    back = (bare - target) if stack.hand == "right" else (target - bare)
    return (back % TURN) / TURN * state.lead


def ending(
    state: StackState, target: Rad, *, on_top: tuple[M, ...], under: tuple[M, ...] = ()
) -> Ending:
    """Where these shims, on top of and under the cage, leave the housing and the ball."""
    total, count = sum(on_top) + sum(under), len(on_top) + len(under)
    clamp = float(clamp_at(state, total))
    clamp_sd = float(clamp_deviation(state, np.array(clamp), count))
    gap = float(gap_at(state, np.array(clamp), total))
    stack, valve = state.pump.stack, state.pump.foot_valve
    angle = target
    angle_sd, chance = 0.0, 1.0
    if not state.turns_freely:
        angle = float(stop_angle(gap, state.lead, datum=stack.datum, hand=stack.hand))
        angle_sd = gap_deviation(state, clamp, count) / state.lead * TURN
        chance = float(on_target(angle, angle_sd, target=target, within=stack.target_within))
    low, high = clamp_limits(state)
    lifted = lift(state, clamp, under=sum(under))
    shims_sd = SHIM_SPREAD * math.sqrt(len(under))
    lift_sd = math.hypot(
        lift_deviation(state, clamp, clamp_sd / clamp if clamp > 0 else 0.0), shims_sd
    )
    return Ending(
        angle=angle,
        deviation=angle_sd,
        on_target=chance,
        clamp=clamp,
        clamp_deviation=clamp_sd,
        clamp_chance=float(probability_within(clamp, clamp_sd, low, high)),
        lift=lifted,
        lift_deviation=lift_sd,
        lift_chance=float(probability_within(lifted, lift_sd, valve.lift_low, valve.lift_high)),
        gap=gap,
    )
