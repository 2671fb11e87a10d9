"""Sentences on the stack's figures, and cautions at the step that needs them."""

from __future__ import annotations

import math

from wetend.advice.reasons import Caution, Verdict
from wetend.advice.rebuild.draws import Drawn
from wetend.advice.rebuild.shims import Ending
from wetend.advice.rebuild.stack import StackState, clamp_limits
from wetend.advice.rebuild.torque import HARD_PULL
from wetend.advice.rebuild.turn import clock_text
from wetend.advice.safety.hazards import caution, for_screen
from wetend.pump.description import Pump
from wetend.units.message import Message, joined
from wetend.units.quantity import NM, M, N, Rad, Ratio, unit_of
from wetend.units.show import chance_text, fine_length, show
from wetend.units.stated import stated

SURE: Ratio = 0.9
"""Chance from which a thing is called enough: 90 % (our choice)."""
EVEN: Ratio = 0.5
_FAR = 1e-3
"""A measured height this far from the described one is worth a second look, m (our choice)."""


def chance_verdict(chance: Ratio) -> Verdict:
    """Enough from 90 %, watch from one in two, else fail."""
    if chance >= SURE:
        return Verdict.ENOUGH
    return Verdict.WATCH if chance >= EVEN else Verdict.FAIL


def clamp_verdict(end: Ending) -> Verdict:
    """Whether the clamp lies within its limits surely enough; a loose stack fails."""
    return Verdict.FAIL if end.clamp <= 0 else chance_verdict(end.clamp_chance)


def shim_title(thickness: M) -> str:
    """What a shim is called in a list."""
    return Message("shim {thickness}", thickness=fine_length(thickness))


def elbow_why(state: StackState, end: Ending, drawn: Drawn, *, target: Rad, wanted: M) -> str:
    """Why the elbow ends where it does, and what would correct it."""
    if state.turns_freely:
        return Message(
            "The housing turns freely in its clamp ring: set the elbow to {target} by "
            "hand and hold it there while the ring is drawn up. The shims set the "
            "clamping only.",
            target=clock_text(target),
        )
    chance = drawn.on_target
    text = Message(
        "It stops within the tolerance of {target} in {chance} of assemblies.",
        target=clock_text(target),
        chance=chance_text(chance),
    )
    if chance >= SURE:
        return text
    shims = sum(state.tin)
    if shims <= 0 or abs(_short(end, target)) > state.pump.stack.target_within / 3:
        return Message(
            "{text} A total of {wanted} of shims would be right; the tin can't make that total.",
            text=text,
            wanted=fine_length(wanted),
        )
    return Message(
        "{text} The sizes are not known well enough: measure every height and the depth again.",
        text=text,
    )


def _short(end: Ending, target: Rad) -> Rad:
    return math.remainder(end.angle - target, 2 * math.pi)


def lift_why(pump: Pump, lift: M, chance: Ratio) -> str:
    """Why the lift is right or wrong, and what corrects it."""
    valve = pump.foot_valve
    limits = Message(
        "{lift_low} to {lift_high}",
        lift_low=fine_length(valve.lift_low),
        lift_high=fine_length(valve.lift_high),
    )
    if lift <= 0:
        return Message(
            "The cage presses the ball on its seat: the pump would not draw. Look for a "
            "missing soft ring, a wrong ball or a cage upside down."
        )
    if lift > valve.lift_high:
        return Message(
            "The ball lifts {lift} against {limits}: it draws easily, but returns to its "
            "seat too late, worst with thick coatings. Look for a shim under the cage or "
            "a thick lower ring.",
            lift=fine_length(lift),
            limits=limits,
        )
    if lift < valve.lift_low:
        return Message(
            "The ball lifts {lift} against {limits}: it closes early, but leaves too "
            "little room to draw thick coatings. Shims on top of the cage don't change "
            "it; look for a crushed lower ring.",
            lift=fine_length(lift),
            limits=limits,
        )
    said = fine_length(lift)
    if chance >= SURE:
        return Message("The ball lifts {lift}, surely within {limits}.", lift=said, limits=limits)
    return Message(
        "The ball lifts {lift}, but not surely within {limits}.", lift=said, limits=limits
    )


