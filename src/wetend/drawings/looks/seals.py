"""What seal lands and packings look like."""

from __future__ import annotations

from wetend.advice.inspect.looks.look import Look
from wetend.drawings.hatching import hatch
from wetend.drawings.looks.tile import MIDDLE, bracket, magnified, scale_of
from wetend.drawings.svg import Point, area, box, circle, line, strokes
from wetend.pump.description import Pump
from wetend.pump.parts import Packings
from wetend.units.message import Message

_EDGE = 44.0
"""Where the straightedge lies over a land."""


def land(_pump: Pump, look: Look) -> tuple[str, str]:
    """A land under a straightedge or from above, and what is magnified in it."""
    scale = scale_of(look)
    if look.key == "thread":
        crests: list[Point] = [(60 + (9 if n % 2 else 0), 8 + 8 * n) for n in range(11)]
        crests[4], crests[5], crests[6] = (66, 39), (61, 46), (67, 58)
        return area("dw-metal dw-edge", [(20, 8), *crests, (20, 88)]) + area(
            "dw-ink-fill", [(70, 40), (76, 44), (74, 54), (67, 50)]
        ) + circle("dw-outline", 68, 48, 17), ""
    if look.key in ("worn", "mark"):
        x, y = MIDDLE, 40.0
        deep = look.size * scale
        base = 84.0
        cut: list[Point] = [(96, base), (112, base), (118, base + deep), (124, base), (136, base)]
        return (
            circle("dw-steel dw-edge", x - 30, y + 4, 34)
            + circle("dw-paper-fill dw-edge-thin", x - 30, y + 4, 17)
            + _marks(x, look.key)
            + area("dw-steel dw-edge-thin", [(x, y - 28) for x, y in cut] + [(136, 82), (96, 82)])
            + bracket((142, base - 28), (142, base - 28 + look.limit * scale))
        ), Message("depth ×{times}", times=magnified(scale))
    gap = look.size * scale
    ring: list[Point] = [
        (10, _EDGE),
        (40, _EDGE),
        (75, _EDGE + gap),
        (110, _EDGE),
        (140, _EDGE),
        (140, 78),
        (10, 78),
    ]
    light = (
        [((62 + 6 * n, _EDGE + 3), (60 + 6 * n, _EDGE + max(gap - 3, 4))) for n in range(5)]
        if gap
        else []
    )
    return (
        area("dw-metal dw-edge", ring)
        + strokes("dw-hatch", hatch(ring, spacing=5))
        + box("dw-steel dw-edge", 4, _EDGE - 20, 142, 20)
        + strokes("dw-thin", light)
        + (bracket((146, _EDGE), (146, _EDGE + look.limit * scale)) if gap else "")
    ), Message("gap ×{times}", times=magnified(scale)) if gap else ""


def _marks(x: float, key: str) -> str:
    """Marks on the land's face: right across it, or only on part of it."""
    y = 44.0
    if key == "mark":
        return line("dw-outline", (x - 30 + 15, y - 8), (x - 30 + 31, y - 14)) + line(
            "dw-thin", (x - 30 + 16, y - 6), (x - 30 + 31, y - 11)
        )
    return line("dw-thin", (x - 52, y - 10), (x - 47, y + 3)) + line(
        "dw-thin", (x - 20, y + 24), (x - 12, y + 21)
    )


def _vee(x: float, top: float, wide: float, tall: float, thick: float) -> list[Point]:
    """One V-ring in section, lips up."""
    half = wide / 2
    return [
        (x - half, top),
        (x, top + tall - thick),
        (x + half, top),
        (x + half, top + thick),
        (x, top + tall),
        (x - half, top + thick),
    ]


def rings(noun: Packings, look: Look) -> tuple[str, str]:
    """V-rings in section, lips the way they face, and what is magnified in it."""
    if look.key in ("round", "torn", "turned"):
        return _lip(look.key), ""
    count = min(noun.rings, 4)
    full, share = 72.0, (look.size / noun.height if noun.height else 0.0)
    tall = full * (1 - share)
    base = 92.0
    pitch = tall / (count + 0.6)
    vees = [
        _vee(x, base - tall + n * pitch, 40, 1.6 * pitch, 0.7 * pitch)
        for x in (46.0, 104.0)
        for n in range(count)
    ]
    if noun.lips_face == "down":
        vees = [[(x, 2 * base - tall - y) for x, y in ring] for ring in vees]
    drawn = "".join(area("dw-soft-pale dw-edge-thin", ring) for ring in vees)
    plate = line("dw-outline", (8, base), (142, base))
    if not look.limit:
        return drawn + plate, ""
    least = base - full * (1 - look.limit / noun.height)
    mark = line("dw-sound", (16, base - full), (134, base - full)) + line(
        "dw-hidden", (16, least), (134, least)
    )
    times = magnified(full / noun.height)
    return drawn + plate + mark + bracket((MIDDLE, base), (MIDDLE, least)), Message(
        "set ×{times}", times=times
    )


def _lip(key: str) -> str:
    """One V-ring, large, its right lip as it should not be."""
    left: list[Point] = [(MIDDLE - 56, 14), (MIDDLE, 62), (MIDDLE, 88), (MIDDLE - 56, 40)]
    if key == "round":
        right: list[Point] = [
            (MIDDLE, 62),
            (MIDDLE + 34, 33),
            (MIDDLE + 44, 30),
            (MIDDLE + 50, 36),
            (MIDDLE + 50, 45),
            (MIDDLE, 88),
        ]
    elif key == "torn":
        right = [
            (MIDDLE, 62),
            (MIDDLE + 26, 40),
            (MIDDLE + 30, 50),
            (MIDDLE + 35, 38),
            (MIDDLE + 40, 46),
            (MIDDLE + 46, 26),
            (MIDDLE + 56, 14),
            (MIDDLE + 56, 40),
            (MIDDLE, 88),
        ]
    else:
        right = [
            (MIDDLE, 62),
            (MIDDLE + 30, 36),
            (MIDDLE + 42, 36),
            (MIDDLE + 52, 46),
            (MIDDLE + 54, 64),
            (MIDDLE + 44, 64),
            (MIDDLE + 40, 54),
            (MIDDLE, 88),
        ]
    whole = [left[0], left[1], *right[1:-1], left[2], left[3]]
    wall = box("dw-metal dw-edge-thin", MIDDLE + 58, 6, 10, 86)
    lines = hatch(whole, spacing=6)
    sound = line("dw-sound", (MIDDLE, 62), (MIDDLE + 56, 14), (MIDDLE + 56, 40))
    look_here = circle("dw-outline", MIDDLE + 44, 42, 22) if key != "round" else ""
    return (
        wall + area("dw-soft-pale dw-edge", whole) + strokes("dw-hatch", lines) + sound + look_here
    )
