"""Outlines of drawn parts on a fine grid: what overlaps, and what stands in a part's way.

Each part is painted and drawn in by half a unit, so that touching is not crossing. What moves is
swept along its way to the end of the sheet, and what stays must not lie in it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from wetend.drawings.acts.pieces import Piece, PieceName
from wetend.drawings.acts.state import Act, Way

Bits = NDArray[np.bool_]
_FINE = 2.0
_AREA = re.compile(r'<path class="[^"]*" d="([^"]*Z)" fill-rule="evenodd"')
_ROUND = re.compile(r'<circle [^>]*cx="(-?[\d.]+)" cy="(-?[\d.]+)" r="([\d.]+)"')
_PAIR = re.compile(r"(-?[\d.]+) (-?[\d.]+)")


def swept(bits: Bits, way: Way) -> Bits:
    """Every cell that these pass over on their way off the sheet."""
    axis = 0 if way in ("up", "down") else 1
    turned = bits if way in ("down", "right") else np.flip(bits, axis)
    passed: Bits = np.logical_or.accumulate(turned, axis=axis)
    return passed if way in ("down", "right") else np.flip(passed, axis)


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

    def _drawn_in(self, markup: str) -> Bits:
        found = np.zeros(self.size[::-1], dtype=bool)
        for area in self._areas(markup):
            found |= area
        inner = found.copy()
        inner[1:] &= found[:-1]
        inner[:-1] &= found[1:]
        inner[:, 1:] &= found[:, :-1]
        inner[:, :-1] &= found[:, 1:]
        return inner

    @cached_property
    def _each(self) -> dict[PieceName, Bits]:
        return {part: self._drawn_in(piece.markup) for part, piece in self.pieces.items()}

    def painted(self, parts: Collection[PieceName]) -> Bits:
        """These parts, as far as the pump has them."""
        found = np.zeros(self.size[::-1], dtype=bool)
        for part in parts:
            if part in self._each:
                found |= self._each[part]
        return found

    def overlaps(self) -> dict[tuple[PieceName, PieceName], int]:
        """Pairs of parts that lie over each other, and in how many cells."""
        each = self._each
        cells = {(a, b): int((each[a] & each[b]).sum()) for a, b in combinations(each, 2)}
        return {pair: n for pair, n in cells.items() if n}

    def in_the_way(self, act: Act) -> dict[PieceName, int]:
        """Parts that stay and that what moves lies over on its way out, and in how many cells."""
        passed = swept(self.painted(act.moving), act.way)
        cells = {p: int((passed & self._each[p]).sum()) for p in act.shown if p in self._each}
        return {part: n for part, n in cells.items() if n}
