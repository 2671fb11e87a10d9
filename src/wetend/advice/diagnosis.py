"""Which leak explains the readings, how big it is, and what to open first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wetend.advice.reasons import Caution, Interval, Working
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings, Complaint
from wetend.units.quantity import CycleRate, LeakFlow, M3PerS, MPerS, Pa, Ratio, S


class Fault(StrEnum):
    """Faults told apart by the running checks."""

    FOOT_VALVE = "foot valve not holding"
    PISTON_VALVE = "piston valve or moving packings not holding"
    STATIC_PACKINGS = "static packings leaking"
    NOZZLE = "nozzle worn"
    STARVED = "cylinder not filling"
    DRIVE_WEAK = "drive weak"
    FILTER = "outlet filter or hose blocked"


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
    """At the posterior mean."""
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


def suspect(complaint: Complaint) -> tuple[Suspicion, ...]:
    """First suspicions from the complaint, by the trade's symptom table (common practice)."""
    raise NotImplementedError


def predict(
    pump: Pump, coating: Coating, *, leaks: dict[Fault, LeakFlow] | None = None
) -> Prediction:
    """What this pump reads with this coating, sound or with leaks of given size at stall."""
    raise NotImplementedError


def diagnose(
    pump: Pump, coating: Coating, readings: CheckReadings, *, particles: int = 20000, seed: int = 1
) -> Diagnosis:
    """Weigh every fault against the readings.

    Raises:
        BadInput: no reading at all was given.
    """
    raise NotImplementedError
