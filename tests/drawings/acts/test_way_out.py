"""What moves in an act can really come away: its outline, moved along its way, meets nothing.

The outlines are painted on a fine grid, each drawn in by half a unit, and what moves is moved step
by step until it is off the sheet. So the order of operations in a description is held against its
sizes, and each picture against what a fitter's hands find.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.acts.pieces import Piece, PieceName, Pieces
from wetend.drawings.acts.state import Act, Standing
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.pump.toml import DEMO_PUMPS, demo_pump

Bits = NDArray[np.bool_]
_FINE = 2.0
_AREA = re.compile(r'<path class="[^"]*" d="([^"]*Z)" fill-rule="evenodd"')
_ROUND = re.compile(r'<circle [^>]*cx="(-?[\d.]+)" cy="(-?[\d.]+)" r="([\d.]+)"')
_PAIR = re.compile(r"(-?[\d.]+) (-?[\d.]+)")
_STEPS = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}


class Grid:
    """A sheet painted black where there is metal or packing."""

    def __init__(self, pieces: Mapping[PieceName, Piece]) -> None:
        self.pieces = pieces
        boxes = [p.box for p in pieces.values()]
        self.left, self.top = min(b.left for b in boxes) - 4, min(b.top for b in boxes) - 4
        self.size = (
            int((max(b.right for b in boxes) + 4 - self.left) * _FINE),
            int((max(b.bottom for b in boxes) + 4 - self.top) * _FINE),
        )

    def _at(self, x: str, y: str) -> tuple[float, float]:
        return (float(x) - self.left) * _FINE, (float(y) - self.top) * _FINE

    def _areas(self, markup: str) -> Iterator[Bits]:
        for drawn in _AREA.findall(markup):
            whole = np.zeros(self.size[::-1], dtype=bool)
            for ring in drawn.split("Z"):
                points = [self._at(x, y) for x, y in _PAIR.findall(ring)]
                if len(points) > 2:
                    sheet = Image.new("1", self.size)
                    ImageDraw.Draw(sheet).polygon(points, fill=1)
                    whole ^= np.array(sheet)
            yield whole
        for x, y, r in _ROUND.findall(markup):
            (a, b), wide = self._at(x, y), float(r) * _FINE
            sheet = Image.new("1", self.size)
            ImageDraw.Draw(sheet).ellipse([a - wide, b - wide, a + wide, b + wide], fill=1)
            yield np.array(sheet)

    def painted(self, parts: Collection[PieceName]) -> Bits:
        """These parts, drawn in by one of the grid's cells, so that touching is not crossing."""
        found = np.zeros(self.size[::-1], dtype=bool)
        for part in parts:
            if part in self.pieces:
                for area in self._areas(self.pieces[part].markup):
                    found |= area
        inner = found.copy()
        inner[1:] &= found[:-1]
        inner[:-1] &= found[1:]
        inner[:, 1:] &= found[:, :-1]
        inner[:, :-1] &= found[:, 1:]
        return inner


def _moved(bits: Bits, across: int, down: int) -> Bits:
    found = np.zeros_like(bits)
    tall, wide = bits.shape
    found[max(0, down) : tall + min(0, down), max(0, across) : wide + min(0, across)] = bits[
        max(0, -down) : tall - max(0, down), max(0, -across) : wide - max(0, across)
    ]
    return found


def _cells_crossed(grid: Grid, act: Act) -> int:
    """The most cells of what stays that what moves lies over at any place on its way out."""
    still, moving = grid.painted(act.shown), grid.painted(act.moving)
    (u, v), far = _STEPS[act.way], max(grid.size)
    worst = 0
    for step in range(0, far, 6):
        if abs(u) * step >= grid.size[0] or abs(v) * step >= grid.size[1]:
            break
        worst = max(worst, int((still & _moved(moving, u * step, v * step)).sum()))
    return worst


def _acts(pump: Pump) -> Iterator[tuple[Operation, Act]]:
    done: list[str] = []
    for step in plan_strip(pump, ToolBag(tools=tuple(tool_titles(pump)))).steps:
        yield step.operation, Standing.after(pump, done).act(step.operation)
        done.append(step.operation.key)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_nothing_stands_in_the_way_of_what_comes_off(key: str) -> None:
    pump = demo_pump(key)
    grid = Grid(Pieces(pump).all)
    crossed = {o.key: n for o, act in _acts(pump) if (n := _cells_crossed(grid, act))}
    assert not crossed


def test_out_of_order_something_does() -> None:
    """The check can fail: a cylinder does not come off over a foot valve's seat, nor packings over
    the lower end that holds them.
    """
    pump = demo_pump("quay-air")
    grid = Grid(Pieces(pump).all)
    held = Act("moving-packings", ("rod", "piston", "piston-nut"), ("moving-packings",),
               ("moving-packings",), "down", turned=False, left_hand=False, bolted=False,
               struck=False)  # fmt: skip
    assert _cells_crossed(grid, held) > 50
