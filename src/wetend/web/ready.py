"""Make the compiled model of the pump in motion ready behind the pages, once a process.

Reading the compiled sums in takes about a second; the first time ever on a machine they are
compiled, which takes several. Neither holds up a page: they are loaded in a thread, compiled if
need be in a process of their own, and who asks meanwhile is told so.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
import threading
from types import ModuleType

from wetend.physics.motion.compiled import KEPT_IN

_COMPILE = "import wetend.physics.motion.simulate"
_LONGEST = 300.0


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

    def wait(self, seconds: float) -> ModuleType | None:
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
            if self._name not in sys.modules and KEPT_IN and not any(KEPT_IN.iterdir()):
                # nothing typed by people gets into the command
                subprocess.run(  # noqa: S603
                    [sys.executable, "-c", _COMPILE], check=False, timeout=_LONGEST,
                    capture_output=True,
                )  # fmt: skip
            self._module = importlib.import_module(self._name)
        except (ImportError, subprocess.TimeoutExpired) as error:
            self._fault = error if isinstance(error, ImportError) else ImportError(str(error))
