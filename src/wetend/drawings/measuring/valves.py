"""Measuring balls and seats, and the solvent test."""

from __future__ import annotations

import math

from wetend.drawings.ball_seat import Resting, rest
from wetend.drawings.hatching import hatch
from wetend.drawings.measuring import tools
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.tools import At, balloon
from wetend.drawings.svg import Point, area, circle, line, strokes
from wetend.pump.parts import Valve
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.show import show

_BALL = 40.0
"""Radius of a ball as drawn."""


def oval(x: float, y: float, wide: float, tall: float) -> list[Point]:
    """An ellipse's points."""
    return [(x + wide * u, y + tall * v) for u, v in tools.arc(1.0, 0, 360, 36)]


def ball(valve: Valve) -> tuple[Plate, ...]:
    """A ball's diameters and marks."""

    def diameters() -> str:
        x, y = 120.0, 52.0
        return (
            tools.micrometer(At(x, y), 2 * _BALL)
            + circle("dw-steel dw-edge", x, y, _BALL)
            + line("dw-hidden", *oval(x, y, 0.38 * _BALL, _BALL))
            + line("dw-hidden", *oval(x, y, _BALL, 0.38 * _BALL))
            + tools.turned(At(x, y), 0.62 * _BALL, 200, 340)
            + balloon(1, x - 72, y)
            + balloon(2, x, y - 2)
        )

    def marks() -> str:
        x, y = 120.0, 46.0
        ring = [(x + 0.7 * _BALL * u, y + 12 + 9 * v) for u, v in tools.arc(1.0, 0, 180, 20)]
        return (
            circle("dw-steel dw-edge", x, y, _BALL)
            + line("dw-outline", *ring)
            + line("dw-thin", *[(a, b + 4) for a, b in ring])
            + tools.glass(At(x + 22, y + 18))
            + tools.eye(At(x + 120, y + 4))
            + line("dw-leader", (x + 107, y + 5), (x + 40, y + 16))
            + balloon(1, x - 56, y + 14)
            + line("dw-leader", (x - 47, y + 14), (x - 28, y + 15))
        )

    return (
        Plate(
            ("diameters",),
            Message("Diameter: micrometer"),
            116,
            diameters,
            (
                Message(
                    "Across the ball, {size} when new; read it to a hundredth or better.",
                    size=show(valve.ball_diameter, unit_of(M)),
                ),
                Message(
                    "Turn the ball in between: four directions or more. The difference of "
                    "greatest and least is its out-of-round."
                ),
            ),
            Message("Hold it in a dry cloth, never in pliers or a vice."),
        ),
        Plate(
            ("marks",),
            Message("Marks: glass and light"),
            92,
            marks,
            (
                Message(
                    "Round the band it sits on: dents, scars, cracks. Turn it under the glass; "
                    "a fingernail feels what catches."
                ),
            ),
        ),
    )


def seat_profile(valve: Valve, scale: float) -> tuple[Resting, float, float]:
    """How a ball rests on this seat, in sheet units, with the seat's outer radius and height."""
    r = valve.ball_diameter / 2
    outer, tall = 1.45 * r, 1.0 * r
    found = rest(
        ball=r,
        bore=valve.seat_bore / 2,
        half_angle=valve.seat_half_angle,
        width=valve.seat_width,
        height=tall,
        widest=outer,
    )
    sized = Resting(*(each * scale for each in (found.bore, found.mouth, found.cone, found.centre)))
    return sized, outer * scale, tall * scale


def _half(way: int, x: float, base: float, seat: Resting, outer: float, tall: float) -> list[Point]:
    return [
        (x + way * seat.bore, base),
        (x + way * seat.bore, base - tall + seat.cone),
        (x + way * seat.mouth, base - tall),
        (x + way * outer, base - tall),
        (x + way * outer, base),
    ]


def seat_section(x: float, base: float, seat: Resting, outer: float, tall: float) -> str:
    """A seat cut through its axis, standing on ``base``."""
    rings = [_half(way, x, base, seat, outer, tall) for way in (1, -1)]
    lines = [each for ring in rings for each in hatch(ring, spacing=5)]
    return area("dw-steel dw-edge", *rings) + strokes("dw-hatch", lines)


