"""The trace of a recording as a hidden form field, redrawn with corrected strokes.

Nothing of a record is kept on the server: the form holds the thinned trace, a byte a value.
"""

from __future__ import annotations

import base64
import binascii
import re
from dataclasses import dataclass

from wetend.advice.listening.answer import Listening, Trace
from wetend.stats.signal.follow import HEARD
from wetend.units.message import joined
from wetend.units.quantity import S

MOST_VALUES = 4000
_MOST_FAINT = 400
_FULL, _UNKNOWN = 254, 255
_MOMENT = r"-?\d{1,10}\.\d{3}"
_PACKED = re.compile(
    rf"({_MOMENT}):(\d{{1,3}}\.\d{{6}}):({_MOMENT}):((?:{_MOMENT} ?)*):([A-Za-z0-9+/]+=*)", re.A
)
_LONGEST = 48 + 16 * _MOST_FAINT + 4 * (MOST_VALUES // 3 + 1)


@dataclass(frozen=True)
class TraceField:
    """A recording's trace with what the drawing needs besides the strokes."""

    trace: Trace
    length: S
    faint: tuple[S, ...]
    """Turns too faint to count as heard."""

    @property
    def packed(self) -> str:
        """Start, step, length, faint turns, and the values from 0 to 254; 255 where missing."""
        values = zip(self.trace.values, self.trace.known, strict=True)
        data = bytes(round(_FULL * v) if known else _UNKNOWN for v, known in values)
        faint = joined(" ", (f"{at:.3f}" for at in self.faint[:_MOST_FAINT]))
        return (
            f"{self.trace.start:.3f}:{self.trace.step:.6f}:{self.length:.3f}:{faint}:"
            f"{base64.b64encode(data).decode()}"
        )


def trace_field(heard: Listening) -> TraceField:
    """What a form carries of a record listened to."""
    faint = tuple(turn.at for turn in heard.turns if turn.strength < HEARD)
    return TraceField(heard.trace, heard.length, faint)


def read_trace_field(text: str) -> TraceField | None:
    """The trace a form carried; ``None`` where there is none, or it did not arrive whole.

    >>> read_trace_field("0.000:0.020000:0.060:0.020:AH//").faint
    (0.02,)
    """
    found = _PACKED.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        return None
    start, step, length = (float(found[k]) for k in (1, 2, 3))
    try:
        data = base64.b64decode(found[5], validate=True)
    except binascii.Error:
        return None
    whole = 2 <= len(data) <= MOST_VALUES and step > 0.0
    if not whole or not abs(length - step * len(data)) <= 0.05 * length + 2.0 * step:
        return None
    return TraceField(_trace(start, step, data), length, tuple(map(float, found[4].split())))


def _trace(start: S, step: S, data: bytes) -> Trace:
    return Trace(
        start, step,
        tuple(0.0 if byte == _UNKNOWN else byte / _FULL for byte in data),
        tuple(byte != _UNKNOWN for byte in data),
    )  # fmt: skip
