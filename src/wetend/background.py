"""Background work of the process: one bounded pool of threads.

The application starts it with its pages and ends it with them; a command's first job starts it, and
it ends with the command. Equal jobs are one; the queue is bounded; what a job raises is logged and
reported to whoever asks. Nothing else starts a thread that outlives a call.
"""

from __future__ import annotations

import heapq
import logging
import threading
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from itertools import count
from threading import Event
from time import monotonic
from typing import Literal

from wetend.errors import WetendError
from wetend.units.message import Message

Standing = Literal["waiting", "running", "done", "failed", "dropped"]
Work = Callable[[Event], object]
"""Does a job; ends early once the event it is given is set."""
_ALIKE = 8
"""Jobs of one sort, by their word, that wait or run at most: none takes all the room."""
_FAULTS = 50
"""Jobs that failed of which it is remembered."""
_AGAIN = 60.0
"""Seconds after which a job that failed may be tried again."""
_PATIENCE = 1.0
"""Seconds for which running jobs are waited for at the end; threads that go on die with the
process."""
_log = logging.getLogger(__name__)


@dataclass(eq=False)
class Job:
    """Work asked for, and how far it is."""

    key: Hashable
    title: str
    """What it does, as a sentence would name it."""
    work: Work = field(repr=False)
    due: float
    alone: str
    again: Callable[[], float] | None = field(repr=False)
    standing: Standing = "waiting"
    fault: str = ""
    """What went wrong, as a sentence; blank where nothing did."""
    halt: Event = field(default_factory=Event, repr=False)
    """Set when the work is to end early."""
    ended: Event = field(default_factory=Event, repr=False)

    @property
    def going(self) -> bool:
        """Whether it is still to be waited for."""
        return self.standing in ("waiting", "running")


@dataclass(frozen=True)
class BackgroundFigures:
    """What a pool does and did since the program began."""

    running: tuple[str, ...]
    waiting: tuple[str, ...]
    done: int
    failed: int
    refused: int
    """Jobs for which the queue had no room."""
    faults: tuple[str, ...]
    """What went wrong lately, a sentence each."""


