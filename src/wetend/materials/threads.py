"""Metric screw threads: diameters and the pitches cut on them (ISO 261 and ISO 262)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetend.errors import UnknownName
from wetend.keeping import constant
from wetend.materials.table import Row, Table, load
from wetend.units.quantity import M


class Thread(Row):
    """A thread diameter with one of its pitches."""

    diameter: M = Field(gt=0, lt=0.5)
    pitch: M = Field(gt=0, lt=0.02)
    series: Literal["coarse", "fine", "constant pitch"]


@constant("table of threads")
def threads() -> Table[Thread]:
    """All threads, by key."""
    return load("threads", Thread)


def pitches_of(diameter: M) -> tuple[M, ...]:
    """Pitches cut on this nominal diameter in metres, coarsest first; none if it is not listed.

    >>> [round(p * 1000, 2) for p in pitches_of(0.064)]
    [6.0, 4.0, 3.0, 2.0, 1.5]
    """
    found = {t.pitch for t in threads() if abs(t.diameter - diameter) < 1e-6}
    return tuple(sorted(found, reverse=True))


def find_thread(diameter: M, pitch: M) -> Thread:
    """The listed thread of this nominal diameter and pitch, both in metres.

    Raises:
        UnknownName: ISO 261 as held here lists no such thread; the sentence names its pitches.

    >>> find_thread(0.064, 0.004).key
    'm64x4'
    """
    for thread in threads():
        if abs(thread.diameter - diameter) < 1e-6 and abs(thread.pitch - pitch) < 1e-6:
            return thread
    known = ", ".join(f"{p * 1000:g}" for p in pitches_of(diameter)) or "none"
    raise UnknownName(
        f"M{diameter * 1000:g} x {pitch * 1000:g} is not a listed thread; "
        f"pitches listed for that diameter in mm: {known}."
    )
