"""Compute before anybody asks: the fleet plan, at the start and anew each day, and at the start
what the running checks of open visits show; and look the depot through for damage each day.

Reading a record of thousands of pumps takes many seconds; done in the background, the first to look
in the morning does not wait for it. What goes wrong is logged, and reported to whoever asks.
"""

from __future__ import annotations

import gc
from datetime import UTC, datetime, timedelta
from threading import Event

from wetend.background import BACKGROUND, Job
from wetend.physics.motion.engines import ENGINES
from wetend.records.health_check import look_through
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.units.quantity import S
from wetend.workflows import checks, fleet, visits
from wetend.workflows.desk import Desk
from wetend.workflows.gc_freeze import settle

_MOST_OPEN = 10


def until_tomorrow(now: datetime) -> float:
    """Seconds until the next day has begun, UTC.

    >>> until_tomorrow(datetime(2031, 5, 4, 23, 59, 50, tzinfo=UTC))
    11.0
    """
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    return (midnight - now).total_seconds() + 1.0


def _tomorrow() -> float:
    return until_tomorrow(datetime.now(UTC))


def compute_month(depot: Depot, *, after: S) -> Job:
    """Compute the fleet plan after so many seconds, then anew each day."""

    def work(_: Event) -> None:
        fleet.view(Desk(depot))
        gc.collect()
        settle()  # what is known of thousands of pumps is kept until tomorrow

    return BACKGROUND.submit(
        ("month", str(depot.url)), work, title=Message("computing the fleet plan"), after=after,
        again=_tomorrow,
    )  # fmt: skip


def look_for_damage(depot: Depot, *, after: S) -> Job:
    """Look the depot through for damage after so many seconds, then each day.

    What is found is shown on every page.
    """
    return BACKGROUND.submit(
        ("damage", str(depot.url)), lambda _: look_through(depot),
        title=Message("looking the depot through for damage"), after=after, again=_tomorrow,
    )  # fmt: skip


def compute_open_visits(depot: Depot, *, after: S) -> Job:
    """Compute the latest open visits' diagnoses after so many seconds.

    The model in time is waited for, which else would be run uncompiled.
    """

    def work(halt: Event) -> None:
        ENGINES.compiled()
        desk = Desk(depot)
        for seen in visits.open_visits(desk)[:_MOST_OPEN]:
            if halt.is_set():
                return
            checks.view(desk, seen.id)

    return BACKGROUND.submit(
        (Message("open visits"), str(depot.url)),
        work,
        title=Message("computing the checks of open visits"),
        after=after,
    )