class Background:
    """A bounded pool of threads with a bounded queue."""

    def __init__(self, *, workers: int = 4, most: int = 64) -> None:
        """No thread is started yet.

        Args:
            workers: threads at most.
            most: jobs at most that wait or run; more are refused.
        """
        self._workers, self._most = workers, most
        self._changed = threading.Condition()
        self._jobs: dict[Hashable, Job] = {}
        self._queue: list[tuple[float, int, Job]] = []
        self._turn = count()
        self._threads: list[threading.Thread] = []
        self._alone: set[str] = set()
        self._idle = self._users = self._done = self._failed = self._refused = 0
        self._faults: dict[Hashable, tuple[float, Job]] = {}
        self._round = Event()
        """Set when the threads started so far are to end."""

    def submit(
        self, key: Hashable, work: Work, *, title: str, after: float = 0.0, alone: str = "",
        again: Callable[[], float] | None = None,
    ) -> Job:  # fmt: skip
        """Have work done by a thread of the pool, once for equal keys that wait or run.

        A job that failed within the last minute is not tried again; it is what is returned.

        Args:
            key: what the work is and depends on.
            work: the work.
            title: what it does, for people.
            after: seconds to wait before it.
            alone: of the jobs that have this word, one runs at a time and few wait.
            again: seconds from its end until it is done again; ``None`` does it once.

        Returns:
            The job; it stands at "dropped" where the queue has no room.
        """
        with self._changed:
            going = self._jobs.get(key)
            if going is not None:
                return going
            failed = self._faults.get(key)
            if failed is not None and monotonic() - failed[0] < _AGAIN:
                return failed[1]
            job = Job(key, title, work, monotonic() + after, alone, again)
            alike = sum(other.alone == alone for other in self._jobs.values()) if alone else 0
            if len(self._jobs) >= self._most or alike >= _ALIKE:
                self._refused += 1
                self._drop(job, Message("Too much work is queued; try again in a minute."))
                return job
            self._jobs[key] = job
            self._enqueue(job)
            return job

    def hurry(self, job: Job) -> None:
        """Wait no longer before a job."""
        with self._changed:
            if job.standing == "waiting" and job.due > monotonic():
                job.due = monotonic()
                self._enqueue(job)

    def fault_of(self, key: Hashable) -> str:
        """Why the job of this key failed when it was last done; blank where it did not."""
        with self._changed:
            failed = self._faults.get(key)
            return failed[1].fault if failed else ""

    def figures(self) -> BackgroundFigures:
        """What it does and did."""
        with self._changed:
            jobs = list(self._jobs.values())
            return BackgroundFigures(
                tuple(job.title for job in jobs if job.standing == "running"),
                tuple(job.title for job in jobs if job.standing == "waiting"),
                self._done, self._failed, self._refused,
                tuple(
                    Message("{title}: {fault}", title=job.title, fault=job.fault)
                    for _, job in self._faults.values()
                ),
            )  # fmt: skip

    def enter(self) -> None:
        """Count one more application whose pages it works for."""
        with self._changed:
            self._users += 1

    def leave(self) -> None:
        """Count one less; the last to leave ends the pool."""
        with self._changed:
            self._users -= 1
            last = self._users == 0
        if last:
            self.end()

    def end(self, patience: float = _PATIENCE) -> None:
        """Drop what waits, have what runs end, and wait so many seconds for it."""
        with self._changed:
            for job in self._jobs.values():
                job.halt.set()
                if job.standing == "waiting":
                    self._drop(job, Message("The server was shut down."))
            self._jobs.clear()
            self._queue.clear()
            self._round.set()
            threads, self._threads, self._round, self._idle = self._threads, [], Event(), 0
            self._changed.notify_all()
        until = monotonic() + patience
        for thread in threads:
            if thread is not threading.current_thread():
                thread.join(max(0.0, until - monotonic()))

    def _enqueue(self, job: Job) -> None:
        heapq.heappush(self._queue, (job.due, next(self._turn), job))
        if len(self._queue) > self._idle and len(self._threads) < self._workers:
            made = threading.Thread(
                target=self._serve, args=(self._round,), daemon=True,
                name=f"background-{len(self._threads) + 1}",
            )  # fmt: skip
            self._threads.append(made)
            made.start()
        self._changed.notify_all()

    @staticmethod
    def _drop(job: Job, why: str) -> None:
        job.standing, job.fault = "dropped", why
        job.ended.set()

    def _serve(self, over: Event) -> None:
        while True:
            with self._changed:
                job = self._next(over)
            if job is None:
                return
            self._carry_out(job, over)

    def _next(self, over: Event) -> Job | None:
        """The next job, waited for; ``None`` when this thread is to end."""
        while not over.is_set():
            job = self._take()
            if job is not None:
                return job
            self._idle += 1
            now = monotonic()
            self._changed.wait(min((p[0] - now for p in self._queue if p[0] > now), default=None))
            if not over.is_set():
                self._idle -= 1
        return None

    def _take(self) -> Job | None:
        """The first job that is due and may run now."""
        held: list[tuple[float, int, Job]] = []
        found = None
        while self._queue and self._queue[0][0] <= monotonic() and found is None:
            place = heapq.heappop(self._queue)
            job = place[2]
            if job.standing != "waiting" or place[0] > job.due:
                continue  # hurried, and done since
            if job.alone in self._alone:
                held.append(place)
            else:
                found = job
        for place in held:
            heapq.heappush(self._queue, place)
        if found is not None:
            found.standing = "running"
            if found.alone:
                self._alone.add(found.alone)
        return found

    def _carry_out(self, job: Job, over: Event) -> None:
        fault = ""
        try:
            job.work(job.halt)
        except WetendError as refusal:
            fault = str(refusal)
            _log.warning("In the background, %s: %s", job.title, fault)
        except Exception:  # noqa: BLE001 - logged, and reported to whoever asks
            fault = Message("it ended in an error; the server's log says which.")
            _log.exception("In the background, %s", job.title)
        with self._changed:
            if self._jobs.get(job.key) is job:
                del self._jobs[job.key]
            self._alone.discard(job.alone)
            job.fault = fault
            job.standing = "failed" if fault else "done"
            self._note(job)
            job.ended.set()
            self._changed.notify_all()
            if job.again is not None and not over.is_set() and job.key not in self._jobs:
                due = monotonic() + job.again()
                later = Job(job.key, job.title, job.work, due, job.alone, job.again)
                self._jobs[job.key] = later
                self._enqueue(later)

    def _note(self, job: Job) -> None:
        self._faults.pop(job.key, None)
        if job.standing == "done":
            self._done += 1
            return
        self._failed += 1
        self._faults[job.key] = (monotonic(), job)
        while len(self._faults) > _FAULTS:
            del self._faults[next(iter(self._faults))]


BACKGROUND = Background()
"""One for the process."""
