"""Pot life left of a mixed two-pack coating in pump and hose."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.pump.coating import Coating
from wetend.pump.site import Flushed, Mixed
from wetend.units.message import Message
from wetend.units.quantity import K, S, SAsHours
from wetend.units.show import SHORT_MONTHS

STATED_AT: K = 296.15
"""Data sheets state pot life at 23 °C (common practice, no source)."""
HALVES_BY: K = 10.0
"""Warmer by so much, pot life is half as long (common practice, no source)."""
SOON_SHARE, SOON_LEAST = 0.2, 900.0
"""Called soon from a fifth of the pot life, at least a quarter of an hour (our choice)."""
State = Literal["runs", "soon", "out", "not known"]


@dataclass(frozen=True)
class PotLife:
    """The clock of the oldest batch that has not been flushed out."""

    coating: str
    mixed: datetime
    flush_by: datetime | None
    """``None`` where its pot life is not known."""
    left: S | None
    """Time left; below zero once it has run out."""
    state: State
    asked: datetime
    """The moment it was asked for."""
    batches: int
    """Batches mixed since the last flush; the oldest one sets the time."""

    @property
    def caution(self) -> Caution:
        """What to show before anything that lets it stand."""
        return caution(
            "pot-life",
            Message(
                "{coating}: {reason}",
                coating=self.coating or Message("Two-pack"),
                reason=self._reason(),
            ),
        )

    def _reason(self) -> str:
        if self.flush_by is None or self.left is None:
            at = clock_time(self.mixed, self.asked)
            return Message(
                "mixed at {at}, pot life not known. Read it on the data sheet, and flush at "
                "every stop: set coating hides pressure.",
                at=at,
            )
        by = clock_time(self.flush_by, self.asked)
        if self.state == "out":
            return Message(
                "flush first. Its pot life ended at {by}; what does not flush out has set "
                "and hides pressure: treat hose and pump as under pressure.",
                by=by,
            )
        if self.state == "soon":
            return Message("flush first, by {by}: {left} from now.", by=by, left=_left(self.left))
        return Message(
            "it sets in a standing hose. Flush by {by}, {left} from now.",
            by=by,
            left=_left(self.left),
        )


def clock_time(moment: datetime, asked: datetime) -> str:
    """A time on this machine's clock, with its day unless it is the day it is asked for."""
    here = moment.astimezone()
    today = asked.astimezone().date()
    if here.date() == today:
        return f"{here:%H:%M}"
    month = SHORT_MONTHS[here.month - 1]
    return Message("{time:%H:%M} on {day} {month}", time=here, day=here.day, month=month)


def _left(seconds: S) -> str:
    hours, minutes = divmod(int(seconds // 60), 60)
    if hours and not minutes:
        return Message("{hours} h", hours=hours)
    return (
        Message("{hours} h {minutes:02d} min", hours=hours, minutes=minutes)
        if hours
        else Message("{minutes} min", minutes=minutes)
    )


def shortened(pot_life: SAsHours, temperature: K | None) -> S:
    """Pot life of a coating warmer than the data sheet's; a colder one is given no more.

    >>> round(shortened(7200.0, 306.15) / 60)
    60
    """
    if temperature is None or temperature <= STATED_AT:
        return pot_life
    return float(pot_life * 0.5 ** ((temperature - STATED_AT) / HALVES_BY))


def clock_of(
    batches: Iterable[Mixed | Flushed], now: datetime, *, temperature: K | None = None
) -> PotLife | None:
    """The clock that runs, by the oldest batch since the last flush; ``None`` where none stands.

    Fresh coating poured after old carries the old one's clock on, as some of it stays behind. Of
    several batches the one that has to be out first counts.

    Args:
        batches: mixed and flushed, in any order.
        now: the moment it is asked for.
        temperature: the coating's, where it was read.
    """
    standing: list[Mixed] = []
    for each in sorted(batches, key=lambda b: b.at):
        standing = [] if isinstance(each, Flushed) else [*standing, each]
    if not standing:
        return None
    timed = [
        (each.at + timedelta(seconds=shortened(each.pot_life, temperature)), each)
        for each in standing
        if each.pot_life is not None
    ]
    if not timed:
        oldest = standing[0]
        return PotLife(oldest.coating, oldest.at, None, None, "not known", now, len(standing))
    flush_by, first = min(timed, key=lambda t: t[0])
    left = (flush_by - now).total_seconds()
    whole = (flush_by - first.at).total_seconds()
    soon = left <= max(SOON_SHARE * whole, SOON_LEAST)
    state: State = "out" if left <= 0 else "soon" if soon else "runs"
    return PotLife(first.coating, first.at, flush_by, left, state, now, len(standing))


def unmixed(coating: Coating) -> Caution:
    """What to show of a two-pack coating whose mixing time nobody entered."""
    life = (
        Message("its pot life, {pot_life} at 23 °C, ends", pot_life=_left(coating.pot_life))
        if coating.pot_life
        else Message("its pot life ends; read it on the data sheet")
    )
    return caution(
        "pot-life",
        Message(
            "Two-pack: it sets in a standing hose and then hides pressure. Enter when it "
            "was mixed, and flush before {life}.",
            life=life,
        ),
    )
