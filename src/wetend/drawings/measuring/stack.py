"""Measuring the heights of the seal stack, its shims and the housing's depth."""

from __future__ import annotations

from wetend.drawings.measuring import tools
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.seals import cup, housing_shares
from wetend.drawings.measuring.tools import At, balloon
from wetend.drawings.svg import area, box, circle, line
from wetend.pump.description import Pump
from wetend.pump.parts import StackPart
from wetend.units.message import Message
from wetend.units.quantity import M, unit_of
from wetend.units.show import show

_SHOWN = 4


def _ring(part: StackPart, x: float, base: float, scale: float) -> tuple[str, float, float]:
    """One part of the stack cut through, with its height and outer radius as drawn."""
    outer, tall = part.outside / 2 * scale, min(max(part.height * scale, 7.0), 64.0)
    outer = min(max(outer, 16.0), 30.0)
    inner = outer * min(max(part.inside / part.outside, 0.15), 0.85)
    soft = "dw-soft-pale dw-edge" if part.kind == "soft-ring" else "dw-steel dw-edge"
    halves = [
        [
            (x + w * inner, base),
            (x + w * outer, base),
            (x + w * outer, base - tall),
            (x + w * inner, base - tall),
        ]
        for w in (1, -1)
    ]
    return (
        area(soft, *halves)
        + line("dw-thin", (x - inner, base - tall), (x + inner, base - tall))
        + line("dw-thin", (x - inner, base), (x + inner, base)),
        tall,
        outer,
    )


def stack(pump: Pump) -> tuple[Plate, ...]:
    """Heights of cage, seat, rings and shims, and the housing's depth."""
    parts = pump.stack.parts[:_SHOWN]
    scale = 56.0 / max(p.outside for p in parts)
    inlet, pocket, outer = housing_shares(pump)

    def heights() -> str:
        step, base = 300.0 / len(parts), 122.0
        drawn = line("dw-outline", (2, base), (326, base))
        for number, part in enumerate(parts):
            x = 14 + step * (number + 0.5)
            ring, tall, wide = _ring(part, x, base, scale)
            drawn += ring + tools.both_ways(
                [(x + wide + 7, base - max(tall, 16)), (x + wide + 7, base)]
            )
            if number == 0:
                drawn += tools.micrometer(At(x - wide + 3, base - tall / 2, -90, flip=True), tall)
                drawn += balloon(1, x + 14, base - tall - 30)
            elif part.kind == "soft-ring":
                drawn += balloon(2, x, base - max(tall, 16) - 14)
        return drawn

    def shims() -> str:
        x, base = 80.0, 72.0
        plan = 236.0
        return (
            tools.micrometer(At(x - 30, base, -90, flip=True), 4)
            + box("dw-ink-fill", x - 34, base - 2, 78, 4)
            + circle("dw-steel dw-edge", plan, base, 40)
            + circle("dw-paper-fill dw-edge", plan, base, 27)
            + "".join(
                circle("dw-ink-fill", plan + 33.5 * u, base + 33.5 * v, 3)
                for u, v in tools.arc(1.0, 30, 270, 2)
            )
            + balloon(1, x + 60, base)
            + balloon(2, plan, base)
        )

    def depth() -> str:
        x, floor, tall = 110.0, 124.0, 62.0
        return (
            cup(x, floor, inlet, pocket, outer, tall)
            + tools.depth_gauge(
                At(x + (inlet + pocket) / 2, floor - tall),
                depth=tall,
                wide=2 * (outer - (inlet + pocket) / 2),
            )
            + tools.keep_off((x - pocket, floor), (x - inlet, floor), side=-1)
            + line("dw-fine", (x + outer, floor - tall), (x + outer + 34, floor - tall))
            + line("dw-fine", (x + inlet, floor), (x + outer + 34, floor))
            + tools.both_ways([(x + outer + 24, floor - tall), (x + outer + 24, floor)])
            + balloon(1, x + outer + 42, floor - tall / 2)
        )

    return (
        Plate(
            ("heights", "height_spread"),
            Message("Heights of the stack: micrometer"),
            142,
            heights,
            (
                Message(
                    "Each ring by itself, clean and flat, free: three places round, the mean. "
                    "The cage over its faces, not over its fingers."
                ),
                Message("A soft ring only just touched: it gives way under the spindle."),
            ),
        ),
        Plate(
            ("tin",),
            Message("Shims: micrometer"),
            118,
            shims,
            (
                Message(
                    "Burrs and grease off, one shim at a time: two stuck together read as one."
                ),
                Message("Three places round; a dished or creased shim is thrown away."),
            ),
        ),
        Plate(
            ("depth",),
            Message("Housing depth: depth gauge"),
            148,
            depth,
            (
                Message(
                    "From the floor to the face that the cylinder's end stands at, at three "
                    "places. As described: {size}.",
                    size=show(pump.stack.depth, unit_of(M)),
                ),
            ),
            Message("Lower the gauge's rod by hand: it must not drop on the land."),
        ),
    )
