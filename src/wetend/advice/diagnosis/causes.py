"""What can be wrong, one cause a column, and how likely it is before any reading.

Chances are our own, from common practice, no source; they are wide, and the readings outweigh them
quickly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import IntEnum
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.faults import Fault
from wetend.keeping import constant
from wetend.pump.coating import Coating
from wetend.pump.readings import ToolBag
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]


class Cause(IntEnum):
    """Causes; some faults have several, which read nearly alike."""

    FOOT = 0
    PISTON = 1
    STATIC = 2
    NOZZLE = 3
    STARVED = 4
    SUPPLY = 5
    DRIVE = 6
    FILTER = 7
    LINE = 8
    PACKINGS = 9
    BORE = 10
    LATE = 11
    AIR = 12
    CLOGGED = 13
    OUTSIDE = 14
    SLOW = 15


CAUSES_OF: dict[Fault, tuple[Cause, ...]] = {
    Fault.FOOT_VALVE: (Cause.FOOT,),
    Fault.PISTON_VALVE: (Cause.PISTON, Cause.PACKINGS, Cause.BORE),
    Fault.STATIC_PACKINGS: (Cause.STATIC,),
    Fault.NOZZLE: (Cause.NOZZLE,),
    Fault.STARVED: (Cause.STARVED,),
    Fault.DRIVE_WEAK: (Cause.SUPPLY, Cause.DRIVE),
    Fault.FILTER: (Cause.FILTER, Cause.LINE),
    Fault.FOOT_LATE: (Cause.LATE,),
    Fault.AIR: (Cause.AIR,),
    Fault.NOZZLE_BLOCKED: (Cause.CLOGGED,),
    Fault.OUTSIDE: (Cause.OUTSIDE,),
    Fault.DRIVE_SLOW: (Cause.SLOW,),
}

CAUSE_WORDS: dict[Cause, str] = {
    Cause.PISTON: "the piston valve's ball or seat",
    Cause.PACKINGS: "the moving packings",
    Cause.BORE: "a scored bore",
    Cause.SUPPLY: "the supply",
    Cause.DRIVE: "the drive itself",
    Cause.FILTER: "the outlet filter",
    Cause.LINE: "hose, gun filter or gun",
}
"""What the causes of a fault with several are called."""

CHANCE: dict[Cause, float] = {
    Cause.FOOT: 0.22, Cause.PISTON: 0.09, Cause.STATIC: 0.18, Cause.NOZZLE: 0.17,
    Cause.STARVED: 0.06, Cause.SUPPLY: 0.06, Cause.DRIVE: 0.04, Cause.FILTER: 0.09,
    Cause.LINE: 0.05, Cause.PACKINGS: 0.11, Cause.BORE: 0.025, Cause.LATE: 0.04,
    Cause.AIR: 0.05, Cause.CLOGGED: 0.06, Cause.OUTSIDE: 0.05, Cause.SLOW: 0.04,
}  # fmt: skip
"""Chance that a pump someone was called to has this, with a moderately abrasive coating."""

WORN_BY_COATING = (
    Cause.FOOT, Cause.PISTON, Cause.PACKINGS, Cause.BORE, Cause.STATIC, Cause.NOZZLE,
)  # fmt: skip
ABRASION = {"mild": 0.75, "moderate": 1.0, "abrasive": 1.25, "very abrasive": 1.5}
"""How much likelier the coating makes what it wears."""
REBUILT_LATELY = 4.0
"""How much likelier a stack built wrong is just after someone had it apart."""

MOST_AT_ONCE = 3
"""Faults at once that are weighed; more are rarer than a reading gone wrong."""
_NEVER_TOGETHER = (
    *(pair for causes in CAUSES_OF.values() for pair in combinations(causes, 2)),
    (Cause.NOZZLE, Cause.CLOGGED), (Cause.STARVED, Cause.AIR), (Cause.STARVED, Cause.LATE),
    (Cause.AIR, Cause.LATE),
)  # fmt: skip
_MOST_ODDS = 4.0


@dataclass(frozen=True)
class Around:
    """What is known besides the readings: tools to hand, and the pump's own past."""

    bag: ToolBag = field(default_factory=ToolBag)
    """For how long it takes to open each part; an empty bag counts as a full one."""
    leanings: Mapping[Fault, Ratio] = field(default_factory=dict)
    """How much likelier than usual each wear fault is by what the parts have lived through, and a
    stack built wrong by whether it was apart lately."""

    def odds(self, cause: Cause) -> float:
        """What the past multiplies a cause's chance by."""
        fault = next(f for f, causes in CAUSES_OF.items() if cause in causes)
        lean = float(self.leanings.get(fault, 1.0))
        return min(max(lean, 1 / _MOST_ODDS), _MOST_ODDS)


NOTHING_KNOWN = Around()


@constant("sets of causes")
def combinations_of_causes() -> NDArray[np.bool_]:
    """Every set of causes weighed, one a row: none, each alone, pairs, threes."""
    rows = [
        [cause in chosen for cause in Cause]
        for count in range(MOST_AT_ONCE + 1)
        for chosen in combinations(Cause, count)
        if not any(set(pair) <= set(chosen) for pair in _NEVER_TOGETHER)
    ]
    return np.array(rows, dtype=bool)


def chances(coating: Coating, around: Around = NOTHING_KNOWN) -> Array:
    """Prior chance of every row of :func:`combinations_of_causes`; they add up to 1."""
    worn = ABRASION[coating.abrasiveness]
    each = np.array(
        [
            min(CHANCE[c] * (worn if c in WORN_BY_COATING else 1.0) * around.odds(c), 0.8)
            for c in Cause
        ]
    )
    rows = combinations_of_causes()
    weight = np.prod(np.where(rows, each, 1.0 - each), axis=1)
    return np.asarray(weight / weight.sum())
