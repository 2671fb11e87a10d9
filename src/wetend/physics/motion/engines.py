"""What carries the sums out: compiled functions once they are there, plain ones until then.

Once they are kept as object code, reading compiled functions in takes a twentieth of a second; the
first time ever on a machine they are compiled, which takes many seconds. Nobody waits for that: it
is done in a process of its own, at low priority, and what is asked meanwhile is answered by the
plain functions.
"""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from typing import NamedTuple

from wetend.background import BACKGROUND, Job
from wetend.physics.motion import kept, plain
from wetend.physics.motion.integrator import Output, advance
from wetend.physics.motion.observe import observe_rows
from wetend.physics.motion.problem import PROBLEM
from wetend.physics.motion.rosenbrock import Array, Run, Scratch
from wetend.physics.stroke.object_code import can_not_be_made, loaded

_COMPILE = "wetend.physics.motion.native"
_LONGEST = 300.0
_LOOK_AGAIN = 0.5


class Engine(NamedTuple):
    """How a run is carried out, and what is seen on it worked out."""

    run: Callable[..., int]
    """As :func:`.integrator.advance` on the wet end, from the state carried on."""
    look: Callable[..., object]
    """As :func:`.observe.observe_rows`."""


PLAIN = Engine(plain.run, plain.look)


class Engines:
    """The compiled engine, loaded behind the work or waited for."""

    def __init__(self) -> None:
        """Nothing is loaded yet."""
        self._lock = threading.Lock()
        self._loading: Job | None = None
        self._compiled: Engine | None = None

    def at_hand(self) -> Engine:
        """The compiled engine if it is there or has only to be read in, else the plain one."""
        if self._compiled is not None or kept.is_whole():
            return self.compiled()
        if self._loading is None or self._loading.standing == "dropped":
            self._loading = BACKGROUND.submit(
                "compiled motion", lambda _: self.compiled(), title="compiling the pump in motion"
            )
        return PLAIN

    def compiled(self) -> Engine:
        """The compiled engine, waited for."""
        with self._lock:
            if self._compiled is None:
                self._compiled = _from_object_code() or _by_the_compiler()
        return self._compiled


def _from_object_code() -> Engine | None:
    """The engine as kept, which a process of its own sees to where it is not."""
    if kept.OBJECT_FILE is None:
        return None
    found = loaded(kept.OBJECT_FILE)
    if found is None and not (kept.is_whole() and can_not_be_made(kept.OBJECT_FILE)):
        _compile_aside()
        found = loaded(kept.OBJECT_FILE)
    if found is None:
        return None
    carry, pump = found[advance.__name__], [found[f.__name__] for f in PROBLEM]

    def run(carried: Run, output: Output, scratch: Scratch, options: Array) -> int:
        return carry(*pump, carried, output, scratch, options)

    return Engine(run, found[observe_rows.__name__])


def _by_the_compiler() -> Engine:
    """Where nothing can be kept, or what is kept can't be read, this process compiles."""
    native = importlib.import_module(_COMPILE)
    return Engine(native.run, native.look)


def _compile_aside() -> None:
    """Have all compiled by a process that goes on when this one ends; one on a machine at a time.

    Where none can be started, or it fails, this process compiles as it loads.
    """
    if kept.KEPT_IN is None:
        return
    if not kept.claim(_LONGEST):
        kept.wait_for_whole(_LONGEST, _LOOK_AGAIN)
        return
    try:
        # nothing typed by people gets into the command
        process = subprocess.Popen(  # noqa: S603
            [sys.executable, "-P", "-m", _COMPILE],
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        if hasattr(os, "setpriority"):
            os.setpriority(os.PRIO_PROCESS, process.pid, 10)
        process.wait(_LONGEST)
    except (OSError, subprocess.TimeoutExpired):
        return
    finally:
        kept.let_go()


ENGINES = Engines()
"""One for the process."""
