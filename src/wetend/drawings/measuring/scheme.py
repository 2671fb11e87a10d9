"""The pump at work, in outline: where each running check and proof is read.

A scheme, not to scale: drive, rod, wet end, suction in its pail, filter with gauge and dump valve,
hose, gun, and the sheet it sprays on.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from wetend.drawings.measuring import tools
from wetend.drawings.measuring.tools import At
from wetend.drawings.svg import Point, area, box, circle, line, strokes, tag

Spot = Literal[
    "rod",
    "cup",
    "gauge",
    "supply",
    "hose",
    "gun",
    "nozzle",
    "sheet",
    "dump",
    "pail",
    "suction",
    "filter",
    "foot",
    "earth",
    "drive",
    "guard",
]
TALL = 184.0
STOCK = "pump-at-work"
"""Id of the scheme where it stands once on a page."""
SPOTS: Mapping[Spot, Point] = {
    "rod": (120, 50),
    "cup": (120, 68),
    "gauge": (166, 56),
    "supply": (62, 20),
    "hose": (222, 92),
    "gun": (266, 76),
    "nozzle": (292, 60),
    "sheet": (308, 60),
    "dump": (166, 122),
    "pail": (206, 156),
    "suction": (44, 140),
    "filter": (166, 92),
    "foot": (120, 140),
    "earth": (96, 166),
    "drive": (120, 20),
    "guard": (292, 50),
}
_BESIDE: Mapping[Spot, Point] = {
    "drive": (-22, 8),
    "supply": (4, 25),
    "gun": (-22, 12),
    "guard": (0, -25),
    "nozzle": (-6, -26),
    "sheet": (-4, 25),
}
"""Where a number stands beside its ring, if not to the right and above."""
_STEEL, _METAL, _PAPER = "dw-steel dw-edge", "dw-metal dw-edge", "dw-paper-fill dw-edge"


def scheme() -> str:
    """Everything of it, nothing marked."""
    return "".join(
        (
            # suction pail, its liquid and the elbow with its tube
            tools.pail(At(38, 172), wide=56, tall=40, full=0.7),
            line("dw-outline", (112, 150), (70, 150), (56, 112), (44, 112), (44, 160)),
            box(_STEEL, 39, 152, 10, 14),
            # drive, rod, wet end
            box(_METAL, 92, 6, 56, 28),
            line("dw-outline", (92, 20), (70, 20)),
            tools.dial(At(60, 20), 11),
            box(_STEEL, 115, 34, 10, 34),
            line("dw-outline", (96, 34), (96, 78)),
            line("dw-outline", (144, 34), (144, 78)),
            area(_PAPER, [(108, 64), (108, 74), (132, 74), (132, 64)]),
            box(_METAL, 98, 74, 44, 28),
            box(_METAL, 104, 102, 32, 32),
            area(_METAL, [(100, 134), (140, 134), (136, 156), (104, 156)]),
            # outlet: filter, gauge, dump valve and its hose
            line("dw-outline", (142, 88), (156, 88)),
            box(_STEEL, 156, 78, 20, 30),
            tools.dial(At(166, 58), 14),
            line("dw-outline", (166, 72), (166, 78)),
            area(_STEEL, [(160, 116), (172, 128), (172, 116), (160, 128)]),
            line("dw-outline", (166, 108), (166, 122)),
            line("dw-outline", (172, 122), (206, 126), (206, 146)),
            tools.pail(At(206, 172), wide=40, tall=30, full=0.3),
            # hose and gun, the sheet it sprays on
            line(
                "dw-accent-none dw-outline", (176, 92), (206, 92), (230, 98), (248, 88), (266, 82)
            ),
            area(_STEEL, [(260, 62), (288, 56), (288, 64), (276, 68), (270, 88), (262, 86)]),
            box(_STEEL, 288, 55, 5, 10),
            line("dw-outline", (310, 22), (310, 100)),
            # earth
            line("dw-thin", (104, 156), (96, 156), (96, 164)),
            line("dw-outline", (89, 164), (103, 164)),
            line("dw-thin", (92, 168), (100, 168)),
            line("dw-thin", (94, 171), (98, 171)),
        )
    )


def stock() -> str:
    """The scheme, to stand once on a page whose pictures point to it."""
    inside = tag("g", scheme(), cls="dw dw-measure", id=STOCK)
    return tag("svg", tag("defs", inside), cls="dw dw-stock", width="0", height="0",
               aria_hidden="true")  # fmt: skip


def pointed() -> str:
    """The scheme of the page's stock."""
    return tag("use", href=f"#{STOCK}")


def marked(spots: Mapping[int, Spot], *, sprays: bool = False) -> str:
    """Rings round the places read, each with its number beside it; a fan where it sprays."""
    spray = [((295.0, 60.0), (307.0, 60.0 + d)) for d in (-14.0, -7.0, 0.0, 7.0, 14.0)]
    drawn = strokes("dw-fine", spray) if sprays else ""
    for number, spot in spots.items():
        x, y = SPOTS[spot]
        dx, dy = _BESIDE.get(spot, (22.0, -14.0))
        drawn += circle("dw-accent-thick", x, y, 15) + tools.balloon(number, x + dx, y + dy)
    return drawn
