"""Wrong beside right: how parts must not go back, each drawn from this pump with what comes of it.

What comes of each is common practice, no source; how far a cage put in upside down stands proud
follows from the pump's sizes. Wrong shims are drawn with the stack (:mod:`wetend.drawings.stack`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from wetend.drawings.pen import Pen
from wetend.drawings.svg import line, num, sheet, tag, words, wrapped
from wetend.drawings.v_rings import packings
from wetend.drawings.wet_end import parts
from wetend.drawings.wet_end.sizes import Sizes, sizes
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation
from wetend.units.message import Message, Words
from wetend.units.show import fine_length

WIDE, _TALL, _HEAD = 340.0, 118.0, 36.0


@dataclass(frozen=True)
class Way:
    """One way of putting something back."""

    title: str
    why: str
    draw: Callable[[Pen], str]


def proud(s: Sizes) -> float:
    """How far a cage put in upside down stands off its place on the ball, in metres; 0: not."""
    cage = next((r for r in s.foot.rings if r.kind == "cage"), None)
    seat = next((r for r in s.foot.rings if r.kind == "seat"), None)
    if cage is None or s.foot.resting is None or seat is None or cage.low < seat.low:
        return 0.0
    return max(s.foot.ball_z + s.foot.ball - cage.low, 0.0)


def _stack(pen: Pen, s: Sizes, *, ball: bool = True, cage: bool = True) -> str:
    """The foot valve in its housing, the cage upside down where it is not as it should be."""
    drawn = parts.stack(pen, s, ball=ball)
    if not cage:
        ring = next(r for r in s.foot.rings if r.kind == "cage")
        lift = proud(s) * pen.scale
        turn = pen.at(0, ring.low)[1] + pen.at(0, ring.high)[1] - lift
        drawn["cage"] = tag("g", drawn["cage"], transform=f"matrix(1 0 0 -1 0 {num(turn)})")
        for part in ("soft-ring", "shim"):
            drawn.pop(part, None)
    return "".join((*parts.housing(pen, s).values(), *drawn.values()))


def _of_stack(pump: Pump) -> Iterator[Way]:
    s = sizes(pump)
    yield Way(Message("right"), Message("stop over the ball"), lambda pen: _stack(pen, s))
    yield Way(Message("ball left out"), Message("never shuts: draws nothing"),
              lambda pen: _stack(pen, s, ball=False))  # fmt: skip
    if proud(s) > 0:
        yield Way(
            Message("cage upside down"),
            Message("stands {gap} proud: ball held down", gap=fine_length(proud(s))),
            lambda pen: _stack(pen, s, cage=False),
        )


def _ring_set(pen: Pen, pump: Pump, s: Sizes, *, moving: bool, upside_down: bool) -> str:
    """A set of V-rings with what it runs in, and the pressure on it."""
    p, b = s.piston, s.body
    own = pump.moving_packings if moving else pump.static_packings
    facing = own.lips_face
    if upside_down:
        facing = "down" if facing == "up" else "up"
    inner, outer = (p.core, s.cylinder.bore) if moving else (b.rod, b.box)
    low, high = (p.nut, p.packed) if moving else (b.box_low, b.box_high)
    drawn = packings(
        pen, "moving-packings" if moving else "static-packings", inner=inner, outer=outer, low=low,
        high=high, rings=min(own.rings, 4), lips=facing,
    )  # fmt: skip
    walls = "".join(
        line("dw-outline", pen.at(way * r, low), pen.at(way * r, high))
        for way in (-1, 1)
        for r in (inner, outer)
    )
    up = 1 if own.lips_face == "up" else -1  # the pressure comes from where lips ought to face
    edge = high if up > 0 else low
    arrows = ""
    for way in (-1, 1):
        x, y = pen.at(way * 0.5 * (inner + outer), edge)
        arrows += line("dw-accent-thick", (x, y - 16 * up), (x, y - 5 * up)) + line(
            "dw-accent-thick", (x - 4, y - 9 * up), (x, y - 4 * up), (x + 4, y - 9 * up)
        )
    return drawn + walls + arrows


def _of_rings(pump: Pump, *, moving: bool) -> Iterator[Way]:
    s = sizes(pump)
    yield Way(Message("right"), Message("pressure spreads the lips"),
              lambda pen: _ring_set(pen, pump, s, moving=moving, upside_down=False))  # fmt: skip
    yield Way(Message("V-rings upside down"), Message("pressure folds the lips: leaks at once"),
              lambda pen: _ring_set(pen, pump, s, moving=moving, upside_down=True))  # fmt: skip


def _groove(pen: Pen, s: Sizes, *, up: bool) -> str:
    """A foot valve whose seat has a worn groove, on the ball's face or on the other."""
    foot = s.foot
    seat, rest = next(r for r in foot.rings if r.kind == "seat"), foot.resting
    assert rest is not None
    r = 0.5 * (rest.bore + rest.mouth)
    z = seat.high - 0.5 * rest.cone if up else seat.low
    marks = ""
    for way in (-1, 1):
        x, y = pen.at(way * (r if up else 0.5 * (rest.mouth + rest.bore)), z)
        marks += line("dw-risk", (x - 5, y - 3), (x - 1, y + 2), (x + 2, y - 1), (x + 5, y + 3))
    return _stack(pen, s) + marks


