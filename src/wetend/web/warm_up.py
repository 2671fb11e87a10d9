"""Work out before anybody asks: the fleet's month, at the start and anew each day, and at the start
what the running checks of open visits tell.

Reading a record of thousands of pumps takes many seconds; done behind the pages, the first to look
in the morning does not wait for it.
"""

from __future__ import annotations

import gc
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from threading import Event, Thread
from time import sleep

from wetend.errors import WetendError
from wetend.physics.motion.engines import ENGINES
from wetend.records.examining import look_through
from wetend.records.store import Depot
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


def keep_worked_out(depot: Depot, *, after: float, stop: Event | None = None) -> Thread:
    """Begin after so many seconds, in a thread of its own that ends with the process.

    What goes wrong is left to be told to whoever asks for the page.
    """
    stop = stop or Event()

    def work() -> None:
        wait = after
        while not stop.wait(wait):
            with suppress(WetendError):
                fleet.view(Desk(depot))
                gc.collect()
                settle()  # what is known of thousands of pumps is kept until tomorrow
            wait = until_tomorrow(datetime.now(UTC))

    thread = Thread(target=work, daemon=True)
    thread.start()
    return thread


def keep_looked_through(depot: Depot, *, after: float, rounds: int = 10**6) -> Thread:
    """Look the depot through for damage after so many seconds, then each day, in a thread.

    What is found is told on every page.
    """

    def work() -> None:
        wait = after
        for _ in range(rounds):
            sleep(wait)
            with suppress(WetendError):
                look_through(depot)
            wait = until_tomorrow(datetime.now(UTC))

    thread = Thread(target=work, daemon=True)
    thread.start()
    return thread


def work_out_open_visits(depot: Depot, *, after: float) -> Thread:
    """Work out the latest open visits' diagnoses after so many seconds, in a thread of its own.

    The model in time is waited for, which else would be played uncompiled.
    """

    def work() -> None:
        sleep(after)
        ENGINES.compiled()
        desk = Desk(depot)
        with suppress(WetendError):
            for seen in visits.open_visits(desk)[:_MOST_OPEN]:
                checks.view(desk, seen.id)

    thread = Thread(target=work, daemon=True)
    thread.start()
    return thread
