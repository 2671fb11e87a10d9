"""Labels with leader lines beside a drawing, spread so that none overlap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.reasons import Verdict
from wetend.drawings import verdict as shapes
from wetend.drawings.svg import Point, circle, group, line, words

LEADING = 14.0


@dataclass(frozen=True)
class Label:
    """What to say, and the point in the drawing it speaks of."""

    lines: tuple[str, ...]
    point: Point
    verdict: Verdict | None = None
    beside: int = 1
    """How many of the last lines the verdict's shape stands beside."""

    @property
    def height(self) -> float:
        """Room the label takes, with the gap to the next."""
        return LEADING * len(self.lines) + 5


def spread_out(
    wanted: Sequence[float], heights: Sequence[float], low: float, high: float
) -> list[float]:
    """Middles as near as can be to those wanted, in order, without overlap, from low to high.

    Least squares under an order: pooling of adjacent violators (Barlow and others, "Statistical
    Inference under Order Restrictions", 1972; from memory). With too little room they run on past
    ``high``.

    >>> spread_out([10, 11, 50], [10, 10, 10], 0, 100)
    [5.5, 15.5, 50.0]
    """
    offsets, run = [], 0.0
    for height in heights:
        offsets.append(run + height / 2)
        run += height
    pools: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        total, count = want - offset, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            more, extra = pools.pop()
            total, count = total + more, count + extra
        pools.append((total, count))
    flat = [total / count for total, count in pools for _ in range(count)]
    most = max(high - run, low)
    return [min(max(q, low), most) + o for q, o in zip(flat, offsets, strict=True)]


def _one(label: Label, middle: float, text_x: float, shelf_x: float, side: int) -> str:
    base = middle - LEADING * len(label.lines) / 2 + 11
    tone = f"dw-{shapes.TONE[label.verdict]}" if label.verdict else ""
    said = len(label.lines) - label.beside if label.verdict else len(label.lines)
    shape = ""
    if label.verdict:
        centre = base - 4 + (said + (label.beside - 1) / 2) * LEADING
        shape = shapes.at(label.verdict, text_x + side * 8, centre, 17)
    lines = [
        words(
            text, text_x + (side * 20 if i >= said else 0), base + i * LEADING,
            anchor="start" if side > 0 else "end",
            cls="dw-text" + (" dw-strong" if label.verdict else "")
            + (" dw-tone-text" if i >= said else ""),
        )
        for i, text in enumerate(label.lines)
    ]  # fmt: skip
    leader = line("dw-tone-line" if label.verdict else "dw-leader",
                  (shelf_x + side * 5, middle), (shelf_x, middle), label.point)  # fmt: skip
    return group(
        f"dw-label {tone}".strip(), leader, circle("dw-dot", *label.point, 2), shape, *lines
    )


def column(
    labels: Sequence[Label], *, text_x: float, shelf_x: float, low: float, high: float
) -> str:
    """Labels in one column; text runs to the right if the column lies right of its shelf."""
    ordered = sorted(labels, key=lambda each: each.point[1])
    middles = spread_out(
        [each.point[1] for each in ordered], [each.height for each in ordered], low, high
    )
    side = 1 if text_x > shelf_x else -1
    return "".join(
        _one(label, middle, text_x, shelf_x, side)
        for label, middle in zip(ordered, middles, strict=True)
    )
