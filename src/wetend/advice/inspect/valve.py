"""Judgement of balls and seats."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wetend.advice.inspect.damage import Path, damage_of, limits_of, working_pressure
from wetend.advice.inspect.effect import bound
from wetend.advice.inspect.figures import LEAST_MARK, believable, marked, slip
from wetend.advice.inspect.judgement import Check, PartJudgement, Seen, judged
from wetend.advice.inspect.limits import Limit, Reading, check
from wetend.advice.prove.limits import Allowed
from wetend.advice.reasons import Verdict
from wetend.errors import BadInput, UnknownName
from wetend.materials.ball_seat import find_material
from wetend.physics.leakage import seat_gap
from wetend.physics.valves import (
    contact_diameter,
    contact_modulus,
    line_contact_half_width,
    pressed_round,
    seat_line_load,
)
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import BallMeasured, End, SeatMeasured
from wetend.pump.parts import PartName, Valve
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.show import show

CHIP_BREADTH = 10.0
"""Breadth of a chip over its depth where it was not measured: common practice, no source."""


def valve_at(pump: Pump, end: End) -> Valve:
    """The foot valve or the piston valve."""
    return pump.foot_valve if end == "foot" else pump.piston_valve


def judge_ball(pump: Pump, coating: Coating | None, ball: BallMeasured) -> PartJudgement:
    """A ball by its diameters and marks.

    Raises:
        BadInput: nothing was measured or seen.
    """
    if not ball.diameters and ball.marks == "none":
        raise BadInput(Message("Nothing measured on the ball: enter diameters, or the marks seen."))
    valve, limits = valve_at(pump, ball.end), limits_of(pump, coating)
    checks = tuple(_ball_checks(valve, ball, limits))
    part: PartName = "foot-ball" if ball.end == "foot" else "piston-ball"
    return judged(
        part,
        checks=checks,
        seen=tuple(_ball_seen(valve, ball)),
        damage=damage_of(pump, coating, _out_of_round(valve, ball, limits)),
        advice=(
            Message("Never dress the ball you fit, nor lap with it: replace a scarred one."),
            Message("Prove a kept ball by the solvent test."),
        ),
    )


def _ball_checks(valve: Valve, ball: BallMeasured, limits: Allowed | None) -> Iterator[Check]:
    if not ball.diameters or not believable(ball.diameters, valve.ball_diameter):
        return
    least, most = min(ball.diameters), max(ball.diameters)
    fine = unit_of(MFine)
    lost = Reading(
        Message("Ball's loss of diameter"),
        valve.ball_diameter - least,
        least,
        "outside",
        ball.instrument,
    )
    yield check(lost, Limit(fine, upper=valve.ball_loss_limit, then=Message("Fit a new ball.")))
    if len(ball.diameters) > 1:
        out = Reading(Message("Ball out of round"), most - least, most, "outside", ball.instrument,
                      math.sqrt(2))  # fmt: skip
        most_out = bound(
            valve.ball_round_limit, "common practice", limits,
            path_of=lambda uneven: _standing_off(valve, uneven, limits) if limits else None,
            allowed=lambda at: at.foot_leak if ball.end == "foot" else at.piston_leak,
        )  # fmt: skip
        yield check(out, Limit(fine, upper=most_out.depth, source=most_out.source,
                               then=Message("Fit a new ball.")))  # fmt: skip


def _ball_seen(valve: Valve, ball: BallMeasured) -> Iterator[Seen]:
    brittle = valve.ball_material.startswith(("ceramic", "tungsten-carbide"))
    if not believable(ball.diameters, valve.ball_diameter):
        yield slip(Message("A diameter"))
    if ball.marks == "cracked or chipped":
        yield Seen(
            Verdict.REPLACE, Message("A cracked or chipped ball breaks up and goes down the hose.")
        )
    elif ball.marks == "dents or scars":
        yield Seen(
            Verdict.REPLACE, Message("A dented or scarred ball never holds; it can't be dressed.")
        )
    elif ball.marks == "fine marks" and brittle:
        yield Seen(
            Verdict.MEASURE_AGAIN,
            Message(
                "Fine marks on a hard, brittle ball may be cracks: look with a glass; any "
                "crack, replace."
            ),
        )
    elif ball.marks == "fine marks":
        yield Seen(Verdict.KEEP, Message("Fine marks alone do no harm if the solvent test is dry."))


def _out_of_round(valve: Valve, ball: BallMeasured, limits: Allowed | None) -> Path | None:
    """The way past a ball out of round, where limits say at what pressure."""
    if len(ball.diameters) < 2 or not believable(ball.diameters, valve.ball_diameter):
        return None
    uneven = max(ball.diameters) - min(ball.diameters)
    return _standing_off(valve, uneven, limits) if limits and uneven >= LEAST_MARK else None


def _standing_off(valve: Valve, uneven: MFine, limits: Allowed) -> Path:
    """What is not pressed home stands off by half as much, half the way round."""
    home = _pressed_home(valve, limits)
    gap = max(uneven - home, 0.0) / 2
    circle = math.pi * contact_diameter(valve.ball_diameter, valve.seat_half_angle)
    length = valve.band_limit / 2
    words = Message(
        "Working pressure presses {home} of it home; the rest stands off by half, half the way "
        "round; band half its limit.",
        home=show(home, unit_of(MFine)),
    )
    return Path(seat_gap(max(gap, LEAST_MARK), circle / 2, length), gap, length, words)


def _pressed_home(valve: Valve, limits: Allowed) -> MFine:
    """Out-of-round of a ball that ball and seat take up by giving, at working pressure.

    Of an oval the gap waves by a quarter of the difference of diameters either way.
    """
    try:
        ball, seat = find_material(valve.ball_material), find_material(valve.seat_material)
    except UnknownName:
        return 0.0
    modulus = contact_modulus(ball.modulus, ball.poisson, seat.modulus, seat.poisson)
    load = seat_line_load(
        working_pressure(limits), valve.ball_diameter, valve.seat_half_angle,
        spring=valve.spring_force,
    )  # fmt: skip
    width = line_contact_half_width(load, valve.ball_diameter / 2, modulus)
    circle = contact_diameter(valve.ball_diameter, valve.seat_half_angle)
    return 4 * pressed_round(load, width, modulus, circle=circle)


def judge_seat(pump: Pump, coating: Coating | None, seat: SeatMeasured) -> PartJudgement:
    """A seat by its band, chips and concentricity.

    Raises:
        BadInput: nothing was measured or seen.
    """
    if seat.band_width is None and seat.chip_depth is None and seat.concentric == "not looked":
        raise BadInput(
            Message("Nothing measured on the seat: enter band, chip, or whether it is even.")
        )
    valve = valve_at(pump, seat.end)
    part: PartName = "foot-seat" if seat.end == "foot" else "piston-seat"
    fresh = valve.reversible and seat.faces_used == 0
    return judged(
        part,
        checks=tuple(_seat_checks(valve, seat, fresh, limits_of(pump, coating))),
        seen=tuple(_seat_seen(seat, fresh)),
        damage=damage_of(pump, coating, _chip(valve, seat)),
        advice=tuple(_seat_advice(valve, fresh)),
    )


def _seat_checks(
    valve: Valve, seat: SeatMeasured, fresh: bool, limits: Allowed | None
) -> Iterator[Check]:
    failing = Verdict.TURN if fresh else Verdict.REPLACE
    then = (
        Message("Turn it: its other face is fresh.")
        if fresh
        else Message("No fresh face is left: fit a new one.")
    )
    if seat.band_width is not None:
        band = Reading(Message("Width of the worn band"), seat.band_width, seat.band_width, "width",
                       seat.instrument)  # fmt: skip
        limit = Limit(unit_of(M), upper=valve.band_limit, failing=failing, then=then)
        yield check(band, limit)
    if seat.chip_depth is not None:
        chip = Reading(
            Message("Depth of chip or groove"),
            seat.chip_depth,
            seat.chip_depth,
            "depth",
            seat.depth_by,
        )
        foot = seat.end == "foot"
        most = bound(
            valve.chip_limit, "common practice", limits,
            path_of=lambda d: _chip(valve, seat.model_copy(update={"chip_depth": d})),
            allowed=lambda at: at.foot_leak if foot else at.piston_leak,
        )  # fmt: skip
        if not fresh and can_be_lapped(valve) and seat.chip_depth <= LAPPED_OUT:
            failing, then = Verdict.DRESS, LAP
        limit = Limit(unit_of(MFine), upper=most.depth, source=most.source, failing=failing,
                      then=then)  # fmt: skip
        yield check(chip, limit)


def _seat_seen(seat: SeatMeasured, fresh: bool) -> Iterator[Seen]:
    if seat.concentric == "yes":
        yield Seen(Verdict.KEEP, Message("The band is even all round."))
    elif seat.concentric == "no" and fresh:
        yield Seen(
            Verdict.TURN, Message("The band is uneven: the cone is worn out of centre. Turn it.")
        )
    elif seat.concentric == "no":
        yield Seen(Verdict.REPLACE, Message("The band is uneven and no fresh face is left."))


def can_be_lapped(valve: Valve) -> bool:
    """Whether its seat is soft enough: stainless or plain steel, no carbide and no ceramic."""
    return valve.seat_material.startswith(("stainless", "carbon-steel"))


LAPPED_OUT: MFine = 100e-6
"""Deepest mark that lapping by hand takes out (common practice, no source)."""
LAP = Message(
    "Lap it with a sacrificial ball and fine paste, never the ball that goes in; "
    "if the mark stays, fit a new one."
)
NEW_BALL = Message(
    "A new, turned or lapped seat gets a new ball: a worn one never fits the fresh cone."
)


def _seat_advice(valve: Valve, fresh: bool) -> Iterator[str]:
    if fresh:
        yield Message("Seat's good face to the ball; mark the used face.")
    elif valve.reversible:
        yield Message("Both faces are used: carry a new seat.")
    if can_be_lapped(valve):
        yield Message(
            "A light mark in a soft stainless seat can be lapped out with a sacrificial ball."
        )
    else:
        yield Message("A carbide or ceramic seat can't be lapped by hand: turn it or change it.")
    yield NEW_BALL


def _chip(valve: Valve, seat: SeatMeasured) -> Path | None:
    depth, width, band = marked(seat.chip_depth), marked(seat.chip_width), marked(seat.band_width)
    if depth is None:
        return None
    breadth = width or CHIP_BREADTH * depth
    length = band or valve.band_limit / 2
    said = (
        Message("as measured")
        if width
        else Message("taken as {chip_breadth:.0f} times its depth", chip_breadth=CHIP_BREADTH)
    )
    across = Message("as measured") if band else Message("taken as half the widest allowed")
    words = Message("Chip's breadth {said}; the band across it {across}.", said=said, across=across)
    return Path(seat_gap(depth, breadth, length), depth, length, words)
