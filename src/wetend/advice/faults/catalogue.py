"""Every fault there is, in the order in which they are offered."""

from __future__ import annotations

from wetend.advice.faults.drive import DRIVE_SLOW, DRIVE_WEAK
from wetend.advice.faults.leaks_outside import OUTSIDE, STATIC_PACKINGS
from wetend.advice.faults.nozzle import NOZZLE, NOZZLE_BLOCKED
from wetend.advice.faults.outlet import FILTER
from wetend.advice.faults.record import Fault
from wetend.advice.faults.suction import AIR, STARVED
from wetend.advice.faults.valves import FOOT_LATE, FOOT_VALVE, PISTON_VALVE

EVERY: tuple[Fault, ...] = (
    FOOT_VALVE, PISTON_VALVE, STATIC_PACKINGS, OUTSIDE, FOOT_LATE, NOZZLE, NOZZLE_BLOCKED, FILTER,
    STARVED, AIR, DRIVE_WEAK, DRIVE_SLOW,
)  # fmt: skip
"""A new fault is written in a module of this folder and named here; see docs/faults.md."""
