"""Tools in plain outline: from the side where they grip, and from the end of what they turn.

Sizes are those of common hand tools (common practice, no source); jaws open as far as the part is
wide. From the end a tool is not to scale.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wetend.drawings.acts.arrows import head
from wetend.drawings.svg import Point, area, box, circle, line, num, strokes, tag


@dataclass(frozen=True)
class Side:
    """A tool that turns or holds, from the side, in millimetres."""

    thick: float
    """Of what goes round the part."""
    claw: float
    """How far that stands out from the part."""
    handle: float
    """Thickness of the handle."""
    long: float
    """From the part to the handle's end."""


SIDES: Mapping[str, Side] = {
    "c-spanner": Side(8, 11, 8, 240), "long-c-spanner": Side(10, 13, 10, 420),
    "pin-spanner": Side(8, 11, 8, 240), "strap-wrench": Side(26, 4, 18, 300),
    "chain-wrench": Side(22, 9, 20, 450), "pipe-wrench": Side(20, 18, 16, 450),
    "second-pipe-wrench": Side(20, 18, 16, 450), "adjustable": Side(13, 15, 10, 300),
    "second-adjustable": Side(13, 15, 10, 300), "open-spanners": Side(10, 13, 8, 280),
    "socket-set": Side(38, 5, 14, 250), "breaker-bar": Side(38, 5, 16, 600),
    "slogging-spanner": Side(16, 12, 20, 220), "torque-wrench": Side(38, 5, 16, 480),
    "hexagon-keys": Side(30, 0, 8, 90), "screwdriver": Side(90, 0, 22, 0),
}  # fmt: skip
"""Tools that turn what they grip, by key."""
JAWED = frozenset({"adjustable", "second-adjustable", "open-spanners", "socket-set", "breaker-bar",
                   "slogging-spanner", "torque-wrench", "hexagon-keys"})  # fmt: skip
"""Tools that need flats."""
_ROUND = 9.0
"""The part's radius where a tool is shown from the end."""
GLYPH = 56.0
"""The room of a tool shown from the end."""


