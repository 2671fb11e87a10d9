"""Result of analysing a recording: strokes, times, and what could not be read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wetend.advice.reasons import Interval, Working
from wetend.stats.signal.follow import Turn
from wetend.units.message import Message
from wetend.units.quantity import Ratio, S

Source = Literal["taps", "sound", "log"]
Way = Literal["up", "down"]
Quality = Literal["clear", "doubtful", "not read"]

FEWEST = 5
"""Strokes of either kind without which no times are given."""


@dataclass(frozen=True)
class Stroke:
    """A stroke timed from turn to turn."""

    number: int
    start: S
    length: S
    kind: int
    """0 for the strokes like the first one found, 1 for the others."""
    used: bool
    """Whether it counts: both turns heard, none missed between, and not far from its fellows."""
    why: str
    """Why it does not count, if it does not."""


_TITLES = {
    "up": Message("Up stroke"),
    "down": Message("Down stroke"),
    "first": Message("First stroke"),
    "second": Message("Second stroke"),
}


@dataclass(frozen=True)
class Side:
    """All strokes of one kind."""

    name: str
    """up, down, or first and second while nobody has said which is which."""
    times: tuple[S, ...]
    middle: S | None
    """Robust centre."""
    interval: Interval | None
    """Nine times in ten, of the centre."""
    scatter: S | None
    """Robust standard deviation of one stroke, drift and steps left out."""
    drift: Ratio | None
    """Change of the stroke time over a minute, as a share of it."""
    step_at: S | None
    """Moment at which the strokes change all at once, if they do."""

    @property
    def title(self) -> str:
        """The strokes of this kind, as a heading."""
        return _TITLES.get(self.name, self.name)


@dataclass(frozen=True)
class Trace:
    """Detection signal, thinned for drawing: the highest value in each step."""

    start: S
    step: S
    values: tuple[float, ...]
    """Between 0 and 1."""
    known: tuple[bool, ...]


@dataclass(frozen=True)
class Listening:
    """Strokes found in a recording, and what could not be found."""

    source: Source
    length: S
    quality: Quality
    turns: tuple[Turn, ...]
    strokes: tuple[Stroke, ...]
    sides: tuple[Side, Side]
    """Strokes of kind 0, and of kind 1."""
    marked: bool
    """Whether somebody said which stroke is which."""
    missed: int
    """Turns that must have been but were not heard."""
    pauses: int
    differ: bool
    """Whether the two strokes differ by more than chance and by more than 20 ms."""
    spread: S
    """Standard uncertainty of one turn's moment."""
    summary: str
    could_not: tuple[str, ...]
    trace: Trace
    workings: tuple[Working, ...]

    def times(self, way: Way) -> tuple[S, ...]:
        """Times of the strokes going one way that count; none until marked."""
        return next((side.times for side in self.sides if side.name == way), ())


@dataclass(frozen=True)
class Corrected:
    """Strokes as a person corrected them, over the trace they were found in."""

    length: S
    turns: tuple[Turn, ...]
    strokes: tuple[Stroke, ...]
    sides: tuple[Side, Side]
    trace: Trace