def on_cone(way: int, x: float, base: float, seat: Resting, tall: float, share: float) -> Point:
    """A point of the cone, from its lower edge (0) to its mouth (1)."""
    return (
        x + way * (seat.bore + share * (seat.mouth - seat.bore)),
        base - tall + (1 - share) * seat.cone,
    )


def _contact(valve: Valve) -> float:
    """Where along the cone the ball touches it, as a share from its lower edge."""
    seat, _, _ = seat_profile(valve, 1.0)
    touch = valve.ball_diameter / 2 * math.cos(valve.seat_half_angle)
    share = (touch - seat.bore) / (seat.mouth - seat.bore) if seat.mouth > seat.bore else 0.5
    return min(max(share, 0.25), 0.75)


def seat(valve: Valve) -> tuple[Plate, ...]:
    """A seat's band, chips and evenness."""
    scale = 2 * 32.0 / valve.ball_diameter
    form, outer, tall = seat_profile(valve, scale)
    at = _contact(valve)

    def band() -> str:
        x, base = 84.0, 112.0
        low, high = (on_cone(1, x, base, form, tall, at + d) for d in (-0.2, 0.2))
        mid = on_cone(1, x, base, form, tall, at)
        slope = math.degrees(math.atan2(high[1] - low[1], high[0] - low[0]))
        long = math.dist(low, high)
        plan_x, plan_y = 250.0, 62.0
        big = 50.0 / outer
        rings = [
            (outer, "dw-steel dw-edge"),
            (form.mouth, "dw-paper-fill dw-edge-thin"),
            (form.bore + (at + 0.2) * (form.mouth - form.bore), "dw-soft-pale dw-edge-thin"),
            (form.bore + (at - 0.2) * (form.mouth - form.bore), "dw-paper-fill dw-edge-thin"),
            (form.bore, "dw-metal dw-edge-thin"),
        ]
        r = (form.bore + at * (form.mouth - form.bore)) * big
        across = [
            (
                (plan_x + (r - 9) * u, plan_y + (r - 9) * v),
                (plan_x + (r + 9) * u, plan_y + (r + 9) * v),
            )
            for u, v in ((1, 0), (0, 1), (-1, 0), (0, -1))
        ]
        return (
            seat_section(x, base, form, outer, tall)
            + line("dw-accent-thick", low, high)
            + line(
                "dw-accent-thick", *(on_cone(-1, x, base, form, tall, at + d) for d in (-0.2, 0.2))
            )
            + tools.calliper(At(*mid, slope), long, reach=22)
            + balloon(1, mid[0] + 44, mid[1] + 18)
            + line("dw-leader", mid, (mid[0] + 35, mid[1] + 15))
            + "".join(circle(cls, plan_x, plan_y, radius * big) for radius, cls in rings)
            + "".join(tools.both_ways(pair) for pair in across)
            + balloon(2, plan_x, plan_y)
        )

    def chip() -> str:
        x, y, r = 96.0, 62.0, 50.0
        share = (form.bore / outer, form.mouth / outer)
        inner, mouth = r * share[0], r * share[1]
        a, b = math.radians(-62), math.radians(-42)
        nick = [
            (x + inner * math.cos(a), y + inner * math.sin(a)),
            (x + mouth * math.cos(a), y + mouth * math.sin(a)),
            (x + mouth * math.cos(b), y + mouth * math.sin(b)),
            (x + inner * math.cos(b), y + inner * math.sin(b)),
        ]
        mid = ((nick[1][0] + nick[3][0]) / 2, (nick[1][1] + nick[3][1]) / 2)
        ends = [
            (x + (mouth + 7) * math.cos(t), y + (mouth + 7) * math.sin(t))
            for t in (a - 0.1, b + 0.1)
        ]
        return (
            circle("dw-steel dw-edge", x, y, r)
            + circle("dw-paper-fill dw-edge-thin", x, y, mouth)
            + circle("dw-metal dw-edge-thin", x, y, inner)
            + area("dw-ink-fill", nick)
            + tools.fingernail(At(mid[0] + 2, mid[1]))
            + tools.both_ways(ends)
            + balloon(1, mid[0] + 62, mid[1] + 2)
            + line("dw-leader", (mid[0] + 53, mid[1]), (mid[0] + 36, mid[1] - 16))
            + balloon(2, ends[0][0] - 22, ends[0][1] + 2)
            + line("dw-leader", (ends[0][0] - 13, ends[0][1] + 2), ends[0])
            + tools.keep_off(
                *[(x + inner * u, y + inner * v) for u, v in tools.arc(1.0, 60, 200, 10)], side=-1
            )
            + tools.keep_off(
                *[(x + mouth * u, y + mouth * v) for u, v in tools.arc(1.0, 60, 200, 12)], side=1
            )
        )

    return (
        Plate(
            ("band_width", "concentric", "faces_used"),
            Message("Worn band on the cone: calliper"),
            124,
            band,
            (
                Message(
                    "Width of the bright band along the slope; condemned above {limit}.",
                    limit=show(valve.band_limit, unit_of(M)),
                ),
                Message(
                    "At four places a quarter turn apart: as wide all round, the cone is true; "
                    "wider on one side, it is worn out of centre. Look at both faces."
                ),
            ),
        ),
        Plate(
            ("chip_depth", "chip_width"),
            Message("Chip or groove across the cone"),
            122,
            chip,
            (
                Message(
                    "Depth: fingernail across it, better a straightedge and light; against "
                    "{limit}.",
                    limit=show(valve.chip_limit, unit_of(MFine)),
                ),
                Message("Width along the edge: calliper."),
            ),
            Message("No steel tip is drawn over the cone: the edge chips."),
        ),
    )


