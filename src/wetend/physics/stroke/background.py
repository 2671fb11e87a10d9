"""The compiled sums, loaded behind the work: nobody waits for a compiler.

Once they are kept as object code, reading that in takes a twentieth of a second; the first time
ever on a machine they are compiled, which takes ten or more, in a process of its own. Until they
are there the plain arrays do the same sums, ten times slower.
"""

from __future__ import annotations

import importlib
import subprocess
import sys

from wetend.background import BACKGROUND, Job
from wetend.physics.stroke.kept import OBJECT_FILE
from wetend.physics.stroke.many import Run
from wetend.physics.stroke.object_code import can_not_be_made, loaded

_PATIENCE = 0.7
"""Seconds the first asker waits for what is only to be read in."""
_LONGEST = 300.0
_KERNEL = "wetend.physics.stroke.kernel"


class BackgroundLoader:
    """The compiled sums, once they are ready to run."""

    def __init__(self) -> None:
        """Nothing is loaded yet."""
        self._loading: Job | None = None
        self._ready: Run | None = None

    def get(self, *, wait: float = 0.0) -> Run | None:
        """The sums; ``None`` while they are being made ready.

        Args:
            wait: seconds to wait for it; the first asker waits a little in any case.
        """
        if self._ready is None:
            loading = self._loading
            first = loading is None or loading.standing == "dropped"
            if loading is None or first:
                self._loading = loading = BACKGROUND.submit(
                    "compiled strokes", lambda _: self._load(), title="compiling the strokes"
                )
            loading.ended.wait(max(wait, _PATIENCE if first else 0.0))
        return self._ready

    def _load(self) -> None:
        self._ready = _from_object_code() or _compiled_here()


def _from_object_code() -> Run | None:
    """The sums as kept, which a process of its own sees to where they are not."""
    if OBJECT_FILE is None:
        return None
    found = loaded(OBJECT_FILE)
    if found is None and not can_not_be_made(OBJECT_FILE):
        _compile_apart()
        found = loaded(OBJECT_FILE)
    return found["run"] if found is not None else None


def _compiled_here() -> Run:
    """Where nothing can be kept, or what is kept can't be read, this process compiles."""
    kernel = importlib.import_module(_KERNEL)
    kernel.warm_up()
    run: Run = kernel.run
    return run


def _compile_apart() -> None:
    """Fill the folder of compiled code."""
    try:
        subprocess.run(  # noqa: S603  # nothing typed by people gets into the command
            [sys.executable, "-P", "-m", _KERNEL], check=False, timeout=_LONGEST,
            capture_output=True,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired):
        return


COMPILED = BackgroundLoader()
"""One for the process."""
