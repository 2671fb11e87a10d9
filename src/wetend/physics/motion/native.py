"""The model in time, compiled.

``python -m wetend.physics.motion.native`` compiles all that an answer needs and keeps it, so that
no answer waits for that.
"""

from __future__ import annotations

from wetend.physics.motion.compiling import FunctionPointer, made
from wetend.physics.motion.integrator import Output, advance
from wetend.physics.motion.kept import mark_whole
from wetend.physics.motion.observe import observe_rows
from wetend.physics.motion.rosenbrock import Array, Run, Scratch
from wetend.physics.motion.turns import guards, react
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field

PUMP = (
    FunctionPointer(field),
    FunctionPointer(guards),
    FunctionPointer(react),
    FunctionPointer(weigh),
)
"""What the integrator calls."""
_ADVANCE = made(advance)
look = made(observe_rows)
""":func:`.observe.observe_rows`."""
mark_whole()


def run(carried: Run, output: Output, scratch: Scratch, options: Array) -> int:
    """:func:`.integrator.advance` on the wet end."""
    return int(_ADVANCE(*PUMP, carried, output, scratch, options))
