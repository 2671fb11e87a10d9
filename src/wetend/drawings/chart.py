"""The one chart of an answer over a number: curve, band of its spread, and where it stands.

The same drawing serves screen, print and file: it is laid out in its own units, its colours come
from the sheet it stands on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.drawings.curve import round_marks, simplified
from wetend.drawings.svg import WIDE, Point, area, box, circle, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.units.message import Message, Words, raised
from wetend.units.parse import to_unit
from wetend.units.quantity import Unit
from wetend.units.show import pretty, show, significant

_X0, _X1, _Y0, _Y1 = 56.0, WIDE - 12.0, 12.0, 168.0


@dataclass(frozen=True)
class Axis:
    """What is measured along an axis, and in what; ``None`` is a plain number."""

    label: str
    unit: Unit | None


@dataclass(frozen=True)
class Chart:
    """A curve with its band, SI."""

    title: str
    across: Axis
    up: Axis
    points: Sequence[tuple[float, float]]
    here: tuple[float, float]
    spread: float
    """Standard uncertainty at ``here``; the band is as wide a share of the answer all along."""


def _value(value: float, axis: Axis) -> str:
    return show(value, axis.unit) if axis.unit else significant(value, 3)


def chart(given: Chart, *, reader: Words = AS_WRITTEN) -> str:
    """The chart as SVG, its figures in the reader's units."""
    say = saying(reader)

    def shown(value: float, axis: Axis) -> float:
        if axis.unit is None:
            return value
        return to_unit(value, axis.unit.kind, axis.unit.shown_in(reader.system))

    def named(axis: Axis) -> str:
        unit = pretty(axis.unit.shown_in(reader.system)) if axis.unit else ""
        label = raised(axis.label)
        return Message("{label}, {unit}", label=label, unit=unit) if unit else label

    curve = [(shown(x, given.across), shown(y, given.up)) for x, y in given.points]
    here = (shown(given.here[0], given.across), shown(given.here[1], given.up))
    share = abs(given.spread / given.here[1]) if given.here[1] else 0.0
    band = [(x, y * (1 - share), y * (1 + share)) for x, y in curve]
    low = min(min(a, b) for _, a, b in band)
    high = max(max(a, b) for _, a, b in band)
    marks = round_marks(low, high, 4)
    xs = round_marks(curve[0][0], curve[-1][0], 4)
    x0, x1 = min(curve[0][0], curve[-1][0]), max(curve[0][0], curve[-1][0])

    def at(x: float, y: float) -> Point:
        wide, tall = (x1 - x0) or 1.0, (marks[-1] - marks[0]) or 1.0
        return (_X0 + (_X1 - _X0) * (x - x0) / wide, _Y1 - (_Y1 - _Y0) * (y - marks[0]) / tall)

    grid = [
        part
        for mark in marks
        for part in (
            line("dw-rule", (_X0, at(x0, mark)[1]), (_X1, at(x0, mark)[1])),
            words(f"{mark:g}", _X0 - 4, at(x0, mark)[1] + 4, anchor="end", cls="dw-text dw-small"),
        )
    ]
    ticks = [
        part
        for mark in xs if x0 <= mark <= x1
        for part in (
            line("dw-thin", (at(mark, marks[0])[0], _Y1), (at(mark, marks[0])[0], _Y1 + 4)),
            words(f"{mark:g}", at(mark, marks[0])[0], _Y1 + 16, anchor="middle",
                  cls="dw-text dw-small"),
        )
    ]  # fmt: skip
    ring = [at(x, a) for x, a, _ in band] + [at(x, b) for x, _, b in reversed(band)]
    said = Message(
        "{answer} {value} at {name} {given}.",
        answer=raised(given.up.label), value=_value(given.here[1], given.up),
        name=given.across.label, given=_value(given.here[0], given.across),
    )  # fmt: skip
    spot = at(*here)
    return sheet(
        say(given.title), say(said), area("dw-band", ring), *grid,
        line("dw-accent-line", *simplified([at(x, y) for x, y in curve])),
        line("dw-hidden", (spot[0], _Y0), (spot[0], _Y1)), circle("dw-dot", *spot, 4.5), *ticks,
        box("dw-thin", _X0, _Y0, _X1 - _X0, _Y1 - _Y0),
        words(say(named(given.up)), 2, _Y1 + 48, cls="dw-text dw-small dw-quiet"),
        words(say(named(given.across)), _X1, _Y1 + 32, anchor="end",
              cls="dw-text dw-small dw-quiet"),
        height=_Y1 + 54,
    )  # fmt: skip
