"""Measuring the seal land, packings and the heights of the stack."""

from __future__ import annotations

from typing import Literal

from wetend.advice.inspect.seals import LAND_GAP, LAND_MARK
from wetend.drawings.hatching import hatch
from wetend.drawings.measuring import tools
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.tools import At, balloon
from wetend.drawings.pen import Pen
from wetend.drawings.svg import Point, area, box, circle, line, strokes
from wetend.drawings.v_rings import packings
from wetend.drawings.wet_end.sizes import sizes
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, unit_of
from wetend.units.show import show

Set = Literal["moving-packings", "static-packings"]


def cup(x: float, floor: float, inlet: float, pocket: float, outer: float, tall: float) -> str:
    """A housing in section: its floor is the land, its inlet goes through."""
    rings: list[list[Point]] = [
        [
            (x + way * inlet, floor + 18),
            (x + way * inlet, floor),
            (x + way * pocket, floor),
            (x + way * pocket, floor - tall),
            (x + way * outer, floor - tall),
            (x + way * outer, floor + 18),
        ]
        for way in (1, -1)
    ]
    lines = [each for ring in rings for each in hatch(ring, spacing=5)]
    return area("dw-metal dw-edge", *rings) + strokes("dw-hatch", lines)


def housing_shares(pump: Pump) -> tuple[float, float, float]:
    """Inlet, pocket and thread of the housing, so that the outside is 76 units."""
    foot = sizes(pump).foot
    scale = 76.0 / foot.outer
    return foot.inlet * scale, foot.pocket * scale, foot.outer * scale


def land(pump: Pump) -> tuple[Plate, ...]:
    """The land in the housing, and its thread."""
    inlet, pocket, outer = housing_shares(pump)

    def flat() -> str:
        x, floor = 84.0, 92.0
        plan_x, plan_y, r = 252.0, 62.0, 54.0
        inner = r * inlet / outer
        far = r * pocket / outer
        ways = [
            ((plan_x - far * u, plan_y - far * v), (plan_x + far * u, plan_y + far * v))
            for u, v in ((1.0, 0.0), (0.707, 0.707), (0.0, 1.0), (-0.707, 0.707))
        ]
        return (
            cup(x, floor, inlet, pocket, outer, 50)
            + tools.straightedge(At(x, floor), 1.86 * pocket)
            + tools.keep_off((x - pocket, floor), (x - inlet, floor), side=-1)
            + tools.keep_off((x + inlet, floor), (x + pocket, floor), side=-1)
            + balloon(1, x, floor - 26)
            + circle("dw-metal dw-edge", plan_x, plan_y, r)
            + circle("dw-steel dw-edge-thin", plan_x, plan_y, far)
            + circle("dw-paper-fill dw-edge-thin", plan_x, plan_y, inner)
            + "".join(tools.both_ways(w) for w in ways)
            + balloon(2, plan_x, plan_y)
        )

    def marks() -> str:
        x, y, r = 84.0, 60.0, 54.0
        inner, far = r * inlet / outer, r * pocket / outer
        a, b = (x + 0.94 * far, y - 0.3 * far), (x + 0.96 * inner, y - 0.3 * inner)
        mid = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        left = 210.0
        crests = [(left + 40 + (6 if n % 2 else 0), 22 + 7 * n) for n in range(12)]
        return (
            circle("dw-metal dw-edge", x, y, r)
            + circle("dw-steel dw-edge-thin", x, y, far)
            + circle("dw-paper-fill dw-edge-thin", x, y, inner)
            + line("dw-outline", a, b)
            + tools.fingernail(At(*mid))
            + balloon(1, mid[0] + 56, mid[1] - 14)
            + area("dw-metal dw-edge-thin", [(left, 18), *crests, (left, 104)])
            + tools.eye(At(left + 84, 60))
            + balloon(2, left + 18, 60)
        )

    return (
        Plate(
            ("gap",),
            Message("Land flat: straightedge and light"),
            122,
            flat,
            (
                Message(
                    "Edge across the clean land, light behind it; where light shows, the gap "
                    "by feeler. Most: {limit}.",
                    limit=show(LAND_GAP, unit_of(MFine)),
                ),
                Message("Four directions across it; enter the largest gap."),
            ),
            Message("Nothing sharp on the land: no scraper, no file, no screwdriver."),
        ),
        Plate(
            ("mark_depth", "thread"),
            Message("Mark across the land; thread"),
            122,
            marks,
            (
                Message(
                    "Depth of a mark that runs across, from inside to outside: straightedge "
                    "and light, or feeler. Most: {limit}.",
                    limit=show(LAND_MARK, unit_of(MFine)),
                ),
                Message("Thread: look and feel along all turns; run the mating part on by hand."),
            ),
        ),
    )


