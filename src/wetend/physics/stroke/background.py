"""The compiled sums, loaded behind the work: nobody waits for a compiler.

Reading them in takes a second; the first time ever on a machine they are compiled, which takes ten
or more, in a process of its own. Until they are there the plain arrays do the same sums, ten
times slower.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import threading
from types import ModuleType

_PATIENCE = 0.7
"""Seconds the first asker waits for what is only to be read in."""
_LONGEST = 300.0
_COMPILE = "from wetend.physics.stroke.kernel import warm_up; warm_up()"


class BackgroundLoader:
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
        kept_in = importlib.import_module("wetend.physics.stroke.compiled").KEPT_IN
        if kept_in is not None and not any(kept_in.iterdir()):
            _compile_apart()
        module = importlib.import_module("wetend.physics.stroke.kernel")
        module.warm_up()
        self._ready = module


def _compile_apart() -> None:
    """Fill the folder of compiled code; if that fails, this process compiles for itself."""
    try:
        subprocess.run(  # noqa: S603  # nothing typed by people gets into the command
            [sys.executable, "-c", _COMPILE], check=False, timeout=_LONGEST, capture_output=True
        )
    except (OSError, subprocess.TimeoutExpired):
        return


COMPILED = BackgroundLoader()
"""One for the process."""
