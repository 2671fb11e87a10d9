"""Strokes as hidden form fields, and turns added by hand."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from statistics import median

from wetend.advice.listening.answer import Stroke
from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.web.form_data import Typed

MOST_STROKES = 400
_LEAST_STROKE = 0.05
"""Seconds; a turn nearer to another is no turn."""
_STROKE = re.compile(r"([01]):(-?\d{1,10}(?:\.\d{1,4})?):(\d{1,4}\.\d{1,4}):([01])\Z")


@dataclass(frozen=True)
class Row:
    """One stroke on offer: its number, when it began, how long it took, and whether it counts."""

    number: int
    kind: int
    start: float
    length: float
    used: bool
    why: str = ""

    @property
    def stroke(self) -> Stroke:
        """The stroke as it is drawn."""
        return Stroke(self.number, self.start, self.length, self.kind, self.used, self.why)

    @property
    def packed(self) -> str:
        """The stroke as a form carries it."""
        return f"{self.kind}:{self.start:.3f}:{self.length:.3f}:{int(self.used)}"


def unpacked(typed: Typed) -> tuple[Row, ...]:
    """The strokes a form carried, ticked as the person left them.

    Raises:
        BadInput: the form does not carry strokes as this page writes them.
    """
    ticked = set(typed.all("use"))
    rows: list[Row] = []
    for number, text in enumerate(typed.last("strokes").split(",")[: MOST_STROKES + 1], 1):
        match = _STROKE.match(text)
        after = not rows or (match is not None and float(match[2]) > rows[-1].start)
        if match is None or number > MOST_STROKES or not after:
            raise BadInput(
                Message("The strokes did not arrive complete; upload the recording again.")
            )
        rows.append(
            Row(number, int(match[1]), float(match[2]), float(match[3]), str(number) in ticked)
        )
    return tuple(rows)


def moments(text: str) -> list[float]:
    """Moments of missed turns, from seconds with blanks between.

    Raises:
        BadInput: something there is no number.
    """
    words = [word.strip(",") for word in re.split(r"[;\s]+", text) if word.strip(",")]
    try:
        found = [float(word.replace(",", ".")) for word in words]
    except ValueError as bad:
        raise BadInput(
            Message("Enter a missed turn in seconds, such as 12.4; separate several with spaces.")
        ) from bad
    if not found:
        raise BadInput(Message("Enter the second of the missed turn: read it off the trace."))
    return found


def with_turn(rows: tuple[Row, ...], moment: float) -> tuple[Row, ...]:
    """The strokes with one turn more: the stroke it falls in becomes two, one each way.

    Strokes go up and down in turn; where the next stroke would go the same way as the second half,
    all after it are taken to go the other way than was thought.

    Raises:
        BadInput: no stroke is under way at that moment.
    """
    under_way = [
        k for k, r in enumerate(rows)
        if r.start + _LEAST_STROKE < moment < r.start + r.length - _LEAST_STROKE
    ]  # fmt: skip
    if not under_way:
        raise BadInput(
            Message(
                "No stroke is under way at {moment:g} s; read the time off the trace.",
                moment=moment,
            )
        )
    place, row = under_way[0], rows[under_way[0]]
    before, after = moment - row.start, row.start + row.length - moment
    other = 1 - row.kind
    halves = (
        Row(0, row.kind, row.start, before, used=True, why=Message("turn added")),
        Row(0, other, moment, after, used=True, why=Message("turn added")),
    )
    rest = rows[place + 1 :]
    if rest and rest[0].kind == other:
        rest = tuple(replace(r, kind=1 - r.kind) for r in rest)
    whole = (*rows[:place], *halves, *rest)
    return tuple(replace(r, number=k) for k, r in enumerate(whole, 1))


def ragged(rows: tuple[Row, ...]) -> str:
    """Which strokes of one way differ twofold from their middle, in words; empty where none do."""
    for kind in (0, 1):
        lengths = [row.length for row in rows if row.used and row.kind == kind]
        if len(lengths) < 2:
            continue
        middle = median(lengths)
        if min(lengths) < 0.5 * middle or max(lengths) > 2.0 * middle:
            return Message(
                "With that turn, strokes of one way last from {lengths:.2f} to "
                "{lengths_2:.2f} s: it may be in a different stroke than you meant. Untick "
                "what is wrong, or upload the recording again.",
                lengths=min(lengths),
                lengths_2=max(lengths),
            )
    return ""
