"""Each part of the wet end drawn at its place in the section."""

from __future__ import annotations

import math

from wetend.drawings.pen import Pen, band
from wetend.drawings.svg import Point, area, line, strokes
from wetend.drawings.v_rings import packings
from wetend.drawings.wet_end.sizes import FootSizes, Sizes, StackRing
from wetend.pump.description import Pump
from wetend.pump.parts import PartName


def _bent(x: float, z: float, radius: float, *, back: bool = False) -> list[Point]:
    """A quarter turn from heading down to heading right, about a centre."""
    turns = [math.pi * (1 + i / 24) for i in range(13)]
    points = [(x + radius * math.cos(a), z + radius * math.sin(a)) for a in turns]
    return points[::-1] if back else points


def coating(pen: Pen, s: Sizes) -> str:
    """A wash wherever the coating stands, from the elbow to the outlet."""
    foot, body, cylinder = s.foot, s.body, s.cylinder
    x, z, end = foot.bend, -foot.floor - foot.wall, 1.7 * foot.bend
    tube = [
        (foot.inlet, 0.0), (-foot.inlet, 0.0), *_bent(x, z, x + foot.inlet),
        (end, z - x - foot.inlet), (end, z - x + foot.inlet),
        *_bent(x, z, x - foot.inlet, back=True),
    ]  # fmt: skip
    stack = [band(r.inner, r.low, r.high) for r in foot.rings]
    under, over = body.port_z - body.port, body.port_z + body.port
    port = [(-body.port_reach, under), (0.0, under), (0.0, over), (-body.port_reach, over)]
    return pen.wash(
        tube, *stack, band(cylinder.lip, cylinder.low, cylinder.low + cylinder.lip_height),
        band(cylinder.bore, cylinder.low + cylinder.lip_height, body.throat), port,
        band(1.05 * body.rod, body.throat, body.box_low),
    )  # fmt: skip


def elbow(pen: Pen, s: Sizes) -> str:
    """The suction elbow, cut through its axis."""
    foot = s.foot
    x, z, end = foot.bend, -foot.floor - foot.wall, 1.7 * foot.bend
    inlet, wall = foot.inlet, foot.wall
    top, wide = -foot.floor, inlet + 2 * wall
    outside = [
        (-inlet, top), (-wide, top), (-wide, top - wall), (-inlet - wall, top - wall),
        *_bent(x, z, x + inlet + wall), (end, z - x - inlet - wall), (end, z - x - inlet),
        *_bent(x, z, x + inlet, back=True),
    ]  # fmt: skip
    inside = [
        (inlet, top), (wide, top), (wide, top - wall), (inlet + wall, top - wall),
        *_bent(x, z, x - inlet - wall), (end, z - x + inlet + wall), (end, z - x + inlet),
        *_bent(x, z, x - inlet, back=True),
    ]  # fmt: skip
    mouth = line("dw-thin", pen.at(end, z - x - inlet), pen.at(end, z - x + inlet))
    return pen.cut("suction-elbow", outside, inside) + mouth


def _pocket(rings: tuple[StackRing, ...], top: float, slack: float) -> list[Point]:
    """The housing's inside, stepped to let each ring in from above."""
    points: list[Point] = []
    widest = 0.0
    for ring in rings:
        widest = max(widest, ring.outer * slack)
        points += [(widest, ring.low), (widest, min(ring.high, top))]
    return points


def housing(pen: Pen, s: Sizes) -> dict[PartName, str]:
    """Foot-valve housing, and the clamp ring where that is what holds it; each by its part."""
    foot = s.foot
    gap = min(0.15 * foot.pocket, 0.1 * foot.top)
    shoulder = foot.top - gap
    inside = [(foot.inlet, -foot.floor), (foot.inlet, 0.0), *_pocket(foot.rings, shoulder, 1.02)]
    if not foot.clamped:
        shape = [
            *inside, (foot.thread, shoulder), (foot.thread, foot.top + foot.grip),
            (foot.outer, foot.top + foot.grip), (foot.outer, -0.35 * foot.floor),
            (0.86 * foot.outer, -foot.floor),
        ]  # fmt: skip
        return {"foot-housing": pen.turned("foot-housing", shape, rising=False, spacing=4.6)}
    tube = foot.tube
    flange = shoulder - min(0.2 * foot.thread, 0.35 * foot.top)
    lip = flange - min(0.22 * foot.thread, 0.35 * foot.top)
    shape = [
        *inside, (0.985 * foot.thread, shoulder), (0.985 * foot.thread, flange), (tube, flange),
        (tube, -0.5 * foot.floor), (0.92 * tube, -foot.floor),
    ]  # fmt: skip
    ring = [
        (foot.thread, foot.top + foot.grip), (foot.outer, foot.top + foot.grip), (foot.outer, lip),
        (1.02 * tube, lip), (1.02 * tube, flange), (foot.thread, flange),
    ]  # fmt: skip
    return {
        "foot-housing": pen.turned("foot-housing", shape, rising=False, spacing=4.6),
        "clamp-ring": pen.turned("clamp-ring", ring, rising=True, spacing=3.4),
    }


