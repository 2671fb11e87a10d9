"""Instruments of running checks and proofs, close up: rule, gauge, pail and watch, ohmmeter."""

from __future__ import annotations

from wetend.drawings.measuring import tools
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.tools import At, balloon
from wetend.drawings.svg import area, box, circle, line, strokes
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import M, Pa, unit_of
from wetend.units.show import show


def rule(pump: Pump) -> Plate:
    """A rule fixed beside the rod, and how far a mark on the rod moved."""

    def beside() -> str:
        thick = min(max(pump.rod.diameter / pump.cylinder.bore * 40, 14.0), 34.0)
        x, first, then = 110.0, 42.0, 66.0
        return (
            box("dw-steel dw-edge", x - thick / 2, 0, thick, 98)
            + area(
                "dw-paper-fill dw-edge", [(x - 40, 88), (x - 40, 108), (x + 40, 108), (x + 40, 88)]
            )
            + box("dw-steel dw-edge", x - thick / 2, 88, thick, 10)
            + tools.rule(At(x + thick / 2 + 17, 2, 90), 104)
            + line("dw-outline", (x + thick / 2 + 17, 100), (x + 74, 100), (x + 74, 108))
            + line("dw-outline", (x - thick / 2, first), (x + thick / 2, first))
            + line("dw-sound", (x - thick / 2, then), (x + thick / 2 + 4, then))
            + line("dw-fine", (x - thick / 2, first), (x - 52, first))
            + line("dw-fine", (x - thick / 2, then), (x - 52, then))
            + tools.both_ways([(x - 46, first), (x - 46, then)])
            + balloon(2, x - 64, (first + then) / 2)
            + balloon(1, x + thick / 2 + 34, 30)
            + tools.watch(At(262, 54), 15)
            + balloon(3, 262, 92)
        )

    return Plate(
        (),
        Message("Rule beside the rod"),
        112,
        beside,
        (
            Message("Rule clamped to the frame, not held; the eye level with the mark."),
            Message(
                "Mark the rod with chalk or tape; read how far it moved. Stroke: {stroke}.",
                stroke=show(pump.stroke, unit_of(M)),
            ),
            Message("Between two looks at the watch."),
        ),
        Message("No scratch on the chrome, no hand between rod and frame."),
    )


def gauge(pump: Pump, *, zero: bool = False) -> Plate:
    """A gauge read square on."""

    def face() -> str:
        needle = 130.0 if zero else -40.0
        return (
            tools.dial(At(110, 44), 38, needle=needle)
            + tools.eye(At(206, 44))
            + line("dw-leader", (194, 44), (150, 44))
            + balloon(1, 236, 44)
        )

    said = (
        Message(
            "Square on to the face: the needle rests on its stop, neither above it nor past it."
        )
        if zero
        else Message(
            "Square on to the face, to half a division, once the needle is steady. Never "
            "above {limit}.",
            limit=show(pump.limits.outlet_pressure, unit_of(Pa)),
        )
    )
    return Plate((), Message("Gauge"), 86, face, (said,))


def supply(pump: Pump) -> Plate:
    """The supply's gauge at the drive."""

    def face() -> str:
        return (
            tools.dial(At(110, 44), 38, needle=-90)
            + tools.eye(At(206, 44))
            + line("dw-leader", (194, 44), (150, 44))
            + balloon(1, 236, 44)
        )

    rated = show(pump.drive.supply_rated, unit_of(Pa))
    said = Message(
        "Square on, while it runs, to half a division. Drive rated {rated}.", rated=rated
    )
    return Plate((), Message("Gauge at the drive"), 86, face, (said,))


def pail_and_watch() -> Plate:
    """A measuring pail and a stop-watch."""

    def caught() -> str:
        return (
            tools.pail(At(96, 92), wide=84, tall=76, full=0.55)
            + line("dw-leader", (130, 50), (172, 50))
            + tools.eye(At(186, 50))
            + balloon(1, 214, 50)
            + tools.watch(At(270, 52), 18)
            + balloon(2, 270, 92)
        )

    return Plate(
        (),
        Message("Pail and watch"),
        104,
        caught,
        (
            Message(
                "Pail level, bonded, read at eye height before and after; froth is let settle."
            ),
            Message("Start and stop the watch, and the count of cycles, at the same turn."),
        ),
    )


def watch() -> Plate:
    """Strokes by the watch."""

    def timed() -> str:
        return (
            box("dw-steel dw-edge", 92, 4, 22, 84)
            + tools.both_ways([(140, 10), (140, 84)])
            + balloon(1, 160, 46)
            + tools.watch(At(236, 48), 18)
            + balloon(2, 272, 48)
        )

    return Plate(
        (),
        Message("Strokes by the watch"),
        92,
        timed,
        (
            Message("From one turn of the rod to the next: up and down apart."),
            Message("Eight strokes or more each way; the eye on the rod, not on the watch."),
        ),
    )


def ohmmeter() -> Plate:
    """Resistance metal to metal."""

    def leads() -> str:
        return (
            box("dw-metal dw-edge", 16, 14, 56, 60)
            + strokes("dw-fine", [((26, 30), (34, 24)), ((28, 34), (38, 26))])
            + circle("dw-steel dw-edge", 30, 30, 5)
            + tools.pail(At(276, 82), wide=56, tall=56, full=0.4)
            + tools.ohmmeter(At(160, 44))
            + line("dw-outline", (150, 66), (140, 84), (60, 84), (31, 34))
            + line("dw-outline", (170, 66), (180, 84), (226, 60), (248, 30))
            + balloon(1, 50, 30)
            + balloon(2, 276, 12)
        )

    return Plate(
        (),
        Message("Ohmmeter, metal to metal"),
        96,
        leads,
        (
            Message("One tip on bare metal of the pump: through paint it reads nothing."),
            Message("The other in turn on earth point, pail and object; enter the largest."),
        ),
    )
