"""The elbow on a clock face, seen from below: where it stops, its spread, where it should point."""

from __future__ import annotations

import math

from wetend.advice.rebuild.turn import clock_text
from wetend.drawings.svg import WIDE, Point, area, circle, group, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.units.message import Message, Words
from wetend.units.quantity import Rad

_FULL = 2 * math.pi


def at(centre: Point, radius: float, angle: Rad) -> Point:
    """The point at a radius, clockwise from 12."""
    return centre[0] + radius * math.sin(angle), centre[1] - radius * math.cos(angle)


def arc(centre: Point, radius: float, start: Rad, end: Rad) -> list[Point]:
    """Points along an arc, close enough to look round."""
    steps = max(2, math.ceil(abs(end - start) / 0.06))
    return [at(centre, radius, start + (end - start) * i / steps) for i in range(steps + 1)]


def _turned(centre: Point, angle: Rad, *points: Point) -> list[Point]:
    """Points given as (across, outwards) laid along a direction."""
    s, c = math.sin(angle), math.cos(angle)
    return [(centre[0] + x * c + y * s, centre[1] + x * s - y * c) for x, y in points]


def fan(centre: Point, radius: float, low: Rad, high: Rad, *, inner: float = 0.0) -> str:
    """The sector from ``low`` clockwise to ``high``, the whole dial if it is a turn or more."""
    span = high - low
    if span >= _FULL:
        return circle("dw-accent-pale", *centre, radius)
    outer = arc(centre, radius, low, low + max(span, 0.0))
    return area("dw-accent-pale", outer + arc(centre, inner, low + max(span, 0.0), low))


def dial(centre: Point, radius: float) -> str:
    """Rim and hour ticks, longer at 12, 3, 6 and 9."""
    ticks = []
    for hour in range(12):
        reach = 0.13 if hour % 3 == 0 else 0.07
        angle = hour * math.pi / 6
        ends = at(centre, radius, angle), at(centre, radius * (1 - reach), angle)
        ticks.append(line("dw-outline" if hour % 3 == 0 else "dw-thin", *ends))
    return group("dw-dial", circle("dw-outline", *centre, radius), *ticks)


def elbow(centre: Point, radius: float, angle: Rad) -> str:
    """The housing and its elbow from below, an arrow where the elbow points."""
    hub, pipe = 0.36 * radius, 0.15 * radius
    tube = _turned(centre, angle, (-pipe, 0), (-pipe, 0.58 * radius), (pipe, 0.58 * radius),
                   (pipe, 0))  # fmt: skip
    flange = _turned(centre, angle, (-1.45 * pipe, 0.58 * radius), (-1.45 * pipe, 0.66 * radius),
                     (1.45 * pipe, 0.66 * radius), (1.45 * pipe, 0.58 * radius))  # fmt: skip
    head = _turned(centre, angle, (-0.75 * pipe, 0.74 * radius), (0, 0.95 * radius),
                   (0.75 * pipe, 0.74 * radius))  # fmt: skip
    bore = 0.62 * pipe
    hidden = [_turned(centre, angle, (x, 0.0), (x, 0.66 * radius)) for x in (-bore, bore)]
    return group(
        "dw-elbow",
        circle("dw-metal dw-edge", *centre, hub),
        area("dw-steel", tube), line("dw-outline", *tube),
        area("dw-steel dw-edge", flange),
        *(line("dw-hidden", *h) for h in hidden),
        circle("dw-steel dw-edge", *centre, 1.35 * pipe),
        area("dw-accent", head),
        line("dw-centre", *_turned(centre, angle, (0, -0.5 * radius), (0, 0.7 * radius))),
        line("dw-centre", *_turned(centre, angle, (-0.46 * radius, 0), (0.46 * radius, 0))),
    )  # fmt: skip


def hand(centre: Point, radius: float, angle: Rad) -> str:
    """A plain hand, for a dial too small to show the elbow."""
    return line("dw-accent-thick", centre, at(centre, radius * 0.84, angle)) + circle(
        "dw-accent", *centre, 4
    )


def _target(centre: Point, radius: float, target: Rad, within: Rad | None) -> str:
    band = []
    if within:
        wide = min(within, math.pi)
        rim = arc(centre, radius + 6, target - wide, target + wide)
        ends = [line("dw-thin", at(centre, radius + 2, target + s * wide),
                     at(centre, radius + 10, target + s * wide)) for s in (-1, 1)]  # fmt: skip
        band = [line("dw-outline", *rim), *ends]
    wedge = _turned(centre, target, (0, radius + 1), (-7, radius + 13), (7, radius + 13))
    return group("dw-target", *band, area("dw-ink-fill", wedge))


def face(
    angle: Rad,
    low: Rad,
    high: Rad,
    target: Rad | None = None,
    within: Rad | None = None,
    *,
    set_by_hand: bool = False,
    reader: Words = AS_WRITTEN,
) -> str:
    """The clock face with the elbow's direction.

    Args:
        angle: where the elbow stops, clockwise from 12 seen from below.
        low: start of the fan that holds it with 90 % probability.
        high: end of that fan, clockwise of ``low``.
        target: direction wanted.
        within: how far off it may point, either way.
        set_by_hand: a clamp-ring housing, that turns freely until it is clamped.
        reader: whose language it is in.
    """
    centre, radius = (WIDE / 2, 134.0), 92.0
    say = saying(reader)
    span = Message("{low} to {high}, 9 in 10", low=clock_text(low), high=clock_text(high))
    numerals = [
        words(text, *_numeral(centre, radius, hour), cls="dw-text dw-big", anchor="middle")
        for hour, text in ((0, "12"), (3, "3"), (6, "6"), (9, "9"))
    ]
    foot = 284.0
    below = [Message("turns freely: set by hand, then clamp") if set_by_hand else span]
    if target is not None:
        below.append(Message("▲ wanted {clock}", clock=clock_text(target)))
    shown = target if set_by_hand and target is not None else angle
    return sheet(
        say(Message("Elbow on a clock face: {clock}", clock=clock_text(angle))),
        say(_described(angle, span, target)),
        "" if set_by_hand else fan(centre, radius - 1, low, high),
        dial(centre, radius), elbow(centre, radius, shown),
        "" if target is None else _target(centre, radius, target, within),
        *numerals,
        words(say(Message("seen from below")), 4, 14, cls="dw-text dw-small dw-quiet"),
        words(say(Message("elbow {clock}", clock=clock_text(shown))), WIDE / 2, foot,
              cls="dw-text dw-big", anchor="middle"),
        *(words(say(text), WIDE / 2, foot + 20 + 18 * i, anchor="middle")
          for i, text in enumerate(below)),
        height=foot + 12 + 18 * len(below),
    )  # fmt: skip


def _described(angle: Rad, span: str, target: Rad | None) -> str:
    if target is None:
        return Message(
            "Seen from below the elbow stops at {clock}; {span}.",
            clock=clock_text(angle), span=span,
        )  # fmt: skip
    return Message(
        "Seen from below the elbow stops at {clock}; {span}. wanted {wanted}.",
        clock=clock_text(angle), span=span, wanted=clock_text(target),
    )  # fmt: skip


def _numeral(centre: Point, radius: float, hour: int) -> Point:
    x, y = at(centre, radius + 25, hour * math.pi / 6)
    return x, y + 5
