"""Loads a slow module in the background, once per process.

Loading it takes about a second, and so does reading its compiled functions in; the first time ever
on a machine they are compiled, which takes many. None of it holds up a page: it is loaded in the
background, and runs are computed uncompiled until then (:mod:`wetend.physics.motion.engines`).
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from types import ModuleType

from wetend.background import BACKGROUND, Job
from wetend.physics.motion.engines import ENGINES
from wetend.units.message import Message
from wetend.units.quantity import S
from wetend.workflows.gc_freeze import read_in


def ahead(key: Hashable, work: Callable[[], object], *, title: str, sort: str) -> str:
    """Have done in the background what the next page will ask for; equal ones are one.

    Returns:
        Why it failed when it was last tried, as a sentence; blank where it did not.
    """
    BACKGROUND.submit(key, lambda _: work(), title=title, alone=sort)
    fault = BACKGROUND.fault_of(key)
    return (
        Message(
            "In the background, {title}: {fault} The next answer may take longer.",
            title=title,
            fault=fault,
        )
        if fault
        else ""
    )


class BackgroundLoader:
    """A module loaded in the background."""

    def __init__(self, name: str) -> None:
        """Name the module; nothing is loaded yet."""
        self._name = name
        self._lock = threading.Lock()
        self._job: Job | None = None
        self._module: ModuleType | None = None
        self._fault: ImportError | None = None

    def start(self, *, after: S = 0.0) -> Job:
        """Begin to load, after so many seconds or when it is waited for; once only."""
        with self._lock:
            if self._job is None or self._job.standing == "dropped":
                self._job = BACKGROUND.submit(
                    (Message("read in"), self._name), lambda _: self._load(),
                    title=Message("loading the pump in motion"), after=after,
                )  # fmt: skip
            return self._job

    def wait(self, seconds: S) -> ModuleType | None:
        """The module, once it is there; ``None`` if it isn't within so many seconds.

        Raises:
            ImportError: it can't be loaded.
        """
        if self._module is None:
            job = self.start()
            BACKGROUND.hurry(job)
            job.ended.wait(seconds)
        if self._fault is not None:
            raise self._fault
        return self._module

    def _load(self) -> None:
        try:
            self._module = read_in(self._name)
        except ImportError as error:
            self._fault = error
            raise
        ENGINES.at_hand()
