"""Planned visits on a calendar: a row a week, how many pumps on each day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from wetend.drawings.svg import WIDE, box, sheet, words
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.units.message import Message, Words, plural
from wetend.units.show import SHORT_MONTHS

MOST_WEEKS = 7
"""Rows drawn at most."""
_CELL, _HIGH, _TOP = WIDE / 7, 34.0, 16.0
_DAYS = (
    Message("Mon"), Message("Tue"), Message("Wed"), Message("Thu"), Message("Fri"),
    Message("Sat"), Message("Sun"),
)  # fmt: skip


def month_strip(
    planned: Mapping[date, int], today: date, days: int, *, reader: Words = AS_WRITTEN
) -> str:
    """Weeks from today's on; what is overdue stands on today.

    Args:
        planned: how many pumps on each day.
        today: marked by a heavy frame.
        days: looked ahead; seven weeks at most are drawn.
        reader: whose words.
    """
    say = saying(reader)
    first = today - timedelta(days=today.weekday())
    last = today + timedelta(days=days - 1)
    weeks = min((last - first).days // 7 + 1, MOST_WEEKS)
    counts: dict[date, int] = {}
    for day, count in planned.items():
        shown = max(day, today)
        counts[shown] = counts.get(shown, 0) + count
    drawn = [
        words(say(name), _CELL * (i + 0.5), 11, anchor="middle", cls="dw-text dw-small dw-quiet")
        for i, name in enumerate(_DAYS)
    ]
    for i in range(7 * weeks):
        day = first + timedelta(days=i)
        x, y = _CELL * (i % 7), _TOP + _HIGH * (i // 7)
        count = counts.get(day, 0)
        if count:
            drawn.append(box("dw-accent-pale", x + 1, y + 1, _CELL - 2, _HIGH - 2))
        if today <= day <= last:
            frame = "dw-outline" if day == today else "dw-thin"
            drawn.append(box(frame, x + 1, y + 1, _CELL - 2, _HIGH - 2))
        label: str = str(day.day)
        if i == 0 or day.day == 1:
            label = Message("{day} {month}", day=day.day, month=SHORT_MONTHS[day.month - 1])
        quiet = "" if today <= day <= last else " dw-quiet"
        drawn.append(words(say(label), x + 5, y + 13, cls=f"dw-text dw-small{quiet}"))
        if count:
            drawn.append(
                words(str(count), x + _CELL - 7, y + 28, anchor="end", cls="dw-text dw-big")
            )
    total = sum(counts.values())
    return sheet(
        say(Message("Planned visits, week by week")),
        say(plural("{n} planned visit.", "{n} planned visits.", total)),
        *drawn, height=_TOP + _HIGH * weeks + 2,
    )  # fmt: skip