def _of_seat(pump: Pump) -> Iterator[Way]:
    s = sizes(pump)
    if s.foot.resting and pump.foot_valve.reversible:
        yield Way(Message("right"), Message("good face to the ball"),
                  lambda pen: _groove(pen, s, up=False))  # fmt: skip
        yield Way(Message("used face up"), Message("the worn face leaks on"),
                  lambda pen: _groove(pen, s, up=True))  # fmt: skip


def ways(pump: Pump, operation: Operation) -> tuple[Way, ...]:
    """The right way and the wrong ones of putting back what an operation brought away.

    None where nothing of it can go in wrong, or where this pump's parts leave no room to show it.
    """
    gives = set(operation.gives)
    if {"cage", "foot-ball"} & gives and sizes(pump).foot.resting:
        return tuple(_of_stack(pump))
    if "foot-seat" in gives:
        return tuple(_of_seat(pump))
    for part, moving in (("moving-packings", True), ("static-packings", False)):
        if part in gives:
            return tuple(_of_rings(pump, moving=moving))
    return ()


def _extent(s: Sizes, operation: Operation) -> tuple[float, float, float]:
    """Half the width, lowest and highest of what is shown, in metres."""
    p, b, f = s.piston, s.body, s.foot
    if "moving-packings" in operation.gives:
        return s.cylinder.bore, p.nut, p.packed
    if "static-packings" in operation.gives:
        return b.box, b.box_low, b.box_high
    return f.outer, -f.floor, f.top + max(f.grip, proud(s))


def _mark(x: float, y: float, *, right: bool) -> str:
    """A tick or a cross: told apart by their shape."""
    if right:
        return line("dw-outline", (x - 6, y), (x - 2, y + 5), (x + 7, y - 6))
    return line("dw-risk", (x - 5, y - 5), (x + 5, y + 5)) + line(
        "dw-risk", (x - 5, y + 5), (x + 5, y - 5)
    )


def _column(
    way: Way, number: int, wide: float, placed: tuple[float, float, float], say: Say
) -> Iterator[str]:
    half, low, high = placed
    middle = (number + 0.5) * wide
    scale = min((wide - 20) / (2 * half), (_TALL - 40) / (high - low))
    pen = Pen(middle, _HEAD + 0.5 * _TALL + 0.5 * (high + low) * scale, scale, {})
    yield _mark(number * wide + 12, 12, right=number == 0)
    for row, text in enumerate(wrapped(say(way.title), 12, wide - 28)):
        yield words(text, number * wide + 24, 16 + 14 * row, cls="dw-text dw-strong")
    yield way.draw(pen)
    for row, text in enumerate(wrapped(say(way.why), 11, wide - 8, most=3)):
        yield words(text, middle, _HEAD + _TALL + 12 + 14 * row, anchor="middle",
                    cls="dw-text dw-small")  # fmt: skip


def beside(pump: Pump, operation: Operation, *, reader: Words = AS_WRITTEN) -> str:
    """The right way and the wrong ones side by side; ``""`` where there is nothing to mistake.

    Args:
        pump: as described.
        operation: of its strip, that is put back.
        reader: who reads the words.
    """
    found: Sequence[Way] = ways(pump, operation)
    if len(found) < 2:
        return ""
    say, wide = saying(reader), WIDE / len(found)
    placed = _extent(sizes(pump), operation)
    rules = [line("dw-rule", (n * wide, 2), (n * wide, _HEAD + _TALL + 50))
             for n in range(1, len(found))]  # fmt: skip
    sentence = "; ".join(f"{say(way.title)}: {say(way.why)}" for way in found)
    return sheet(
        say(Message("Wrong beside right")), f"{sentence}.", *rules,
        *(piece for n, way in enumerate(found) for piece in _column(way, n, wide, placed, say)),
        height=_HEAD + _TALL + 56, width=WIDE, cls="dw dw-wrong",
    )  # fmt: skip