def _cage(pen: Pen, ring: StackRing, foot: FootSizes) -> str:
    stop = max(ring.low, min(foot.stop, ring.high - 0.04 * (ring.high - ring.low)))
    boss = 0.46 * ring.inner
    wall = pen.turned("cage", band(ring.outer, ring.low, ring.high, ring.inner), plain="dw-steel",
                      rising=False, spacing=3.4)  # fmt: skip
    if foot.resting and abs(0.5 * (stop + ring.high) - foot.ball_z) < foot.ball:
        return wall  # no room for a stop over the ball in so low a cage
    crown = pen.ring(band(ring.inner, stop, ring.high))
    behind = area(f"{pen.fill('cage', 'dw-metal')} dw-edge-thin", crown)
    return (
        pen.part("cage", behind)
        + pen.cut("cage", band(boss, stop, ring.high), plain="dw-steel", rising=False, spacing=3.4)
        + wall
    )


def _seat(pen: Pen, ring: StackRing, foot: FootSizes) -> str:
    rest = foot.resting
    if rest is None:
        return ""
    shape = [
        (rest.bore, ring.low), (rest.bore, ring.high - rest.cone), (rest.mouth, ring.high),
        (max(ring.outer, rest.mouth), ring.high), (max(ring.outer, rest.mouth), ring.low),
    ]  # fmt: skip
    return pen.turned("foot-seat", shape, plain="dw-steel", rising=True, spacing=3)


THINNEST: dict[str, float] = {"soft-ring": 3.2, "shim": 2.0}
"""Least height at which a thin ring is drawn, in units of the sheet, by its kind."""


def _thin(pen: Pen, ring: StackRing) -> list[Point]:
    """A thin ring drawn thick enough to be seen, about its own middle."""
    tall = max(ring.high - ring.low, THINNEST[ring.kind] / pen.scale)
    middle = (ring.high + ring.low) / 2
    return band(ring.outer, middle - tall / 2, middle + tall / 2, ring.inner)


def stack(pen: Pen, s: Sizes, *, ball: bool = True) -> dict[PartName, str]:
    """Seat, cage, soft rings, shims and, if wanted, the foot-valve ball; each by its part.

    What lies under the seat stays until the seat is out and stands with it; spacers over the seat
    come out with the cage.
    """
    foot, drawn = s.foot, dict[PartName, str]()
    seat = next((r for r in foot.rings if r.kind == "seat"), None)

    def put(ring: StackRing, part: PartName, markup: str) -> None:
        under = seat is not None and ring.low < seat.low
        with_part: PartName = "foot-seat" if under else part
        drawn[with_part] = drawn.get(with_part, "") + markup

    for ring in foot.rings:
        if ring is seat:
            put(ring, "foot-seat", _seat(pen, ring, foot))
        elif ring.kind == "cage":
            put(ring, "cage", _cage(pen, ring, foot))
        elif ring.kind not in THINNEST:
            put(ring, "cage", pen.turned("foot-seat", band(ring.outer, ring.low, ring.high,
                                                           ring.inner), spacing=3))  # fmt: skip
    for ring in foot.rings:
        if ring.kind == "soft-ring":
            put(ring, "soft-ring", pen.turned("soft-ring", _thin(pen, ring), plain="dw-soft",
                                              spacing=0))  # fmt: skip
        elif ring.kind == "shim":
            put(ring, "shim", pen.turned("shim", _thin(pen, ring), plain="dw-ink-fill", spacing=0))
    if foot.resting and ball:
        drawn["foot-ball"] = pen.ball("foot-ball", foot.ball_z, foot.ball)
    return drawn


