"""Wrong ways to fit the shims, each computed beside the right one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.answer import Variant
from wetend.advice.rebuild.shims import Ending, ending
from wetend.advice.rebuild.stack import StackState
from wetend.advice.rebuild.turn import clock_text, on_target
from wetend.advice.rebuild.words import chance_verdict, variant_why
from wetend.physics.stackup import TURN
from wetend.units.message import Message, plural
from wetend.units.quantity import M, Rad
from wetend.units.show import fine_length

_Way = tuple[str, tuple[M, ...], tuple[M, ...]]


def _without(shims: tuple[M, ...], one: M) -> tuple[M, ...]:
    at = shims.index(one)
    return shims[:at] + shims[at + 1 :]


def _ways(shims: tuple[M, ...], sizes: tuple[M, ...]) -> Iterator[_Way]:
    """Title, shims on top and shims under, for each way of going wrong."""
    for size in dict.fromkeys(shims):
        yield Message("one {size} shim left out", size=fine_length(size)), _without(shims, size), ()
    for size in dict.fromkeys(shims):
        yield Message("one {size} shim doubled", size=fine_length(size)), (*shims, size), ()
    for size in dict.fromkeys(shims):
        yield (
            Message("the {size} shim under the cage", size=fine_length(size)),
            _without(shims, size),
            (size,),
        )
    if len(shims) > 1:
        yield Message("all shims under the cage"), (), shims
    if not shims:
        for size in sorted(set(sizes))[:2]:
            yield Message("a {size} shim put in on top", size=fine_length(size)), (size,), ()
            yield (
                Message("a {size} shim put in under the cage", size=fine_length(size)),
                (),
                (size,),
            )


def variant_of(state: StackState, title: str, end: Ending, right: Ending) -> Variant:
    """One way of putting the shims in, against the right one."""
    lift = chance_verdict(end.lift_chance)
    elbow = Verdict.ENOUGH if state.turns_freely else chance_verdict(end.on_target)
    return Variant(
        title=title,
        stop_angle=end.angle,
        clock=clock_text(end.angle),
        lift=end.lift,
        lift_verdict=lift,
        elbow_verdict=elbow,
        why=variant_why(state, end, right=right, lift_verdict=lift),
        clamp=end.clamp,
    )


def _other_starts(
    state: StackState, target: Rad, right: Ending, shims: tuple[M, ...]
) -> Iterator[Variant]:
    """Threads of several starts: the housing entered on another start than the datum's."""
    starts = state.pump.stack.starts
    if state.turns_freely:
        return
    for step in range(1, starts):
        angle = (right.angle + step / starts * TURN) % TURN
        within = state.pump.stack.target_within
        chance = float(on_target(angle, right.deviation, target=target, within=within))
        end = replace(right, angle=angle, on_target=chance)
        made = variant_of(
            state,
            plural("housing entered {n} start on", "housing entered {n} starts on", step),
            end,
            right,
        )
        why = Message(
            "The elbow stops {degrees:.0f} degrees round: mark the start the datum was "
            "taken on, and enter on that one.",
            degrees=360 * step / starts,
        )
        yield replace(made, why=why, on_top=shims)


def wrong_ways(state: StackState, target: Rad, shims: tuple[M, ...]) -> tuple[Variant, ...]:
    """One shim left out, one doubled, one or all under the cage: elbow, lift and what goes wrong.

    Where no shim is wanted: one put in all the same. Threads of several starts: another start.
    """
    right = ending(state, target, on_top=shims)
    found = []
    for title, on_top, under in _ways(shims, state.tin or state.pump.stack.shim_sizes):
        end = ending(state, target, on_top=on_top, under=under)
        made = variant_of(state, title, end, right)
        found.append(replace(made, on_top=on_top, under=under))
    return (*found, *_other_starts(state, target, right, shims))
