"""The trace of a recording with the strokes found in it, in rows."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wetend.advice.listening.answer import Corrected, Listening, Stroke
from wetend.drawings.svg import WIDE, box, line, num, sheet, tag, words
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.stats.signal.follow import HEARD, Turn
from wetend.units.message import Message, Words, joined
from wetend.units.quantity import S

Heard = Listening | Corrected
_LEFT, _RIGHT = 4.0, WIDE - 4.0
_TRACE, _BAR, _GAP = 40.0, 20.0, 18.0
_ROW = _TRACE + _BAR + _GAP
_HEAD = 44.0
_MOST_ROWS = 14
_MARKS = (1, 2, 5, 10, 20, 50, 100)
_MARK_ROOM, _NAME_ROOM = 9.0, 64.0
"""Least room between two marks of time, and between two that are named."""
_ACROSS = 9.0
"""Strokes in a row, so that each is wide enough for its number."""


def _row_span(heard: Heard) -> S:
    lengths = sorted(s.length for s in heard.strokes)
    usual = lengths[len(lengths) // 2] if lengths else 1.0
    return min(max(_ACROSS * usual, 3.0), max(heard.length, 3.0))


class _Row:
    """One row of the trace: where its time lies on the sheet."""

    def __init__(self, heard: Heard, start: S, span: S, top: float) -> None:
        self.heard, self.start, self.span, self.top = heard, start, span, top
        self.base = top + _TRACE

    def x(self, at: S) -> float:
        share = min(max((at - self.start) / self.span, 0.0), 1.0)
        return _LEFT + share * (_RIGHT - _LEFT)

    def holds(self, at: S) -> bool:
        return self.start <= at < self.start + self.span

    def trace(self) -> str:
        trace = self.heard.trace
        first = max(int((self.start - trace.start) / trace.step), 0)
        last = int((self.start + self.span - trace.start) / trace.step) + 1
        shown = list(enumerate(trace.values[first:last], first))
        per = max(1, len(shown) // 320)
        points = [
            (self.x(trace.start + i * trace.step),
             self.base - _TRACE * max(v for _, v in shown[k : k + per]))
            for k in range(0, len(shown), per) for i, _ in [shown[k]]
        ]  # fmt: skip
        if len(points) < 2:
            return ""
        path = "M" + "L".join(f"{num(round(x, 1))} {num(round(y, 1))}" for x, y in points)
        return tag("path", cls="dw-thin", d=path)

    def gaps(self) -> list[str]:
        trace, found, begun = self.heard.trace, [], None
        first = max(int((self.start - trace.start) / trace.step), 0)
        last = min(int((self.start + self.span - trace.start) / trace.step) + 1, len(trace.known))
        for i in range(first, last + 1):
            lost = i < last and not trace.known[i]
            if lost and begun is None:
                begun = i
            elif not lost and begun is not None:
                left = self.x(trace.start + begun * trace.step)
                right = self.x(trace.start + i * trace.step)
                found.append(box("dw-soft-pale", left, self.top, right - left, _TRACE))
                begun = None
        return found

    def stroke(self, stroke: Stroke, name: str) -> list[str]:
        left, right = self.x(stroke.start), self.x(stroke.start + stroke.length)
        y = self.base + 2
        fill = (
            "dw-paper-fill" if not stroke.used else "dw-accent-pale" if stroke.kind else "dw-metal"
        )
        drawn = [
            box(fill, left, y, right - left, _BAR),
            box("dw-thin", left, y, right - left, _BAR),
        ]
        middle = (left + right) / 2
        if not stroke.used:
            drawn.append(line("dw-fine", (left, y), (right, y + _BAR)))
        inside = min(stroke.start + stroke.length, self.start + self.span) - max(
            stroke.start, self.start
        )
        if inside >= 0.5 * stroke.length and right - left > 6.2 * len(str(stroke.number)):
            label = f"{stroke.number}{_arrow(name)}" if right - left > 24 else str(stroke.number)
            drawn.append(words(label, middle, y + 14.5, cls="dw-text dw-small", anchor="middle"))
        return drawn

    def turn(self, turn: Turn) -> str:
        x = self.x(turn.at)
        cls = "dw-accent-line" if turn.strength >= HEARD else "dw-hidden"
        return line(cls, (x, self.top), (x, self.base + 2))

    def scale(self) -> list[str]:
        """Marks of the seconds, as many as there is room for, so that a moment can be read off."""
        per = (_RIGHT - _LEFT) / self.span
        each = next((s for s in _MARKS if s * per >= _MARK_ROOM), _MARKS[-1])
        named = next((s for s in _MARKS if s * per >= _NAME_ROOM and s % each == 0), 2 * each)
        y, marks, drawn = self.base + 2 + _BAR, "", []
        first, last = math.ceil(max(self.start, 0.0) / each), int((self.start + self.span) / each)
        for at in range(first * each, last * each + 1, each):
            x, labelled = self.x(at), at % named == 0
            marks += f"M{num(round(x, 1))} {num(y)}v{4 if labelled else 2}"
            if labelled:
                side = "start" if x < _LEFT + 8 else "end" if x > _RIGHT - 14 else "middle"
                drawn.append(words(f"{at} s", x, y + 13, anchor=side,
                                   cls="dw-text dw-small dw-quiet"))  # fmt: skip
        return [tag("path", cls="dw-fine", d=marks), *drawn] if marks else []


def _arrow(name: str) -> str:
    return {"up": "↑", "down": "↓"}.get(name, "")


def _key(heard: Heard, say: Say) -> list[str]:
    first, second = (say(word(side.name)) for side in heard.sides)
    faint = Message("turn faint") if isinstance(heard, Listening) else Message("faint or added")
    y = 6.0
    drawn = []
    for x, fill, name, kind in ((4.0, "dw-metal", first, 0), (118.0, "dw-accent-pale", second, 1)):
        side = heard.sides[kind]
        time = "" if side.middle is None else f" {side.middle:.2f} s"
        drawn += [box(fill, x, y, 14, 14), box("dw-thin", x, y, 14, 14),
                  words(f"{name}{time}", x + 19, y + 12)]  # fmt: skip
    drawn += [
        box("dw-paper-fill", 238, y, 14, 14), box("dw-thin", 238, y, 14, 14),
        line("dw-fine", (238, y), (252, y + 14)), words(say(Message("left out")), 257, y + 12),
        line("dw-accent-line", (11, 26), (11, 40)), words(say(Message("turn heard")), 23, 38),
        line("dw-hidden", (125, 26), (125, 40)), words(say(faint), 137, 38),
        box("dw-soft-pale", 238, 26, 14, 14), words(say(Message("missing")), 257, 38),
    ]  # fmt: skip
    return drawn


def _said(heard: Heard) -> str:
    counted = sum(s.used for s in heard.strokes)
    found = Message(
        "{turns} turns found, {strokes} strokes counted", turns=len(heard.turns), strokes=counted
    )
    parts = (
        Message("{side} stroke {time:.2f} s from {count}",
                side=word(side.name), time=side.middle, count=len(side.times))
        for side in heard.sides
        if side.middle is not None
    )  # fmt: skip
    return joined("; ", (found, *parts)) + "."


def _rows(heard: Heard) -> Sequence[_Row]:
    span = _row_span(heard)
    start = heard.trace.start
    end = start + heard.length
    count = max(1, min(_MOST_ROWS, -(-int(1000 * (end - start)) // max(int(1000 * span), 1))))
    return [_Row(heard, start + i * span, span, _HEAD + 6 + i * _ROW) for i in range(count)]


def shown_until(heard: Heard) -> S:
    """Moment up to which the drawing shows the record; the rest is in figures only."""
    last = _rows(heard)[-1]
    return last.start + last.span


def trace(heard: Heard, *, reader: Words = AS_WRITTEN) -> str:
    """The record with its turns and strokes, numbered so that a wrong one can be named.

    Each row is some nine strokes long. Above, what shows the turns, with a line at each turn;
    below, the strokes, up and down in turn. At most fourteen rows are drawn.
    """
    say = saying(reader)
    inside: list[str] = _key(heard, say)
    for row in _rows(heard):
        end = row.start + row.span
        inside += row.gaps()
        inside.append(line("dw-rule", (_LEFT, row.base), (_RIGHT, row.base)))
        inside.append(row.trace())
        inside += [row.turn(t) for t in heard.turns if row.holds(t.at)]
        for stroke in heard.strokes:
            if stroke.start < end and stroke.start + stroke.length > row.start:
                inside += row.stroke(stroke, heard.sides[stroke.kind].name)
        inside += row.scale()
    height = _HEAD + 6 + len(_rows(heard)) * _ROW
    title = Message("The record with the strokes found")
    return sheet(say(title), say(_said(heard)), *inside, height=height)
