"""What to do about a thing that will wear out, and how sure: one answer for all that ask.

First what to do, then the chance within four weeks and the days by which one in ten and one in two
such things have failed. The interval comes after, where there is room for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from wetend.units.message import Message
from wetend.units.quantity import Ratio, S
from wetend.units.show import chance_text, day_text

SECONDS_A_DAY: S = 86400.0
SOON_DAYS = 28
"""Days of the near chance: four weeks."""
EARLY: Ratio = 0.1
"""Share of such things that have failed by the day to act by."""
MIDDLE: Ratio = 0.5
STEPS = 20
"""Steps of the curve: one to each twentieth that has failed."""
LONGEST = 36500
"""Days after which no day is named any more."""


@dataclass(frozen=True)
class Outlook:
    """Chances and days of one thing's failure."""

    today: date
    """The day it is calculated from."""
    failed: Ratio
    """Chance that it has failed already."""
    soon: Ratio
    """Chance that it has failed four weeks from today."""
    early: date | None
    """The day by which one in ten has failed; ``None`` beyond a century."""
    middle: date | None
    """The day by which one in two has failed; ``None`` beyond a century."""
    curve: tuple[S, ...] = ()
    """Seconds from today by which 0, 5, ... 100 % have failed."""


def _day(times: NDArray[np.float64], share: Ratio, today: date) -> date | None:
    days = float(np.quantile(times, share)) / SECONDS_A_DAY
    return today + timedelta(days=int(days)) if days < LONGEST else None


def outlook_of(times: NDArray[np.float64], today: date) -> Outlook:
    """Chances and days from equally likely times to failure.

    Args:
        times: s from today, one draw each, none missing.
        today: the day to calculate from.

    >>> found = outlook_of(np.linspace(10, 210, 2001) * 86400.0, date(2031, 6, 1))
    >>> found.soon.__round__(2), found.early.isoformat(), found.middle.isoformat()
    (0.09, '2031-07-01', '2031-09-19')
    """
    return Outlook(
        today=today, failed=float(np.mean(times <= 0.0)),
        soon=float(np.mean(times <= SOON_DAYS * SECONDS_A_DAY)),
        early=_day(times, EARLY, today), middle=_day(times, MIDDLE, today),
        curve=tuple(np.quantile(times, np.linspace(0.0, 1.0, STEPS + 1)).tolist()),
    )  # fmt: skip


def act_text(seen: Outlook) -> str:
    """What to do: look at the next stop, or by the day one in ten has failed."""
    if seen.failed >= MIDDLE:
        return Message("Replace at the next stop.")
    if seen.early is None:
        return Message("Nothing to plan.")
    if seen.early <= seen.today:
        return Message("Check at the next stop.")
    return Message("Check by {day}.", day=day_text(seen.early, seen.today))


def days_text(seen: Outlook) -> str:
    """The days: ``"one in ten by 12 March, one in two by 4 August"``."""
    if seen.early is None:
        return Message("one in ten not within a lifetime")
    early = day_text(seen.early, seen.today)
    if seen.middle is None:
        return Message("one in ten by {early}", early=early)
    middle = day_text(seen.middle, seen.today)
    if seen.failed >= MIDDLE:
        return Message("{failed} failed already", failed=chance_text(seen.failed))
    if seen.failed >= EARLY:
        return Message(
            "{failed} failed already, one in two by {middle}",
            failed=chance_text(seen.failed), middle=middle,
        )  # fmt: skip
    return Message("one in ten by {early}, one in two by {middle}", early=early, middle=middle)


def odds_text(seen: Outlook) -> str:
    """How sure: ``"4 % fail within four weeks; one in ten by 1 May, one in two by 4 August"``."""
    return Message(
        "{soon} fail within four weeks; {days}", soon=chance_text(seen.soon), days=days_text(seen)
    )