def variant_why(state: StackState, end: Ending, *, right: Ending, lift_verdict: Verdict) -> str:
    """What goes wrong when the shims go in so."""
    said = []
    if not state.turns_freely:
        said.append(_turned(state, end, right))
    said += _clamped(state, end)
    if abs(end.lift - right.lift) > 1e-5:
        by = fine_length(abs(end.lift - right.lift))
        more = Message("The ball lifts {by} more.", by=by)
        said.append(more if end.lift > right.lift else Message("The ball lifts {by} less.", by=by))
    if lift_verdict is not Verdict.ENOUGH and end.lift > state.pump.foot_valve.lift_high:
        said.append(Message("It returns to its seat too late, worst with thick coatings."))
    elif lift_verdict is not Verdict.ENOUGH and end.lift > right.lift:
        said.append(Message("That is close to the most it may lift."))
    return joined(" ", said)


def _turned(state: StackState, end: Ending, right: Ending) -> str:
    turn = (end.gap - right.gap) / state.lead * 360.0
    if abs(turn) < 0.5:
        return Message("The elbow ends in the same place, so nothing outside shows it.")
    if abs(abs(turn) - 90.0) < 1.0:
        if turn > 0:
            return Message("The elbow stops a quarter turn further round.")
        return Message("The elbow stops a quarter turn short.")
    if turn > 0:
        return Message("The elbow stops {degrees:.0f} degrees further round.", degrees=turn)
    return Message("The elbow stops {degrees:.0f} degrees short.", degrees=-turn)


def _clamped(state: StackState, end: Ending) -> list[str]:
    low, high = clamp_limits(state)
    if end.clamp <= 0:
        return [Message("Nothing is clamped: the stack is loose, leaks and knocks.")]
    if end.clamp < low and state.turns_freely:
        return [Message("The soft rings are squeezed too little and may let coating past.")]
    if end.clamp > high and state.turns_freely:
        return [Message("The soft rings are squeezed too hard and creep out.")]
    return []


def stack_cautions(
    state: StackState, end: Ending, shims: tuple[M, ...], *, torque: NM, lever: M | None
) -> tuple[Caution, ...]:
    """What can hurt people or parts while the stack goes back, one a hazard."""
    found = [
        caution(
            "lever",
            Message(
                "Tighten to {torque} on greased threads; a levered spanner slips: brace the "
                "pump, pull towards you, hand and face out of its swing.",
                torque=show(torque, unit_of(NM)),
            ),
        ),
        *_lever_cautions(torque, lever),
        caution("stack"),
        caution("thread"),
        *_odd_heights(state),
    ]
    if sum(shims) > state.lead:
        found.append(
            caution(
                "thread-short",
                Message(
                    "More than a whole turn's worth of shims: the housing loses a turn of "
                    "thread. Look for a missing or crushed part before you assemble it like this."
                ),
            )
        )
    if end.gap < 0 and not state.turns_freely:
        found.append(
            caution(
                "thread-short",
                Message(
                    "The stack is taller than the datum turn allows, so the housing stops before "
                    "it: see that its thread is still well engaged."
                ),
            )
        )
    return for_screen(*found)


def _lever_cautions(torque: NM, lever: M | None) -> list[Caution]:
    if lever is None:
        return []
    pull = torque / lever
    if pull <= HARD_PULL:
        return []
    longer = show(math.ceil(torque / HARD_PULL * 10) / 10, unit_of(M))
    return [
        caution(
            "hard-pull",
            Message(
                "This lever needs a pull of {pull}, more than most people can control; use "
                "one of at least {longer}, made for it.",
                pull=show(pull, unit_of(N)),
                longer=longer,
            ),
        )
    ]


def _odd_heights(state: StackState) -> list[Caution]:
    odd = [
        p.title or p.name.replace("-", " ")
        for p, h, seen in zip(state.parts, state.heights, state.measured, strict=True)
        if seen and abs(h - p.height) > _FAR
    ]
    if not odd:
        return []
    return [
        caution(
            "measuring",
            Message(
                "Measured more than {length} from the described height: {odd}. Measure again, "
                "and check that it is this pump's part.",
                odd=joined(Message(" and "), odd),
                length=stated("1 mm"),
            ),
        )
    ]