def cylinder(pen: Pen, s: Sizes) -> str:
    """The cylinder with its threaded collar."""
    c = s.cylinder
    slope = min(abs(c.collar - c.outer), 0.1 * (c.high - c.low))
    shape = [
        (c.lip, c.low), (c.collar, c.low), (c.collar, c.low + c.collar_height),
        (c.outer, c.low + c.collar_height + slope), (c.outer, c.high), (c.bore, c.high),
        (c.bore, c.low + c.lip_height), (c.lip, c.low + c.lip_height),
    ]  # fmt: skip
    root = min(0.6 * s.foot.wall, 0.06 * c.collar)
    return pen.turned("cylinder", shape) + pen.thread(c.collar, c.low, c.low + s.foot.grip, root)


def _body_left(s: Sizes) -> tuple[list[Point], list[Point]]:
    """The side with the outlet, as two profiles above and below the port."""
    b, c = s.body, s.cylinder
    under, over = b.port_z - b.port, b.port_z + b.port
    low_boss, high_boss = b.port_z - 1.75 * b.port, b.port_z + 1.75 * b.port
    lower = [(c.outer, b.low), (c.outer, c.high), (c.bore, c.high), (c.bore, under),
             (b.port_reach, under), (b.port_reach, low_boss), (b.outer, low_boss),
             (b.outer, b.low)]  # fmt: skip
    upper = [(b.port_reach, over), (c.bore, over), *_above(s), (b.outer, high_boss),
             (b.port_reach, high_boss)]  # fmt: skip
    return [(-r, z) for r, z in lower], [(-r, z) for r, z in upper]


def _above(s: Sizes) -> list[Point]:
    """The body from the chamber's roof round the packing box to the shoulder outside."""
    b, c = s.body, s.cylinder
    shoulder = min(b.throat + 0.9 * (b.outer - b.neck), b.box_high)
    return [
        (c.bore, b.throat), (1.05 * b.rod, b.throat), (1.05 * b.rod, b.box_low),
        (b.box, b.box_low), (b.box, b.top), (b.neck, b.top),
        (b.neck, shoulder), (b.outer, b.throat),
    ]  # fmt: skip


def body(pen: Pen, s: Sizes) -> str:
    """The body with its outlet to the left."""
    b, c = s.body, s.cylinder
    right = [(c.outer, b.low), (c.outer, c.high), (c.bore, c.high), *_above(s), (b.outer, b.low)]
    lower, upper = _body_left(s)
    mouth = line("dw-thin", pen.at(-b.port_reach, b.port_z - b.port),
                 pen.at(-b.port_reach, b.port_z + b.port))  # fmt: skip
    return pen.cut("body", right, lower, upper, rising=False, spacing=5) + mouth


def gland(pen: Pen, s: Sizes, *, liquid: bool = True) -> dict[PartName, str]:
    """Gland nut in the body, wet cup on top, if wanted the liquid in it; each by its part."""
    b = s.body
    inside, step, wall = 1.05 * b.rod, b.top + 0.14 * b.rod, 0.14 * b.rod
    nut = [(inside, b.box_high), (b.box, b.box_high), (b.box, step), (b.head, step),
           (b.head, b.head_top), (inside, b.head_top)]  # fmt: skip
    cup = [(1.25 * b.rod, b.head_top), (b.cup, b.head_top), (b.cup, b.cup_top),
           (b.cup - wall, b.cup_top), (b.cup - wall, b.head_top + wall),
           (1.25 * b.rod, b.head_top + wall)]  # fmt: skip
    level = b.head_top + wall + 0.55 * (b.cup_top - b.head_top - wall)
    filled = pen.wash(band(b.cup - wall, b.head_top, level), cls="dw-wash-pale")
    surface = line("dw-fine", pen.at(wall - b.cup, level), pen.at(b.cup - wall, level))
    return {
        "gland-nut": pen.turned("gland-nut", nut, plain="dw-steel", rising=True, spacing=3.4)
        + pen.thread(b.box, b.box_high, b.top, -min(0.08 * b.rod, 0.3 * (b.neck - b.box))),
        "wet-cup": (filled + surface if liquid else "")
        + pen.turned("wet-cup", cup, rising=False, spacing=3),
    }


def static_packings(pen: Pen, pump: Pump, s: Sizes) -> str:
    """The V-rings in the body."""
    b = s.body
    return packings(
        pen, "static-packings", inner=b.rod, outer=b.box, low=b.box_low, high=b.box_high,
        rings=pump.static_packings.rings, lips=pump.static_packings.lips_face,
    )  # fmt: skip


