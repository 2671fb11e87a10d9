"""The life of a part as a curve: chance of failure from today, with the days to act by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from wetend.advice.life.outlook import EARLY, MIDDLE, SECONDS_A_DAY, STEPS, Outlook, days_text
from wetend.drawings.svg import WIDE, Point, area, circle, line, sheet, words
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.units.message import Message, Words
from wetend.units.show import SHORT_MONTHS, day_text

_X0, _X1, _Y0, _Y1 = 40.0, WIDE - 12.0, 24.0, 164.0
_MOST_MONTHS = 24
_FEWEST = 92
"""Days that the axis shows at least."""


def _span(seen: Outlook, best: date | None) -> int:
    """Days across: to where seven in ten have failed, a quarter to two years."""
    far = max(
        seen.curve[int(0.7 * STEPS)] / SECONDS_A_DAY, (best - seen.today).days + 10 if best else 0.0
    )
    return int(min(max(far, _FEWEST), _MOST_MONTHS * 30.4375))


def _month_starts(today: date, days: int) -> list[tuple[int, date]]:
    """First days of the months across, with the days from today; thinned to eight at most."""
    found, year, month = [], today.year, today.month
    while True:
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
        first = date(year, month, 1)
        if (first - today).days > days:
            break
        found.append(((first - today).days, first))
    return found[:: max(1, math.ceil(len(found) / 8))]


def _axes(seen: Outlook, days: int, say: Say) -> list[str]:
    drawn = []
    for share, label in ((0.0, "0"), (EARLY, "1 in 10"), (MIDDLE, "1 in 2"), (1.0, "all")):
        y = _up(share)
        text: str = {"1 in 10": Message("1 in 10"), "1 in 2": Message("1 in 2"),
                     "all": Message("all")}.get(label, label)  # fmt: skip
        drawn += [line("dw-rule", (_X0, y), (_X1, y)),
                  words(say(text), _X0 - 4, y + 4, anchor="end",
                        cls="dw-text dw-small")]  # fmt: skip
    taken = _X0 + 52
    for ahead, first in _month_starts(seen.today, days):
        x = _across(ahead, days)
        if x < taken or x > _X1 - 12:
            continue
        drawn += [line("dw-rule", (x, _Y1), (x, _Y1 + 4)),
                  words(say(SHORT_MONTHS[first.month - 1]), x, _Y1 + 16, anchor="middle",
                        cls="dw-text dw-small dw-quiet")]  # fmt: skip
        taken = x + 26
    drawn.append(words(say(Message("today")), _X0, _Y1 + 16, anchor="start",
                       cls="dw-text dw-small"))  # fmt: skip
    return drawn


def _across(ahead: float, days: int) -> float:
    return _X0 + (_X1 - _X0) * min(max(ahead / days, 0.0), 1.0)


def _up(share: float) -> float:
    return _Y1 - share * (_Y1 - _Y0)


def _curve(curve: Sequence[float], days: int) -> list[Point]:
    """Points of the curve up to the edge of the picture."""
    points: list[Point] = [(_X0, _up(0.0))]
    for i, (a, b) in enumerate(pairwise(curve)):
        if a / SECONDS_A_DAY > days:
            break
        points.append((_across(a / SECONDS_A_DAY, days), _up(i / STEPS)))
        if b / SECONDS_A_DAY > days:
            points.append((_X1, _up((i + (days * SECONDS_A_DAY - a) / (b - a)) / STEPS)))
            break
    else:
        points.append((_across(curve[-1] / SECONDS_A_DAY, days), _up(1.0)))
    return points


def _marked(seen: Outlook, days: int, best: date | None, say: Say) -> list[str]:
    drawn = []
    for day, share in ((seen.early, EARLY), (seen.middle, MIDDLE)):
        ahead = (day - seen.today).days if day else days + 1
        if day is None or ahead > days or seen.failed >= share:
            continue
        x, y = _across(ahead, days), _up(share)
        left = x > _X1 - 90
        drawn += [line("dw-thin", (x, y), (x, _Y1)), circle("dw-dot", x, y, 4.0),
                  words(say(day_text(day, seen.today)), x + (-8 if left else 8), y - 6,
                        anchor="end" if left else "start",
                        cls="dw-text dw-strong")]  # fmt: skip
    if best is not None and (best - seen.today).days <= days:
        x = _across((best - seen.today).days, days)
        anchor = "end" if x > (_X0 + _X1) / 2 else "start"
        text = Message("best day to replace: {day}", day=day_text(best, seen.today))
        drawn += [line("dw-accent-thick", (x, _Y0 - 6), (x, _Y1)),
                  words(say(text), x, 12, anchor=anchor,
                        cls="dw-text dw-small dw-strong")]  # fmt: skip
    return drawn


def failing(
    seen: Outlook, title: str, *, best: date | None = None, reader: Words = AS_WRITTEN
) -> str:
    """Chance that it has failed, from today on; the days of one in ten, one in two, and the best.

    Args:
        seen: with its curve.
        title: what wears.
        best: the day on which it pays most to replace it; ``None`` where no planning pays.
        reader: whose words.
    """
    say = saying(reader)
    days = _span(seen, best)
    points = _curve(seen.curve, days)
    return sheet(
        say(Message("{part}: chance that it has failed, from today on", part=title)),
        say(Message("{days}.", days=days_text(seen))),
        area("dw-accent-pale", [*points, (points[-1][0], _Y1)]),
        *_axes(seen, days, say),
        line("dw-accent-line", *points),
        *_marked(seen, days, best, say),
        height=_Y1 + 24,
    )
