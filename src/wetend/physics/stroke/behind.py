"""The compiled sums, loaded behind the work: nobody waits for a compiler.

Reading them in takes half a second; the first time ever on a machine they are compiled, which takes
several. Until they are there the plain arrays do the same sums, a few times slower.
"""

from __future__ import annotations

import importlib
import threading
from types import ModuleType

import numpy as np

_PATIENCE = 0.7
"""Seconds the first asker waits for what is only to be read in."""


class Behind:
    """The compiled module, once it is ready to run."""

    def __init__(self) -> None:
        """Nothing is loaded yet."""
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._ready: ModuleType | None = None

    def get(self, *, wait: float = 0.0) -> ModuleType | None:
        """The module; ``None`` while it is being made ready.

        Args:
            wait: seconds to wait for it; the first asker waits a little in any case.
        """
        if self._ready is None:
            with self._lock:
                first = self._thread is None
                if self._thread is None:
                    self._thread = threading.Thread(target=self._load, daemon=True)
                    self._thread.start()
            self._thread.join(max(wait, _PATIENCE if first else 0.0))
        return self._ready

    def _load(self) -> None:
        module = importlib.import_module("wetend.physics.stroke.kernel")
        given, out = np.ones((module.GIVEN, 1)), np.empty((module.FIGURES, 1))
        given[module.START] = -1.0
        module.run_way(given, 1.0, 1.0, 1.0, 1.0, np.ones(4), 4, 1.0, out)
        self._ready = module


COMPILED = Behind()
"""One for the process."""
