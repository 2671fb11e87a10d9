"""Months to come run in the background, for fleets too large to wait for: progress, stop, answer.

One fleet is run at a time, in another process so that the pages stay quick; the others wait for
their turn. The last answers are kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256
from threading import Event, Lock
from typing import Literal

from wetend.background import BACKGROUND, Job
from wetend.errors import WetendError
from wetend.keeping import MB, Keep
from wetend.progress import Progress
from wetend.units.message import Message
from wetend.workflows.fleet import Months

Standing = Literal["waiting", "playing", "done", "stopped", "failed"]
Play = Callable[[Progress], Months]


class _Stopped(Exception):
    """Somebody asked to stop, or the server is shut down."""


@dataclass(eq=False)
class MonthsRun:
    """Months asked for, and how far they are."""

    key: str
    standing: Standing = "waiting"
    done: int = 0
    of: int = 0
    months: Months | None = None
    fault: str = ""
    stop: Event = field(default_factory=Event, repr=False)
    ended: Event = field(default_factory=Event, repr=False)

    @property
    def going(self) -> bool:
        """Whether it is still to be waited for."""
        return self.standing in ("waiting", "playing")


def key_of(*asked: object) -> str:
    """A short name of what was asked for, fit for an address."""
    return sha256(repr(asked).encode()).hexdigest()[:24]


_ENDED = Keep[MonthsRun](Message("months to come, run in the background"), most=4 * MB)


class FleetMonths:
    """Months run and being run."""

    def __init__(self) -> None:
        """None is asked for yet."""
        self._going: dict[str, tuple[MonthsRun, Job]] = {}
        self._lock = Lock()

    def find(self, key: str) -> MonthsRun | None:
        """What is known under a key."""
        with self._lock:
            return self._find(key)

    def start(self, key: str, play: Play, *, owner: str = "") -> MonthsRun:
        """Begin to run, or find what was asked before; what was stopped or failed restarts.

        Args:
            key: what is asked.
            play: runs it, calling its progress now and then.
            owner: the depot's address, with which the answer is forgotten.
        """
        with self._lock:
            found = self._find(key)
            if found is not None and found.standing not in ("stopped", "failed"):
                return found
            made = MonthsRun(key)
            job = BACKGROUND.submit(
                ("months", id(made)), lambda halt: self._run(made, play, halt, owner),
                title=Message("running the fleet plans to come"), alone="months",
            )  # fmt: skip
            self._going[key] = made, job
            return self._find(key) or made

    def stop(self, key: str) -> None:
        """Ask to stop; nothing is done where it has ended."""
        found = self.find(key)
        if found is not None and found.going:
            found.stop.set()

    def _find(self, key: str) -> MonthsRun | None:
        going = self._going.get(key)
        if going is None:
            return _ENDED.peek(key)
        run, job = going
        if run.going and job.standing == "dropped":
            run.standing, run.fault = "failed", job.fault
            del self._going[key]
            run.ended.set()
        return run

    def _run(self, run: MonthsRun, play: Play, halt: Event, owner: str) -> None:
        def progress(done: int, of: int) -> None:
            if run.stop.is_set() or halt.is_set():
                raise _Stopped
            run.done, run.of = done, of

        ended: Standing = "failed"
        try:
            if not run.stop.is_set():
                run.standing = "playing"
                run.months = play(progress)
            ended = "done" if run.months else "stopped"
        except _Stopped:
            ended = "stopped"
        except WetendError as why:
            run.fault = str(why)
        except Exception:
            run.fault = Message("It could not be run to the end; the server's log says why.")
            raise
        finally:
            with self._lock:
                run.standing = ended
                self._going.pop(run.key, None)
                _ENDED.put(run.key, run, owner=owner)
            run.ended.set()


FLEET_MONTHS = FleetMonths()
