"""Traces of a pump in motion over time, a panel each, beside those of a sound pump."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.simulation.film import CHANNELS, Channel, Film, Seen
from wetend.drawings.curve import round_marks, simplified
from wetend.drawings.svg import WIDE, Point, box, group, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.units.kinds import System
from wetend.units.message import Message, Words, joined, raised
from wetend.units.parse import to_unit
from wetend.units.show import pretty

LEFT, RIGHT = 46.0, WIDE - 8.0
"""Where the time axis begins and ends on the sheet."""
_HEAD = 30.0
_TITLE = 20.0
_TALL = 64.0
_PANEL = _TITLE + _TALL + 8.0
_FOOT = 34.0
_LEAST = 1e-3
"""Least range of an axis, in the unit shown."""
_NOTHING = 1e-12
_LEAKS = ("rod_leak", "outside")
"""Drawn only where there is any."""

GROUPS: dict[str, tuple[Seen, ...]] = {
    Message("Rod and balls"): ("place", "foot_lift", "piston_lift"),
    Message("Pressures"): ("above", "below", "gauge", "gun", "suction"),
    Message("Flows"): (
        "drawn",
        "foot_flow",
        "piston_flow",
        "outlet",
        "nozzle",
        "rod_leak",
        "outside",
    ),
}
"""What is drawn together."""
NAMED = (Message("this pump"), Message("sound pump"))
"""What the two lines are called."""


@dataclass(frozen=True)
class _Scale:
    """From time and value to the sheet."""

    seconds: float
    marks: tuple[float, ...]
    top: float

    def x(self, time: float) -> float:
        return LEFT + (RIGHT - LEFT) * time / self.seconds

    def y(self, value: float) -> float:
        low, high = self.marks[0], self.marks[-1]
        share = (value - low) / (high - low)
        return self.top + _TALL * (1.0 - min(max(share, 0.0), 1.0))


def _figure(value: float) -> str:
    return f"{value:g}".replace("-", "\N{MINUS SIGN}")


def _shown(film: Film, channel: Channel, system: System) -> list[float]:
    """What was followed, in the person's unit; none of the units is counted from a zero apart."""
    factor = to_unit(1.0, channel.unit.kind, channel.unit.shown_in(system))
    return [factor * float(v) for v in film[channel.key]]


def _marks(values: Sequence[float]) -> tuple[float, ...]:
    """Round marks that hold all values and zero; a mere touch below zero is left out."""
    high, low = max(*values, 0.0), min(*values, 0.0)
    if -low < 0.05 * high:
        low = 0.0
    elif high < -0.05 * low:
        high = 0.0
    return tuple(round_marks(low, max(high, low + _LEAST), 3))


def _curve(cls: str, film: Film, values: Sequence[float], scale: _Scale) -> str:
    inside = film.t <= scale.seconds * (1 + 1e-9)
    points: list[Point] = [
        (scale.x(float(t)), scale.y(v))
        for t, v, shown in zip(film.t, values, inside, strict=True)
        if shown
    ]
    return line(cls, *simplified(points)) if len(points) > 1 else ""


def _grid(scale: _Scale, times: Sequence[float]) -> list[str]:
    drawn = [
        line("dw-rule", (scale.x(t), scale.top), (scale.x(t), scale.top + _TALL))
        for t in times
        if t <= scale.seconds
    ]
    for mark in scale.marks:
        y = scale.y(mark)
        drawn.append(line("dw-rule", (LEFT, y), (RIGHT, y)))
    labelled = sorted({scale.marks[0], scale.marks[-1], 0.0} & set(scale.marks))
    return drawn + [words(_figure(m), LEFT - 5, scale.y(m) + 4, anchor="end") for m in labelled]


def _panel(
    channel: Channel, films: tuple[Film, Film], top: float, seconds: float, reader: Words
) -> str:
    say, system = saying(reader), reader.system
    values = [_shown(film, channel, system) for film in films]
    scale = _Scale(seconds, _marks([*values[0], *values[1]]), top + _TITLE)
    unit = pretty(channel.unit.shown_in(system))
    title = Message("{channel}, {unit}", channel=raised(channel.title), unit=unit)
    return group(
        "dw-panel",
        words(say(title), LEFT, top + 13, cls="dw-text dw-strong"),
        *_grid(scale, round_marks(0.0, seconds, 4)),
        _curve("dw-accent-mid", films[0], values[0], scale),
        _curve("dw-sound", films[1], values[1], scale),
        box("dw-thin", LEFT, scale.top, RIGHT - LEFT, _TALL),
    )  # fmt: skip


def _key(named: tuple[str, str]) -> str:
    """Which line is whose."""
    y = 14.0
    middle = WIDE / 2
    return (
        line("dw-accent-mid", (8, y - 4), (34, y - 4)) + words(named[0], 40, y)
        + line("dw-sound", (middle, y - 4), (middle + 26, y - 4)) + words(named[1], middle + 32, y)
    )  # fmt: skip


def _axis(seconds: float, y: float, say: Say) -> str:
    times = [t for t in round_marks(0.0, seconds, 4) if t <= seconds * 1.0001]
    scale = _Scale(seconds, (0.0, 1.0), y)
    drawn = [
        line("dw-thin", (scale.x(t), y), (scale.x(t), y + 4))
        + words(_figure(t), scale.x(t), y + 16, anchor="middle")
        for t in times
    ]
    named = words(say(Message("seconds")), RIGHT, y + 29, anchor="end", cls="dw-text dw-small")
    return "".join(drawn) + named


def _any(this: Film, sound: Film, key: Seen) -> bool:
    return any(bool((abs(film[key]) > _NOTHING).any()) for film in (this, sound))


def _described(channel: Channel, film: Film, reader: Words) -> str:
    values = _shown(film, channel, reader.system)
    return Message(
        "{channel} from {low:.3g} to {high:.3g} {unit}",
        channel=channel.title, low=min(values), high=max(values),
        unit=pretty(channel.unit.shown_in(reader.system)),
    )  # fmt: skip


def panels(
    title: str,
    this: Film,
    sound: Film,
    keys: Sequence[Seen],
    *,
    reader: Words = AS_WRITTEN,
    named: tuple[str, str] = NAMED,
    moving: bool = False,
) -> str:
    """Panels one below the other over a shared time axis.

    Args:
        title: what they show together.
        this: the pump looked at.
        sound: the pump it is held against.
        keys: what to follow, a panel each.
        reader: whose language it is in, and the units of the axes.
        named: what the two lines are called.
        moving: puts in a cursor line that a page's script moves.
    """
    say = saying(reader)
    channels = [CHANNELS[key] for key in keys if key not in _LEAKS or _any(this, sound, key)]
    seconds = max(this.length, 1e-6)
    low = _HEAD - 6 + _PANEL * len(channels)
    cursor = (
        group("dw-cursor", line("dw-outline", (LEFT, _HEAD - 6), (LEFT, low)), data_cursor="")
        if moving
        else ""
    )
    return sheet(
        say(title),
        say(joined("; ", (_described(c, this, reader) for c in channels)) + "."),
        _key((say(named[0]), say(named[1]))),
        *(
            _panel(c, (this, sound), _HEAD - 6 + _PANEL * k, seconds, reader)
            for k, c in enumerate(channels)
        ),
        _axis(seconds, low - 8, say),
        cursor,
        height=low + _FOOT - 8,
    )