def _wave(pen: Pen, reach: float, height: float, swing: float) -> list[Point]:
    """A freehand break line across the axis."""
    return pen.ring([
        (reach * (i / 12 * 2 - 1), height + swing * math.sin(i / 12 * 2 * math.pi))
        for i in range(13)
    ])  # fmt: skip


def _spigot_low(s: Sizes) -> float:
    """Where the rod's threaded end stops in the piston's neck."""
    return s.piston.port_high + 0.15 * (s.piston.top - s.piston.port_high)


def rod(pen: Pen, s: Sizes) -> str:
    """The rod from the piston up, broken above the wet cup, and the coupling on top of it."""
    b, p = s.body, s.piston
    swing = 0.12 * b.rod
    top = _wave(pen, b.rod, b.break_low, swing)
    lower = [pen.at(-b.rod, p.top), *top, pen.at(b.rod, p.top)]
    bottom = _wave(pen, b.rod, b.break_high, swing)
    seam = b.break_high + 0.5 * b.rod
    upper = [*bottom, pen.at(b.rod, seam), pen.at(-b.rod, seam)]
    spigot = band(0.56 * p.neck, _spigot_low(s), p.top)
    fill = pen.fill("rod", "dw-steel")
    drawn = [
        area(fill, lower), area(fill, upper), area(fill, pen.ring(spigot)),
        line("dw-outline", *pen.ring([spigot[3], spigot[0], spigot[1], spigot[2]])),
        line("dw-outline", top[0], pen.at(-b.rod, p.top), pen.at(b.rod, p.top), top[-1]),
        line("dw-outline", bottom[0], pen.at(-b.rod, seam)),
        line("dw-outline", bottom[-1], pen.at(b.rod, seam)),
        line("dw-thin", *top), line("dw-thin", *bottom),
        pen.thread(0.56 * p.neck, spigot[0][1], p.top, 0.08 * p.neck),
    ]  # fmt: skip
    return pen.part("rod", *drawn)


def coupling(pen: Pen, s: Sizes) -> str:
    """The split coupling between rod and drive, seen from outside."""
    b = s.body
    low, high, wide = b.break_high + 0.5 * b.rod, b.coupling_top, b.coupling
    shape = pen.whole("coupling", band(wide, low, high))
    bolts = [pen.ring(band(1.13 * wide, z, z + 0.34 * b.rod, 0.5 * wide))
             for z in (low + 0.25 * b.rod, high - 0.59 * b.rod)]  # fmt: skip
    seam = line("dw-thin", pen.at(0.3 * wide, low), pen.at(0.3 * wide, high))
    return (
        shape
        + seam
        + "".join(area(pen.fill("coupling", "dw-steel"), r) + area("dw-thin", r) for r in bolts)
    )


def drive(pen: Pen, s: Sizes) -> str:
    """The end of the drive's rod, broken off above the coupling."""
    b = s.body
    wave = _wave(pen, 0.8 * b.rod, s.high - 0.1 * b.rod, 0.1 * b.rod)
    left, right = pen.at(-0.8 * b.rod, b.coupling_top), pen.at(0.8 * b.rod, b.coupling_top)
    return pen.part(
        "drive", area(pen.fill("drive", "dw-steel"), [left, *wave, right]),
        line("dw-outline", left, wave[0]), line("dw-outline", right, wave[-1]),
        line("dw-thin", *wave),
    )  # fmt: skip


def _piston(pen: Pen, s: Sizes, lower: list[Point]) -> str:
    """The piston's own metal: its lower profile as given, the rib and the neck."""
    p = s.piston
    rib = pen.ring(band(0.42 * p.neck, p.port_low, p.port_high))
    hole, floor = 0.56 * p.neck, _spigot_low(s)
    neck = [(p.neck, p.port_high), (p.neck, p.top), (hole, p.top), (hole, floor),
            (-hole, floor), (-hole, p.top), (-p.neck, p.top), (-p.neck, p.port_high)]  # fmt: skip
    return pen.part(
        "piston", area(f"{pen.fill('piston', 'dw-metal')} dw-edge-thin", rib)
    ) + pen.cut("piston", lower, [(-r, z) for r, z in lower],
                neck, rising=False)  # fmt: skip


