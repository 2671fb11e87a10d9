"""The model in time, compiled.

``python -m wetend.physics.motion.native`` compiles all that an answer needs and keeps it, so that
no answer waits for that.
"""

from __future__ import annotations

from wetend.physics.motion.compiling import FunctionPointer, made
from wetend.physics.motion.integrator import Output, advance
from wetend.physics.motion.kept import OBJECT_FILE, mark_whole
from wetend.physics.motion.observe import observe_rows
from wetend.physics.motion.problem import PROBLEM
from wetend.physics.motion.rosenbrock import Array, Run, Scratch
from wetend.physics.stroke.object_making import keep

PUMP = tuple(FunctionPointer(function) for function in PROBLEM)
_ADVANCE = made(advance)
look = made(observe_rows)
""":func:`.observe.observe_rows`."""


def run(carried: Run, output: Output, scratch: Scratch, options: Array) -> int:
    """:func:`.integrator.advance` on the wet end."""
    return int(_ADVANCE(*PUMP, carried, output, scratch, options))


def main() -> None:
    """Keep what was compiled, where there is a place for it."""
    if OBJECT_FILE is not None:
        keep(OBJECT_FILE, {f.__name__: made(f) for f in (advance, observe_rows, *PROBLEM)})
    mark_whole()


if __name__ == "__main__":
    main()
