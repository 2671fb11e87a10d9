"""Months to come played behind the pages, for fleets too large to wait for: progress, stop, answer.

One fleet is played at a time, in another process so that the pages stay quick; the others wait for
their turn. The last few answers are kept.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256
from threading import Event, Lock, Thread
from typing import Literal

from wetend.errors import WetendError
from wetend.progress import Progress
from wetend.workflows.fleet import Months

Standing = Literal["waiting", "playing", "done", "stopped", "failed"]
Play = Callable[[Progress], Months]
_KEPT = 6


class _Stopped(Exception):
    """Somebody asked to stop."""


@dataclass
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


class MonthsBehind:
    """Months played and being played."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, MonthsRun] = OrderedDict()
        self._lock, self._turn = Lock(), Lock()

    def find(self, key: str) -> MonthsRun | None:
        """What is known under a key."""
        with self._lock:
            return self._held.get(key)

    def start(self, key: str, play: Play) -> MonthsRun:
        """Begin to play, or find what was asked before; what was stopped or failed begins anew."""
        with self._lock:
            found = self._held.get(key)
            if found is not None and found.standing not in ("stopped", "failed"):
                return found
            self._held[key] = found = MonthsRun(key)
            self._held.move_to_end(key)
            self._forget()
        Thread(target=self._run, args=(found, play), daemon=True).start()
        return found

    def stop(self, key: str) -> None:
        """Ask to stop; nothing is done where it has ended."""
        found = self.find(key)
        if found is not None and found.going:
            found.stop.set()

    def _forget(self) -> None:
        ended = [key for key, played in self._held.items() if not played.going]
        for key in ended[: max(len(self._held) - _KEPT, 0)]:
            del self._held[key]

    def _run(self, played: MonthsRun, play: Play) -> None:
        def told(done: int, of: int) -> None:
            if played.stop.is_set():
                raise _Stopped
            played.done, played.of = done, of

        try:
            with self._turn:
                if not played.stop.is_set():
                    played.standing = "playing"
                    played.months = play(told)
            played.standing = "done" if played.months else "stopped"
        except _Stopped:
            played.standing = "stopped"
        except WetendError as why:
            played.standing, played.fault = "failed", str(why)
        except Exception:
            played.standing = "failed"
            played.fault = "It could not be played to the end; the server's log says why."
            raise
        finally:
            played.ended.set()


BEHIND = MonthsBehind()
