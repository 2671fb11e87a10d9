"""Which day it is for whoever enters something, and days that are still to come."""

from __future__ import annotations

from datetime import UTC, date, datetime

from wetend.errors import BadInput, Problem
from wetend.units.message import Message

_LABELS = {
    "first": Message("First day"), "last": Message("Last day"),
    "on": Message("Day"), "day": Message("Day"),
}  # fmt: skip


def today_here() -> date:
    """Today by UTC or by this machine's clock, whichever is later."""
    now = datetime.now(UTC)
    return max(now.date(), now.astimezone().date())


def refuse_future(**days: date | None) -> None:
    """Refuse what is said to have been done on a day still to come.

    Args:
        days: each under its field's name; ``None`` where it is not given.

    Raises:
        BadInput: one is in the future; a problem each.
    """
    now = today_here()
    problems = tuple(
        Problem(
            field,
            Message(
                "{label}: {day} is in the future; enter it when it is over.",
                label=_LABELS[field],
                day=day,
            ),
        )
        for field, day in days.items()
        if day is not None and day > now
    )
    if problems:
        raise BadInput(problems[0].sentence, problems)
