"""Torque that clamps the stack, the pull on the lever for it, and the gland nut's turn."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.rebuild.stack import StackState, clamp_limits
from wetend.physics import threads
from wetend.pump.description import Pump
from wetend.units.message import Message, joined, plural
from wetend.units.quantity import NM, M, N, Ratio, unit_of
from wetend.units.show import fine_length, rough, show

HALF_THREAD_ANGLE = math.radians(30.0)
"""Half the angle of a metric thread (ISO 68-1)."""
CLOSING_PULL = 1.5
"""A clamp ring is drawn up to so many times the stack's clamp, so that the flange is surely home
(common practice, no source)."""
HARD_PULL: N = 400.0
"""Pull at a lever's end that most people can still steer (common practice, no source)."""
LEAST_PULL: N = 20.0
"""Pull at a lever's end under which it is no lever's work: hand-tight, and no figure for it (common
practice, no source)."""


def pull_on(torque: NM | None, lever: M | None) -> N | None:
    """Pull at the lever's end; ``None`` without a lever, or where a hand alone does it."""
    if torque is None or lever is None:
        return None
    pull = threads.lever_force(torque, lever)
    return pull if LEAST_PULL <= pull < math.inf else None


def collar_diameter(state: StackState) -> M:
    """Mean diameter of the face that slides while tightening.

    A threaded housing slides under the lowest part; a clamp ring on the housing's flange, taken at
    the thread's diameter.
    """
    if state.turns_freely:
        return state.pump.stack.thread_diameter
    lowest = state.parts[0]
    return (lowest.outside + lowest.inside) / 2


def pull_wanted(state: StackState, clamp: N) -> N:
    """Axial pull the thread must bring: the clamp itself, or enough to close the flange home."""
    if not state.turns_freely:
        return clamp
    return CLOSING_PULL * max(clamp, clamp_limits(state)[0])


def clamp_torque(state: StackState, clamp: N) -> NM:
    """Torque on housing or clamp ring, greased thread and face.

    Raises:
        NoAnswer: the thread's diameter, lead and friction can't be turned.
    """
    stack = state.pump.stack
    return threads.raising_torque(
        pull_wanted(state, clamp),
        threads.pitch_diameter(stack.thread_diameter, stack.pitch),
        lead=state.lead,
        friction=stack.friction,
        flank_angle=HALF_THREAD_ANGLE,
        collar_friction=stack.friction,
        collar_diameter=collar_diameter(state),
    )


@dataclass(frozen=True)
class GlandSetting:
    """Effect of turning the gland nut on the static packings, where known."""

    travel: M
    """The nut goes in by this after it touches."""
    squeeze: Ratio
    """Of the set's free height."""
    force: N | None
    torque: NM | None
    """Greased; ``None`` without the set's stiffness and the nut's thread."""


def gland_setting(pump: Pump) -> GlandSetting | None:
    """From the gland nut's thread and the set's stiffness; ``None`` where no pitch is described.

    Travel by the helix; the torque is the screw's with its collar, as :func:`clamp_torque`.
    """
    packings = pump.static_packings
    pitch, thread = packings.gland_pitch, packings.gland_thread
    if pitch is None:
        return None
    travel = pitch * packings.gland_turn / math.tau
    force = packings.stiffness * travel if packings.stiffness is not None else None
    torque = None
    if force is not None and thread is not None and pitch < thread / 2:
        torque = threads.raising_torque(
            force, threads.pitch_diameter(thread, pitch), lead=pitch,
            friction=pump.stack.friction, flank_angle=HALF_THREAD_ANGLE,
            collar_friction=pump.stack.friction, collar_diameter=thread,
        )  # fmt: skip
    return GlandSetting(travel, travel / packings.height, force, torque)


def _set_in(pump: Pump, lever: M | None) -> str:
    setting = gland_setting(pump)
    if setting is None or setting.travel <= 0:
        return ""
    travel = fine_length(setting.travel)
    pull = pull_on(setting.torque, lever)
    if pull is None or setting.torque is None or lever is None:
        return Message("That sets it in by {travel}.", travel=travel)
    return Message(
        "That sets it in by {travel}, about {torque} = {pull} on the {lever} lever.",
        travel=travel,
        torque=show(setting.torque, unit_of(NM)),
        pull=show(pull, unit_of(N)),
        lever=rough(lever, unit_of(M), digits=3),
    )


def gland_text(pump: Pump, lever: M | None = None) -> str:
    """How the gland nut goes back: hand-tight and so many flats, then looked at again."""
    turn = pump.static_packings.gland_turn
    again = Message(
        "Check again after the first hour under pressure: V-rings settle; nip it up "
        "a twelfth of a turn if coating shows in the wet cup, pressure off first."
    )
    if turn <= 0:
        return Message("Gland nut: hand-tight on the V-rings, no further. {again}", again=again)
    tighten = Message(
        "Gland nut: greased, hand-tight on the V-rings, then {turn} more: tighter only burns them.",
        turn=_turn_words(turn),
    )
    return joined(" ", filter(None, (tighten, _set_in(pump, lever), again)))


def _turn_words(turn: float) -> str:
    degrees = round(math.degrees(turn))
    flats = turn / math.radians(60.0)
    if abs(flats - round(flats)) < 0.02 and 1 <= round(flats) <= 12:
        return plural(
            "{n} flat ({degrees} degrees)",
            "{n} flats ({degrees} degrees)",
            round(flats),
            degrees=degrees,
        )
    return Message("{degrees} degrees", degrees=degrees)
