"""The fit of the seal stack: shims, elbow, lift, squeeze, torque."""

from __future__ import annotations

import math

from wetend.advice.reasons import Interval, Verdict
from wetend.advice.rebuild.answer import Squeeze, StackFit, StackLayer, Variant
from wetend.advice.rebuild.draws import Drawn, draw_endings
from wetend.advice.rebuild.shims import Ending, best_shims, ending, shims_wanted
from wetend.advice.rebuild.spread import spread_of
from wetend.advice.rebuild.stack import StackState, read_stack
from wetend.advice.rebuild.torque import clamp_torque, gland_text, pull_on
from wetend.advice.rebuild.turn import clock_text, probability_within
from wetend.advice.rebuild.variants import wrong_ways
from wetend.advice.rebuild.words import (
    chance_verdict,
    clamp_verdict,
    elbow_why,
    lift_why,
    shim_title,
    stack_cautions,
)
from wetend.advice.rebuild.workings import stack_workings
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.parts import StackPart
from wetend.units.message import Message
from wetend.units.quantity import M, Rad

__all__ = ["Squeeze", "StackFit", "StackLayer", "Variant", "clock_text", "fit_stack"]

BY_HAND: Rad = math.radians(5.0)
"""How close an elbow is set by hand before the clamp ring is drawn up (common practice)."""
_DRAWS = (100, 1_000_000)


def _part_layer(state: StackState, index: int, clamp: float) -> StackLayer:
    part: StackPart = state.parts[index]
    free = float(state.heights[index])
    return StackLayer(
        name=part.name,
        kind=part.kind,
        title=part.title or part.name.replace("-", " "),
        height=max(free - clamp * float(state.compliance[index]), 0.0),
        free_height=free,
        outside=part.outside,
        inside=part.inside,
        measured=state.measured[index],
    )


def _shim_layers(state: StackState, shims: tuple[M, ...]) -> list[StackLayer]:
    below = state.parts[max(state.above - 1, 0)]
    return [
        StackLayer(
            name=f"shim-{number}",
            kind="shim",
            title=shim_title(thickness),
            height=thickness,
            free_height=thickness,
            outside=below.outside,
            inside=below.inside,
            measured=True,
        )
        for number, thickness in enumerate(shims, 1)
    ]


def _layers(state: StackState, shims: tuple[M, ...], clamp: float) -> tuple[StackLayer, ...]:
    """All layers from the housing's floor upwards, shims on top of the cage."""
    parts = [_part_layer(state, i, clamp) for i in range(len(state.parts))]
    return tuple(parts[: state.above] + _shim_layers(state, shims) + parts[state.above :])


def _squeezes(state: StackState, end: Ending) -> tuple[Squeeze, ...]:
    found = []
    relative = end.clamp_deviation / end.clamp if end.clamp > 0 else 0.0
    for part, height, give in zip(state.parts, state.heights, state.compliance, strict=True):
        if part.kind != "soft-ring":
            continue
        squeeze = end.clamp * float(give) / float(height)
        low, high = sorted((part.squeeze_low, part.squeeze_high))
        chance = float(probability_within(squeeze, squeeze * relative, low, high))
        title = part.title or part.name.replace("-", " ")
        found.append(Squeeze(part.name, squeeze, chance_verdict(chance), title, low, high))
    return tuple(found)


def _spread(state: StackState, end: Ending, drawn: Drawn) -> Interval:
    """Interval of the direction: drawn on a thread, as set by hand under a clamp ring."""
    if state.turns_freely:
        return Interval(end.angle - BY_HAND, end.angle, end.angle + BY_HAND)
    return drawn.angle


def fit_stack(
    pump: Pump, measured: StackMeasured, *, draws: int = 20000, seed: int = 1
) -> StackFit:
    """Choose shims from the tin and compute where the elbow stops and how far the ball lifts.

    Every set of shims is weighed; the one with the best chance of the elbow on target is taken
    (under a clamp ring: of the clamp within its limits), fewer shims where two do as well. The
    spread comes from ``draws`` seeded Monte Carlo draws.

    Raises:
        BadInput: a part this pump does not have, a size that can't be, or too many draws.
        NoAnswer: a clamp-ring stack without a soft ring.
    """
    if not _DRAWS[0] <= draws <= _DRAWS[1]:
        raise BadInput(
            Message("Draws must be from {fewest} to {most}.", fewest=_DRAWS[0], most=_DRAWS[1])
        )
    state = read_stack(pump, measured)
    target = pump.stack.target if measured.target is None else measured.target
    shims, tried = best_shims(state, target)
    end = ending(state, target, on_top=shims)
    drawn = draw_endings(state, target, shims, draws=draws, seed=seed)
    spread = _spread(state, end, drawn)
    torque = clamp_torque(state, end.clamp)
    lever = measured.lever
    wanted = shims_wanted(state, target)
    return StackFit(
        layers=_layers(state, shims, end.clamp),
        shims=shims,
        stop_angle=end.angle,
        spread=spread,
        clock=clock_text(end.angle),
        clock_low=clock_text(spread.low),
        clock_high=clock_text(spread.high),
        target=target,
        on_target=drawn.on_target,
        elbow_verdict=Verdict.ENOUGH if state.turns_freely else chance_verdict(drawn.on_target),
        turns_freely=state.turns_freely,
        lift=end.lift,
        lift_spread=drawn.lift,
        lift_verdict=chance_verdict(drawn.lift_chance),
        squeezes=_squeezes(state, end),
        clamp=end.clamp,
        torque=torque,
        lever=lever,
        lever_force=pull_on(torque, lever),
        gland=gland_text(pump, lever),
        variants=wrong_ways(state, target, shims),
        subsets_tried=tried,
        workings=stack_workings(state, target, end, drawn, shims=shims, torque=torque),
        cautions=stack_cautions(state, end, shims, torque=torque, lever=lever),
        elbow_why=elbow_why(state, end, drawn, target=target, wanted=wanted),
        lift_why=lift_why(pump, end.lift, drawn.lift_chance),
        clamp_verdict=clamp_verdict(end),
        clamp_spread=drawn.clamp,
        lift_chance=drawn.lift_chance,
        within=pump.stack.target_within,
        shims_wanted=wanted,
        sureness=spread_of(
            state, end, len(shims), half_drawn=(drawn.angle.high - drawn.angle.low) / 2
        ),
    )