def rings(pump: Pump, part: Set) -> tuple[Plate, ...]:
    """A set of V-rings: height, gap, lips."""
    moving = part == "moving-packings"
    noun = pump.moving_packings if moving else pump.static_packings
    inner_m, outer_m = (
        (0.3 * pump.cylinder.bore, 0.5 * pump.cylinder.bore)
        if moving
        else (0.5 * pump.rod.diameter, 0.7 * pump.rod.diameter)
    )
    shown = min(noun.rings, 5)

    def pen_at(x: float, base: float) -> tuple[Pen, float, float, float]:
        scale = min(58.0 / outer_m, 60.0 / noun.height)
        return Pen(x, base, scale, {}), inner_m * scale, outer_m * scale, noun.height * scale

    def set_at(x: float, base: float) -> tuple[str, float, float, float]:
        pen, inner, outer, tall = pen_at(x, base)
        drawn = packings(
            pen,
            part,
            inner=inner_m,
            outer=outer_m,
            low=0.0,
            high=noun.height,
            rings=shown,
            lips=noun.lips_face,
        )
        return drawn, inner, outer, tall

    def height() -> str:
        x, base = 110.0, 122.0
        drawn, _, outer, tall = set_at(x, base)
        plan_x, plan_y = 270.0, 84.0
        return (
            line("dw-outline", (x - 90, base), (x + 90, base))
            + drawn
            + tools.calliper(At(x - outer - 1, base - tall / 2, -90), tall, reach=24)
            + tools.both_ways([(x + outer + 10, base - tall), (x + outer + 10, base)])
            + balloon(1, x + outer + 24, base - tall / 2)
            + circle("dw-soft-pale dw-edge", plan_x, plan_y, 36)
            + circle("dw-paper-fill dw-edge", plan_x, plan_y, 22)
            + "".join(
                circle("dw-ink-fill", plan_x + 29 * u, plan_y + 29 * v, 3)
                for u, v in tools.arc(1.0, 45, 315, 3)
            )
            + balloon(2, plan_x, plan_y)
        )

    def gap() -> str:
        x, base = 110.0, 84.0 + (36.0 if noun.lips_face == "up" else 0.0)
        drawn, inner, outer, tall = set_at(x, base)
        up = noun.lips_face == "up"
        lip = base - tall if up else base
        way = -1 if up else 1
        if moving:
            walls = (
                box("dw-metal dw-edge", x - outer - 14, base - tall - 18, 12, tall + 36)
                + box("dw-metal dw-edge", x + outer + 2, base - tall - 18, 12, tall + 36)
                + box("dw-steel dw-edge-thin", x - inner, base - tall - 12, 2 * inner, tall + 24)
            )
            at = x + outer + 1
        else:
            walls = box(
                "dw-steel dw-edge", x - inner + 2, base - tall - 18, 2 * inner - 4, tall + 36
            )
            at = x + inner - 1
        tip = lip - way * 6
        return (
            walls
            + drawn
            + tools.feeler(At(at, tip, 90.0 * way), blade=26)
            + balloon(1, at + 26, lip + way * 16)
            + tools.eye(At(258, lip))
            + line("dw-leader", (245, lip), (x + outer - 6, lip))
            + tools.glass(At(214, lip - 2), 11)
            + balloon(2, 290, lip)
        )

    where = Message("between lips and bore") if moving else Message("between lips and rod")
    up = noun.lips_face == "up"
    return (
        Plate(
            ("free_height",),
            Message("Free height: calliper"),
            134,
            height,
            (
                Message(
                    "The whole set stacked on a flat plate, jaws only just touching: it "
                    "springs. New {new}, least {least}.",
                    new=show(noun.height, unit_of(M)),
                    least=show(noun.free_height_limit, unit_of(M)),
                ),
                Message("At four places round; enter the least."),
            ),
        ),
        Plate(
            ("gap", "lips"),
            Message("Gap: feeler; lips: eye and glass"),
            146,
            gap,
            (
                Message(
                    "Blade {where}, from the side the lips face; the thickest that slides in "
                    "without force. Most: {limit}.",
                    where=where,
                    limit=show(noun.clearance_limit, unit_of(MFine)),
                ),
                Message(
                    "Lips all round, they face up here: sharp, worn round, torn or turned over."
                )
                if up
                else Message(
                    "Lips all round, they face down here: sharp, worn round, torn or turned over."
                ),
            ),
            Message("Pick rings out with brass or wood: steel cuts lips and chrome."),
        ),
    )