def _arc(radius: float, start: float, end: float, steps: int = 16) -> list[Point]:
    """Points of an arc, degrees anticlockwise from the handle, y down."""
    turns = [math.radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    return [(radius * math.cos(a), -radius * math.sin(a)) for a in turns]


def _bar(start: float, half: float, end: float = 37.0) -> str:
    return area(_METAL, [(start, -half), (end, -half), (end, half), (start, half)])


_METAL = "dw-steel dw-edge-thin"


def _hook(nose: str) -> str:
    band = [*_arc(14, 8, 176), *_arc(7 if nose == "slot" else 10, 176, 190, 3),
            *_arc(10, 190, 8)]  # fmt: skip
    pin = circle("dw-ink-fill", -_ROUND, 0, 2.2) if nose == "pin" else ""
    return _bar(11, 2.6) + area(_METAL, band) + pin


def _strap() -> str:
    return (
        circle("dw-accent-none dw-outline", 0, 0, 11)
        + _bar(11, 3.2)
        + line("dw-outline", (10, -7), (16, -7), (16, 7), (10, 7))
    )


def _chain() -> str:
    links = [circle(_METAL, x, y, 2.1) for x, y in _arc(11.3, 15, 345, 15)]
    return _bar(11, 3.4) + "".join(links)


def _pipe() -> str:
    teeth = [(x, -9.0 - (1.6 if i % 2 else 0)) for i, x in enumerate(range(-7, 8, 2))]
    hook = [*teeth, (17, -9), (17, 12), (13, 12), (13, -15), (-8, -15)]
    heel = [(x, 9.0 + (1.6 if i % 2 else 0)) for i, x in enumerate(range(-7, 8, 2))]
    lower = [*heel, (11, 9), (11, 16), (-7, 16)]
    return area(_METAL, lower) + _bar(14, 3.6) + area(_METAL, [*hook[:8], (17, -9), (17, -15),
                                                              (-8, -15)]) + area(
        _METAL, [(12.5, -15), (17, -15), (17, 16), (12.5, 16)]
    )  # fmt: skip


def _jaws(*, loose: bool) -> str:
    fixed = [(-7, -8), (10, -8), (10, 8), (-5, 8), (-5, 15), (8, 15), (17, 5), (17, -6), (8, -15),
             (-7, -15)]  # fmt: skip
    seam = line("dw-thin", (3, 8), (12, 8), (12, 13)) if loose else ""
    return _bar(15, 3.4) + area(_METAL, fixed) + seam


def _ring(half: float, end: str = "") -> str:
    block = box(_METAL, 33, -5, 6, 10) if end == "block" else ""
    scale = "".join(line("dw-fine", (x, -2), (x, 2)) for x in (20, 22, 24, 26)) if (
        end == "scale") else ""  # fmt: skip
    return _bar(11, half) + circle(_METAL, 0, 0, 13) + block + scale


def _key() -> str:
    return area(_METAL, [(-3, -3), (37, -3), (37, 3), (-3, 3)])


def _blade() -> str:
    return circle(_METAL, 0, 0, 12) + line("dw-outline", (-6, 0), (6, 0))


def _drift_round() -> str:
    return area(_METAL, [(-14, 6), (-10, 9), (6, 34), (2, 36)])


_ENDS: Mapping[str, Callable[[], str]] = {
    "c-spanner": lambda: _hook("slot"), "long-c-spanner": lambda: _hook("slot"),
    "pin-spanner": lambda: _hook("pin"), "strap-wrench": _strap, "chain-wrench": _chain,
    "pipe-wrench": _pipe, "second-pipe-wrench": _pipe, "adjustable": lambda: _jaws(loose=True),
    "second-adjustable": lambda: _jaws(loose=True), "open-spanners": lambda: _jaws(loose=False),
    "socket-set": lambda: _ring(2.6), "breaker-bar": lambda: _ring(2.0),
    "slogging-spanner": lambda: _ring(4.2, "block"),
    "torque-wrench": lambda: _ring(3.2, "scale"), "hexagon-keys": _key, "screwdriver": _blade,
    "soft-drift": _drift_round,
}  # fmt: skip


def _part(key: str) -> str:
    if key in JAWED:
        small = 5.0 if key == "hexagon-keys" else _ROUND
        return area("dw-metal dw-edge-thin", _arc(small * 1.12, 30, 330, 5))
    return circle("dw-metal dw-edge-thin", 0, 0, _ROUND)


def from_the_end(key: str, x: float, y: float, *, turn: int) -> str:
    """A tool seen along the axis it turns about, from the end the part comes off by.

    Args:
        key: of the tool.
        x: left edge of its room.
        y: upper edge.
        turn: 1 anticlockwise, -1 clockwise; 0 held against, shown by the hatched line of what
            stands still.
    """
    drawn = _ENDS.get(key)
    if drawn is None:
        return ""
    still = (
        ""
        if turn
        else line("dw-outline", (37, -8), (37, 8))
        + strokes("dw-thin", [((37, y), (41, y + 4)) for y in (-8, -4, 0, 4)])
    )
    tool = tag("g", drawn() + _part(key) + still, transform="rotate(42)")
    arrow = ""
    if turn:
        ring = [(x, y) for x, y in _arc(17.5, 190, 60)][:: turn * -1]
        (ax, ay), (bx, by) = ring[-3], ring[-1]
        long = math.hypot(bx - ax, by - ay)
        u, v = (bx - ax) / long, (by - ay) / long
        arrow = line("dw-accent-mid", *ring[:-1]) + head((bx + 3 * u, by + 3 * v), u, v, 8.0)
    return tag("g", tool, arrow, cls="dw-tool-end", data_tool=key,
               transform=f"translate({num(x + 21)} {num(y + 22)})")  # fmt: skip