def piston_ends(pen: Pen, s: Sizes) -> tuple[str, str]:
    """The piston without its lower end, and that end, which holds seat, ball and packings."""
    p = s.piston
    hole = min(1.04 * p.resting.bore, p.chamber)
    upper = [
        (p.chamber, p.nut), (p.chamber, p.stop), (p.passage, p.stop), (p.passage, p.port_low),
        (p.neck, p.port_low), (p.neck, p.flange), (p.outer, p.flange), (p.outer, p.packed),
        (p.core, p.packed), (p.core, p.nut),
    ]  # fmt: skip
    nut = [
        (hole, p.low), (hole, p.seat_low), (p.chamber, p.seat_low), (p.chamber, p.nut),
        (p.outer, p.nut), (p.outer, p.low),
    ]  # fmt: skip
    return _piston(pen, s, upper), pen.turned("piston", nut, rising=True)


def piston(pen: Pen, pump: Pump, s: Sizes, *, ball: bool = True) -> dict[PartName, str]:
    """Piston, its seat, if wanted its ball, and the moving packings; each by its part."""
    p, bore = s.piston, s.cylinder.bore
    hole = min(1.04 * p.resting.bore, p.chamber)
    lower = [
        (hole, p.low), (hole, p.seat_low), (p.chamber, p.seat_low), (p.chamber, p.stop),
        (p.passage, p.stop), (p.passage, p.port_low), (p.neck, p.port_low), (p.neck, p.flange),
        (p.outer, p.flange), (p.outer, p.packed), (p.core, p.packed), (p.core, p.nut),
        (p.outer, p.nut), (p.outer, p.low),
    ]  # fmt: skip
    seat = [
        (p.resting.bore, p.seat_low),
        (p.resting.bore, p.seat_low + p.seat_height - p.resting.cone),
        (p.resting.mouth, p.seat_low + p.seat_height), (p.chamber, p.seat_low + p.seat_height),
        (p.chamber, p.seat_low),
    ]  # fmt: skip
    drawn: dict[PartName, str] = {
        "piston": _piston(pen, s, lower),
        "piston-seat": pen.turned("piston-seat", seat, plain="dw-steel", rising=True, spacing=3),
    }  # fmt: skip
    if ball:
        drawn["piston-ball"] = pen.ball("piston-ball", p.seat_low + p.resting.centre, p.ball)
    drawn["moving-packings"] = packings(
        pen, "moving-packings", inner=p.core, outer=bore, low=p.nut, high=p.packed,
        rings=pump.moving_packings.rings, lips=pump.moving_packings.lips_face,
    )  # fmt: skip
    return drawn


def strainer(pen: Pen, s: Sizes) -> str:
    """The suction tube's end with its strainer, beyond the elbow; seen from outside."""
    foot = s.foot
    end, z = 1.7 * foot.bend, -foot.floor - foot.wall - foot.bend
    reach, wide = foot.inlet + foot.wall, 1.25 * (foot.inlet + foot.wall)
    nut = [(end, z - wide), (end + 0.8 * reach, z - wide), (end + 0.8 * reach, z + wide),
           (end, z + wide)]  # fmt: skip
    tube = [(end + 0.8 * reach, z - reach), (end + 3.2 * reach, z - reach),
            (end + 3.2 * reach, z + reach), (end + 0.8 * reach, z + reach)]  # fmt: skip
    slots = [
        (pen.at(end + x * reach, z - 0.7 * reach), pen.at(end + x * reach, z + 0.7 * reach))
        for x in (1.4, 1.8, 2.2, 2.6)
    ]
    return pen.whole("strainer", nut) + pen.part(
        "strainer", area("dw-steel dw-edge", pen.ring(tube)), strokes("dw-thin", slots)
    )


def outlet_filter(pen: Pen, s: Sizes) -> str:
    """Filter and hose union beyond the outlet; seen from outside."""
    b = s.body
    x, wide, z = -b.port_reach, 1.75 * b.port, b.port_z
    bowl = [(x, z - 2.2 * wide), (x - 2.4 * wide, z - 2.2 * wide), (x - 2.4 * wide, z + wide),
            (x, z + wide)]  # fmt: skip
    cap = [(x - 0.2 * wide, z - 2.8 * wide), (x - 2.2 * wide, z - 2.8 * wide),
           (x - 2.2 * wide, z - 2.2 * wide), (x - 0.2 * wide, z - 2.2 * wide)]  # fmt: skip
    union = [(x - 2.4 * wide, z - 0.7 * wide), (x - 3.2 * wide, z - 0.7 * wide),
             (x - 3.2 * wide, z + 0.7 * wide), (x - 2.4 * wide, z + 0.7 * wide)]  # fmt: skip
    return "".join(pen.whole("outlet-filter", each) for each in (bowl, cap, union))