def solvent(valve: Valve) -> tuple[Plate, ...]:
    """Solvent over the seated ball."""
    scale = 2 * 30.0 / valve.ball_diameter
    form, outer, tall = seat_profile(valve, scale)
    radius = 30.0

    def poured() -> str:
        x, base = 110.0, 118.0
        centre = base - form.centre
        top, wall = centre - radius - 10, outer + 4
        left, right = x - outer, x + outer
        head = x + wall + 16
        return (
            area("dw-wash", [(left, base - tall), (right, base - tall), (right, top), (left, top)])
            + line("dw-thin", (left, top), (right, top))
            + area(
                "dw-metal dw-edge",
                [
                    (x - wall - 6, base),
                    (x - outer, base),
                    (x - outer, top - 12),
                    (x - wall - 6, top - 12),
                ],
            )
            + area(
                "dw-metal dw-edge",
                [
                    (x + wall + 6, base),
                    (x + outer, base),
                    (x + outer, top - 12),
                    (x + wall + 6, top - 12),
                ],
            )
            + seat_section(x, base, form, outer, tall)
            + circle("dw-steel dw-edge", x, centre, radius)
            + line("dw-fine", (right + 4, top), (head + 4, top))
            + line("dw-fine", (right + 4, base - tall), (head + 4, base - tall))
            + tools.both_ways([(head, top), (head, base - tall)])
            + balloon(1, head + 14, (top + base - tall) / 2)
            + tools.drops(At(x, base + 4))
            + tools.pail(At(x, base + 76), wide=40, tall=34, full=0.2)
            + balloon(3, x + 36, base + 58)
            + tools.watch(At(262, centre))
            + balloon(2, 262, centre + 34)
        )

    return (
        Plate(
            ("solvent", "head", "time", "lost", "least_seen"),
            Message("Solvent on the seated ball"),
            198,
            poured,
            (
                Message("Height of solvent over the seat: rule. A finger's width or more."),
                Message("Time by the watch: two minutes or more."),
                Message(
                    "Catch what comes through from below and count the drops; dry paper under "
                    "it shows the first one."
                ),
            ),
            Message("Do not press on the ball or move it while the watch runs."),
        ),
    )
