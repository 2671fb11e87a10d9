"""The faults told apart by the running checks, and the shape of the answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wetend.advice.reasons import Caution, Interval, Working
from wetend.units.quantity import CycleRate, M3PerS, MPerS, Pa, Ratio, S


class Fault(StrEnum):
    """Faults told apart by the running checks."""

    FOOT_VALVE = "foot valve not holding"
    PISTON_VALVE = "piston valve or moving packings not holding"
    STATIC_PACKINGS = "static packings leaking"
    NOZZLE = "nozzle worn"
    STARVED = "cylinder not filling"
    DRIVE_WEAK = "drive weak"
    FILTER = "outlet filter or hose blocked"


WET_END = (Fault.FOOT_VALVE, Fault.PISTON_VALVE, Fault.STATIC_PACKINGS)
"""Faults that need the wet end opened."""

OPEN_FIRST = {
    Fault.FOOT_VALVE: "The foot valve: ball and seat, then the soft rings and the seal land.",
    Fault.PISTON_VALVE: "The piston: its ball and seat, the moving packings, then the bore.",
    Fault.STATIC_PACKINGS: "The static packings: first the gland nut's setting, then the set.",
    Fault.NOZZLE: "The nozzle: fit a new one of the same size; look for leaks to the outside and a "
    "bypass left open.",
    Fault.STARVED: "The suction side: strainer, suction tube and its joints, the level in the tin.",
    Fault.DRIVE_WEAK: "The drive's supply: pressure at the drive while it runs, its regulator, "
    "filter and line.",
    Fault.FILTER: "The outlet filter, then hose and gun filter for a blockage; warm a thick "
    "coating.",
}
"""What to open, or where to look, for each fault (common practice)."""


@dataclass(frozen=True)
class Prediction:
    """What the readings would be for one state of the pump (SI)."""

    up_time: S
    down_time: S
    spray_pressure: Pa
    stall_pressure: Pa
    creep_up: MPerS
    creep_down: MPerS
    flow: M3PerS
    cycle_rate: CycleRate


@dataclass(frozen=True)
class Finding:
    """One fault with its probability and, where it has one, its size."""

    fault: Fault
    probability: Ratio
    word: str
    """likely, possible, unlikely: the probability in a word."""
    leak: Interval | None
    """Leak at stall pressure, m^3/s; ``None`` for a fault that is no leak."""
    share: Interval | None
    """Share of the stroke lost to it while spraying."""
    open_first: str
    """What to open, or where to look, if this is it."""
    because: str


@dataclass(frozen=True)
class Diagnosis:
    """The answer to the running checks."""

    findings: tuple[Finding, ...]
    """Every fault, likeliest first."""
    healthy: Prediction
    likely: Prediction
    """The posterior median of each reading."""
    explained: bool
    """False when no mixture of faults fits the readings."""
    sound: Ratio
    """Probability that nothing is wrong with the wet end."""
    leave_wet_end: bool
    """True when it is better not to open the wet end."""
    open_first: str
    next_check: str
    why: str
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class Suspicion:
    """First suspicion, from what is said and seen alone."""

    fault: Fault
    why: str
