"""Measuring rod and cylinder."""

from __future__ import annotations

from wetend.drawings.hatching import hatch
from wetend.drawings.measuring import tools
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.tools import At, balloon
from wetend.drawings.svg import WIDE, area, box, circle, line, strokes
from wetend.pump.description import Pump
from wetend.pump.parts import Cylinder, Rod
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.show import show

_LONG = 236.0
"""Length of a rod or cylinder as drawn."""
_LEFT = 14.0


def _across(x: float, y: float, radius: float, *, bore: bool) -> str:
    """The end view, with two directions at right angles."""
    ring = circle("dw-steel dw-edge", x, y, 1.3 * radius if bore else radius)
    hole = circle("dw-paper-fill dw-edge", x, y, radius) if bore else ""
    a = radius - 1
    return (
        ring
        + hole
        + tools.both_ways([(x - a, y), (x + a, y)])
        + tools.both_ways([(x, y - a), (x, y + a)])
    )


def _timber(x: float, y: float) -> str:
    grain = [((x - 10 + 5 * n, y + 6), (x - 14 + 5 * n, y + 16)) for n in range(1, 5)]
    return box("dw-metal dw-edge-thin", x - 14, y, 28, 20) + strokes("dw-fine", grain)


def rod(pump: Pump) -> tuple[Plate, ...]:
    """A rod's diameter, scratches, chrome, run-out and ends."""
    part: Rod = pump.rod
    scale = _LONG / part.length
    thick = min(max(part.diameter * scale, 14.0), 34.0)
    first, last = _LEFT + part.packed_from * scale, _LEFT + part.packed_to * scale
    stations = [first + (last - first) * share for share in (0.08, 0.5, 0.92)]

    def body(y: float) -> str:
        top = y - thick / 2
        end = _LEFT + _LONG
        thread = [
            ((end - 12 + 3 * n, top + 2), (end - 12 + 3 * n, top + thick - 2)) for n in range(4)
        ]
        return (
            box("dw-steel dw-edge", _LEFT, top, _LONG, thick)
            + line("dw-thin", (end - 14, top), (end - 14, top + thick))
            + strokes("dw-fine", thread)
        )

    def diameters() -> str:
        y = 66.0
        low = y + thick / 2
        span = y - thick / 2 - 12
        return (
            _timber(_LEFT + 18, low)
            + _timber(_LEFT + _LONG - 34, low)
            + tools.micrometer(At(stations[1], y, 90), thick, deep=4)
            + body(y)
            + tools.keep_off((first, y - thick / 2), (last, y - thick / 2), side=1)
            + "".join(
                tools.both_ways([(x, y - thick / 2), (x, low)]) for x in (stations[0], stations[2])
            )
            + balloon(1, stations[0], span - 6)
            + balloon(1, stations[2], span - 6)
            + _across(WIDE - 30, y, 24, bore=False)
            + balloon(2, WIDE - 30, y - 40)
            + line("dw-fine", (_LEFT, low + 4), (_LEFT, low + 36))
            + line("dw-fine", (first, low), (first, low + 36))
            + tools.both_ways([(_LEFT, low + 32), (first, low + 32)])
            + balloon(3, (_LEFT + first) / 2, low + 46)
        )

    def scratch() -> str:
        y = 52.0
        at = stations[1]
        top = y - thick / 2
        mark = strokes(
            "dw-outline", [((at - 12, y - 3), (at + 12, y + 1)), ((at - 8, y + 1), (at + 9, y + 4))]
        )
        under = y + thick / 2 + 2
        return (
            body(y)
            + mark
            + tools.fingernail(At(at + 3, y - 1))
            + tools.rule(At(_LEFT, under), at - _LEFT + 40)
            + line("dw-fine", (at, y), (at, under + 16))
            + balloon(1, at + 54, top - 12)
            + line("dw-leader", (at + 45, top - 10), (at + 32, y - 20))
            + balloon(2, at, under + 26)
            + balloon(3, at - 40, y)
            + balloon(4, _LEFT + _LONG - 4, top - 12)
            + line("dw-leader", (_LEFT + _LONG - 6, top - 4), (_LEFT + _LONG - 8, y))
        )

    def run_out() -> str:
        y = 66.0
        low = y + thick / 2
        middle = _LEFT + _LONG / 2
        vees = "".join(
            area(
                "dw-metal dw-edge-thin",
                [
                    (x - 12, low - 4),
                    (x, low + 4),
                    (x + 12, low - 4),
                    (x + 12, low + 18),
                    (x - 12, low + 18),
                ],
            )
            for x in (_LEFT + 20, _LEFT + _LONG - 34)
        )
        return (
            vees
            + body(y)
            + tools.dial_gauge(At(middle, y - thick / 2), stem=14)
            + tools.turned(At(_LEFT + _LONG + 22, y), 15, 150, 400)
            + balloon(1, middle + 30, y - thick / 2 - 24)
            + balloon(2, _LEFT + _LONG + 52, y)
        )

    place = Message(
        "{low} to {high} from the lower end",
        low=show(part.packed_from, unit_of(M)),
        high=show(part.packed_to, unit_of(M)),
    )
    return (
        Plate(
            ("diameters", "stations"),
            Message("Diameter: micrometer"),
            128 + thick / 4,
            diameters,
            (
                Message(
                    "Three places or more in the packed travel, {place}. New: {size}.",
                    place=place,
                    size=show(part.diameter, unit_of(M)),
                ),
                Message("Two directions at right angles at each place."),
                Message("Where each was taken: rule, from the lower end, here at the left."),
            ),
            Message("Nothing hard on the chrome: rest it on timber, grip it by its flats."),
        ),
        Plate(
            ("scratch_depth", "scratch_width", "scratch_at", "chrome", "ends"),
            Message("Scratch, dent, chrome, rod end"),
            92 + thick / 2,
            scratch,
            (
                Message(
                    "Depth: fingernail across it; closer, a straightedge and light. Width: "
                    "calliper. Against {limit}.",
                    limit=show(part.scratch_limit, unit_of(MFine)),
                ),
                Message("Its distance from the lower end: rule laid beside it."),
                Message("Chrome: look along it against the light for flakes and bare metal."),
                Message("Rod end: try coupling or collets on it by hand."),
            ),
        ),
        Plate(
            ("run_out",),
            Message("Run-out: dial gauge"),
            100 + thick / 2,
            run_out,
            (
                Message("Tip on the middle, both ends borne; wipe the rod first."),
                Message("Turn the rod once round by hand: greatest less least reading."),
            ),
        ),
    )


