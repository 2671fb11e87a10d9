"""Make the compiled model of the pump in motion ready behind the pages, once a process.

Loading it takes about a second, and so does reading its compiled sums in; the first time ever on a
machine they are compiled, which takes many. None of it holds up a page: it is loaded in a thread,
and the sums are done uncompiled until then (:mod:`wetend.physics.motion.engines`).
"""

from __future__ import annotations

import threading
from types import ModuleType

from wetend.physics.motion.engines import ENGINES
from wetend.units.quantity import S
from wetend.workflows.gc_freeze import read_in


class Ready:
    """A module loaded behind the pages."""

    def __init__(self, name: str) -> None:
        """Name the module; nothing is loaded yet."""
        self._name = name
        self._lock = threading.Lock()
        self._wanted = threading.Event()
        self._thread: threading.Thread | None = None
        self._module: ModuleType | None = None
        self._fault: ImportError | None = None

    def start(self, *, after: float = 0.0) -> None:
        """Begin to load, after so many seconds or when it is waited for; once only."""
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._load, args=(after,), daemon=True)
                self._thread.start()

    def wait(self, seconds: S) -> ModuleType | None:
        """The module, once it is there; ``None`` if it isn't within so many seconds.

        Raises:
            ImportError: it can't be loaded.
        """
        self.start()
        self._wanted.set()
        assert self._thread is not None
        self._thread.join(seconds)
        if self._fault is not None:
            raise self._fault
        return self._module

    def _load(self, after: float) -> None:
        self._wanted.wait(after)
        try:
            self._module = read_in(self._name)
        except ImportError as error:
            self._fault = error
        threading.Thread(target=ENGINES.at_hand, daemon=True).start()
