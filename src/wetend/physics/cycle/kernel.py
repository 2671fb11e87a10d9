"""The cycle compiled, for many pumps at once: the same functions as :mod:`.march` run plain."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Table, Whole, compiled, several
from wetend.jit.loading import CompiledFunctions
from wetend.physics.cycle.given import Cycled, OneCycle
from wetend.physics.cycle.march import settled
from wetend.physics.stroke.kernel import BESIDE
from wetend.units.message import Message

Array = NDArray[np.float64]

FIGURES = len(OneCycle._fields)
WORTH_SHARING = 4096
"""Pumps from which two threads share them."""
_CHUNK = 2048
"""Pumps run plain together."""
_WORTH_COMPILING = 64
"""Pumps from which the compiled functions are read in and used."""


@compiled(Nothing(Table, several(Whole, Whole), Table), fused=True)
def run(given: Array, span: tuple[int, int], out: Array) -> None:
    """The settled cycle of the pumps of a span.

    Args:
        given: a row a figure of ``Cycled``, a column a pump.
        span: first pump, and the one after the last.
        out: a row a figure of ``OneCycle``.
    """
    for j in range(span[0], span[1]):
        cycle = settled(
            Cycled(
                given[0, j], given[1, j], given[2, j], given[3, j], given[4, j], given[5, j],
                given[6, j], given[7, j], given[8, j], given[9, j], given[10, j], given[11, j],
                given[12, j], given[13, j], given[14, j], given[15, j], given[16, j],
                given[17, j], given[18, j], given[19, j], given[20, j], given[21, j],
                given[22, j], given[23, j], given[24, j], given[25, j], given[26, j],
                given[27, j], given[28, j], given[29, j], given[30, j], given[31, j],
                given[32, j], given[33, j],
            )
        )  # fmt: skip
        out[0, j] = cycle.end
        out[1, j] = cycle.up_time
        out[2, j] = cycle.down_time
        out[3, j] = cycle.gauge
        out[4, j] = cycle.volume
        out[5, j] = cycle.drop


NATIVE = (run,)
"""What is compiled."""
COMPILED = CompiledFunctions(__name__, NATIVE, title=Message("compiling the cycle"))
"""One for the process."""


def _chunk(given: Array) -> Array:
    """Pumps run plain, together."""
    return np.stack(settled(Cycled(*given)))


def cycles_of(given: Array) -> OneCycle:
    """The settled cycle of each pump, compiled where that is at hand.

    Args:
        given: a row a figure of ``Cycled``, a column a pump.
    """
    size = given.shape[1]
    native = COMPILED.at_hand() if size >= _WORTH_COMPILING else None
    if native is None:
        starts = range(0, size, _CHUNK)
        parts = [_chunk(given[:, at : at + _CHUNK]) for at in starts]
        return OneCycle(*np.concatenate(parts, axis=1))
    out, compiled_run = np.empty((FIGURES, size)), native["run"]
    if size < WORTH_SHARING:
        compiled_run(given, (0, size), out)
    else:
        half = BESIDE.submit(compiled_run, given, (0, size // 2), out)
        compiled_run(given, (size // 2, size), out)
        half.result()
    return OneCycle(*out)
