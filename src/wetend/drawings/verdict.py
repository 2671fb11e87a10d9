"""Verdict symbols: distinct by outline, then by colour, always beside the word.

The shapes are our own; none relies on colour (WCAG 2.2, success criterion 1.4.1).
"""

from __future__ import annotations

import math

from wetend.advice.reasons import Verdict
from wetend.drawings.svg import Point, area, circle, group, line, sheet
from wetend.drawings.words import AS_WRITTEN, saying, word
from wetend.units.message import Message, Words

TONE: dict[Verdict, str] = {
    Verdict.KEEP: "good",
    Verdict.PASS: "good",
    Verdict.ENOUGH: "good",
    Verdict.TURN: "turn",
    Verdict.DRESS: "dress",
    Verdict.WATCH: "dress",
    Verdict.REPLACE: "bad",
    Verdict.FAIL: "bad",
    Verdict.MEASURE_AGAIN: "ask",
    Verdict.NOT_PROVEN: "ask",
    Verdict.NOT_APPLICABLE: "none",
}
"""The tone each verdict is inked in (a key of the ink's colours)."""

_TICK: tuple[Point, ...] = ((-4.6, 0.4), (-1.4, 3.8), (4.6, -3.8))
_CROSS: tuple[tuple[Point, ...], ...] = (((-3.6, -3.6), (3.6, 3.6)), ((-3.6, 3.6), (3.6, -3.6)))


def _arc(radius: float, start: float, end: float, steps: int = 10) -> list[Point]:
    """Points of an arc; degrees clockwise from 12."""
    angles = [math.radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    return [(radius * math.sin(a), -radius * math.cos(a)) for a in angles]


def _ring(sides: int, radius: float, turn: float = 0.0) -> list[Point]:
    return _arc(radius, turn, turn + 360, sides)[:-1]


def _ask(thick: str) -> list[str]:
    hook = [(-3.0, -2.4), *[(x, y - 2.4) for x, y in _arc(3.0, -90, 120, 8)], (0.0, 1.0)]
    return [line(thick, *hook, (0.0, 1.9)), circle("dw-tone", 0, 5.0, 1.4)]


def _shape(verdict: Verdict) -> list[str]:
    thin, thick = "dw-tone-line", "dw-tone-thick"
    paper = "dw-tone-cut"
    square = [(-8.0, -8.0), (8.0, -8.0), (8.0, 8.0), (-8.0, 8.0)]
    if verdict is Verdict.KEEP:
        return [circle("dw-paper-fill", 0, 0, 8.4), circle(thin, 0, 0, 8.4), line(thick, *_TICK)]
    if verdict is Verdict.PASS:
        return [circle("dw-tone", 0, 0, 9.3), line(paper, *_TICK)]
    if verdict is Verdict.ENOUGH:
        return [area("dw-paper-fill", square), area(thin, square), line(thick, *_TICK)]
    if verdict is Verdict.TURN:
        heads = [[(2.4, -10.2), (8.6, -7.4), (3.2, -3.2)], [(-2.4, 10.2), (-8.6, 7.4), (-3.2, 3.2)]]
        return [
            circle("dw-paper-fill", 0, 0, 9.6),
            line(thick, *_arc(6.9, -95, 30)), line(thick, *_arc(6.9, 85, 210)),
            *(area("dw-tone", h) for h in heads),
        ]  # fmt: skip
    if verdict is Verdict.DRESS:
        wide = [(-5.0, -8.0), (5.0, -8.0), (9.0, 8.0), (-9.0, 8.0)]
        files = (((-5.2, 3.2), (0.6, -4.6)), ((-2.2, 4.8), (3.2, -2.6)), ((1.6, 5.2), (5.4, 0.2)))
        return [area("dw-paper-fill", wide), area(thin, wide), *(line(thin, *f) for f in files)]
    if verdict is Verdict.WATCH:
        three = [(0.0, -9.0), (9.6, 7.8), (-9.6, 7.8)]
        return [area("dw-paper-fill", three), area(thin, three),
                line(thick, (0, -3.4), (0, 1.8)), circle("dw-tone", 0, 5.2, 1.5)]  # fmt: skip
    if verdict is Verdict.REPLACE:
        four = _ring(4, 10.6)
        return [area("dw-tone", four), *(line(paper, *c) for c in _CROSS)]
    if verdict is Verdict.FAIL:
        return [area("dw-tone", _ring(8, 9.8, 22.5)), *(line(paper, *c) for c in _CROSS)]
    if verdict is Verdict.MEASURE_AGAIN:
        return [circle("dw-paper-fill", 0, 0, 8.6), *(line(thin, *_arc(8.6, a, a + 58, 4))
                for a in range(0, 360, 90)), *_ask(thick)]  # fmt: skip
    if verdict is Verdict.NOT_APPLICABLE:
        return [circle("dw-paper-fill", 0, 0, 8.4), circle(thin, 0, 0, 8.4),
                line(thin, (-5.9, 5.9), (5.9, -5.9))]  # fmt: skip
    six = _ring(6, 9.6, 30)
    return [area("dw-paper-fill", six), area(thin, six), line(thick, (-4.0, 0), (4.0, 0))]


def at(verdict: Verdict, x: float, y: float, size: float = 20.0) -> str:
    """The shape inside a larger drawing, about a point."""
    scale = size / 22
    return group(f"dw-{TONE[verdict]}", *_shape(verdict),
                 transform=f"translate({x:.2f} {y:.2f}) scale({scale:.3f})")  # fmt: skip


def mark(verdict: Verdict, *, reader: Words = AS_WRITTEN) -> str:
    """The shape by itself, to stand beside its word at the height of the text."""
    say, text = saying(reader), word(verdict)
    return sheet(say(text), say(Message("Verdict: {verdict}", verdict=text)),
                 at(verdict, 12, 12, 22),
                 width=24, height=24, cls="dw dw-mark")  # fmt: skip
