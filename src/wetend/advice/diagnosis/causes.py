"""Which sets of causes are weighed, and how likely each is before any reading.

Chances are our own, from common practice, no source; they are wide, and the readings outweigh them
quickly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.record import Cause, Fault
from wetend.advice.faults.tables import CAUSES, FAULT_OF, NEVER_TOGETHER
from wetend.keeping import constant
from wetend.pump.coating import Coating
from wetend.pump.readings import Sight, ToolBag
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]


ABRASION = {"mild": 0.75, "moderate": 1.0, "abrasive": 1.25, "very abrasive": 1.5}
"""How much likelier the coating makes what it wears."""
REBUILT_LATELY = 4.0
"""How much likelier a stack built wrong is just after someone had it apart."""

MOST_AT_ONCE = 3
"""Faults at once that are weighed; more are rarer than a reading gone wrong."""
_MOST_ODDS = 4.0


@dataclass(frozen=True)
class Around:
    """What is known besides the readings: tools to hand, and the pump's own past."""

    bag: ToolBag = field(default_factory=ToolBag)
    """For how long it takes to open each part; an empty bag counts as a full one."""
    seen: tuple[Sight, ...] = ()
    """What the crew saw, from the complaint."""
    leanings: Mapping[Fault, Ratio] = field(default_factory=dict)
    """How much likelier than usual each wear fault is by what the parts have lived through, and a
    stack built wrong by whether it was apart lately."""

    def odds(self, cause: Cause) -> float:
        """What the past multiplies a cause's chance by."""
        lean = float(self.leanings.get(FAULT_OF[cause], 1.0))
        return min(max(lean, 1 / _MOST_ODDS), _MOST_ODDS)


NOTHING_KNOWN = Around()


@constant("sets of causes")
def combinations_of_causes() -> NDArray[np.bool_]:
    """Every set of causes weighed, one a row: none, each alone, pairs, threes."""
    rows = [
        [cause in chosen for cause in CAUSES]
        for count in range(MOST_AT_ONCE + 1)
        for chosen in combinations(CAUSES, count)
        if not any(frozenset(pair) in NEVER_TOGETHER for pair in combinations(chosen, 2))
    ]
    return np.array(rows, dtype=bool)


def chances(coating: Coating, around: Around = NOTHING_KNOWN) -> Array:
    """Prior chance of every row of :func:`combinations_of_causes`; they add up to 1."""
    worn = ABRASION[coating.abrasiveness]
    each = np.array(
        [min(c.chance * (worn if c.worn else 1.0) * around.odds(c), 0.8) for c in CAUSES]
    )
    rows = combinations_of_causes()
    weight = np.prod(np.where(rows, each, 1.0 - each), axis=1)
    return np.asarray(weight / weight.sum())