def cylinder(pump: Pump) -> tuple[Plate, ...]:
    """A cylinder's bore and scores."""
    part: Cylinder = pump.cylinder
    scale = _LONG / part.length
    bore = min(max(part.bore * scale, 34.0), 66.0)
    wall = min(max(0.5 * (part.outside / part.bore - 1) * bore, 6.0), 14.0)
    places = [_LEFT + share * 0.82 * _LONG for share in (0.16, 0.5, 0.84)]
    long = 0.82 * _LONG

    def sleeve(y: float) -> str:
        top, low = y - bore / 2, y + bore / 2
        walls = [
            [(_LEFT, a), (_LEFT + long, a), (_LEFT + long, b), (_LEFT, b)]
            for a, b in ((top - wall, top), (low, low + wall))
        ]
        return (
            box("dw-paper-fill", _LEFT, top, long, bore)
            + area("dw-metal dw-edge", *walls)
            + strokes("dw-hatch", [s for ring in walls for s in hatch(ring, spacing=4)])
            + line("dw-outline", (_LEFT, top), (_LEFT, low))
            + line("dw-outline", (_LEFT + long, top), (_LEFT + long, low))
        )

    def diameters() -> str:
        y = 20 + wall + bore / 2
        low = y + bore / 2
        end = _LEFT + long
        return (
            sleeve(y)
            + tools.keep_off((_LEFT + 4, low), (end - 4, low), side=1)
            + tools.bore_gauge(At(places[1], y, 90), bore, stem=end + 8 - places[1])
            + "".join(
                tools.both_ways([(x, y - bore / 2), (x, low)]) for x in (places[0], places[2])
            )
            + "".join(balloon(1, x, 10) for x in places)
            + _across(WIDE - 32, y, 23, bore=True)
            + balloon(2, WIDE - 32, y + 44)
            + line("dw-fine", (_LEFT, low + wall), (_LEFT, low + wall + 20))
            + line("dw-fine", (places[0], low), (places[0], low + wall + 20))
            + tools.both_ways([(_LEFT, low + wall + 14), (places[0], low + wall + 14)])
            + balloon(3, places[0] + 14, low + wall + 14)
        )

    def score() -> str:
        y = 22 + wall + bore / 2
        x = places[1]
        marks = [
            ((_LEFT + 20, y + 4), (_LEFT + long - 30, y + 4)),
            ((_LEFT + 46, y + 7), (_LEFT + long - 60, y + 7)),
        ]
        ring_x, ring_y, r = WIDE - 36.0, y, 26.0
        return (
            sleeve(y)
            + strokes("dw-outline", marks)
            + tools.fingernail(At(x, y + 4))
            + balloon(1, x + 52, y - 14)
            + balloon(2, _LEFT + 34, y - 8)
            + line("dw-leader", (_LEFT + 34, y + 1), (_LEFT + 34, y + 4))
            + circle("dw-steel dw-edge", ring_x, ring_y, 1.2 * r)
            + circle("dw-paper-fill dw-edge", ring_x, ring_y, r)
            + "".join(
                circle("dw-ink-fill", ring_x + (r - 5) * u, ring_y + (r - 5) * v, 2.4)
                for u, v in tools.arc(1.0, 0, 315, 7)
            )
            + balloon(3, ring_x, ring_y)
        )

    return (
        Plate(
            ("diameters", "heights", "per_height"),
            Message("Bore: bore gauge"),
            44 + 2 * wall + bore,
            diameters,
            (
                Message(
                    "Three heights in the stroke: near the top, in the middle, near the "
                    "bottom. New: {size}.",
                    size=show(part.bore, unit_of(M)),
                ),
                Message(
                    "Two directions at right angles at each height; rock the gauge and take "
                    "the least."
                ),
                Message("Height of each from the lower end, here at the left: rule."),
            ),
            Message("No steel tip is drawn along the bore; feel with a fingernail."),
        ),
        Plate(
            ("score_depth", "score_width", "score_direction", "dial"),
            Message("Score; dial round one height"),
            44 + 2 * wall + bore,
            score,
            (
                Message(
                    "Depth: fingernail across the score; closer, a straightedge and light. "
                    "Width: calliper. Against {limit}.",
                    limit=show(part.score_limit, unit_of(MFine)),
                ),
                Message("Which way it runs: along the bore, or round it."),
                Message("With a dial: zero it, then seven places or more evenly once round."),
            ),
        ),
    )
