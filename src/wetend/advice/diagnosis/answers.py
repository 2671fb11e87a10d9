"""The shape of the answers to the running checks."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.faults.record import Fault
from wetend.advice.reasons import Caution, Interval, Working
from wetend.units.quantity import CycleRate, M3PerS, Minutes, MPerS, Pa, Ratio, S, Unit


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
class Size:
    """How big a fault is if it is there: what is meant, with its central 90 %, SI."""

    what: str
    interval: Interval
    unit: Unit


@dataclass(frozen=True)
class Finding:
    """One fault with its probability and, where it has one, its size."""

    fault: Fault
    probability: Ratio
    word: str
    """likely, possible, unlikely: the probability in a word; doubtful where the readings don't fit
    together."""
    leak: Interval | None
    """Leak at stall pressure, m^3/s; ``None`` for a fault that is no leak."""
    share: Interval | None
    """Share of the stroke lost to it while spraying."""
    open_first: str
    """What to open, or where to look, if this is it."""
    because: str
    size: Size | None = None
    """How big it is if it is there, in whatever its size is."""
    within: str = ""
    """Which of the causes behind it, as far as readings tell; empty for a fault of one cause."""


@dataclass(frozen=True)
class Contribution:
    """What one reading says."""

    reading: str
    """The reading, against what a sound pump shows."""
    says: str
    """Which faults it speaks for and against, added to the other readings, with how strongly."""


@dataclass(frozen=True)
class CheckAdvice:
    """A check not yet done: what it would tell, and whether it is worth its minutes."""

    key: str
    title: str
    minutes: Minutes
    """In minutes."""
    how: str
    needs: str
    cautions: tuple[Caution, ...]
    """What to show right before it, one a hazard."""
    read_as: str
    information_bits: float
    """Information expected about which faults are there, bits: to rank by, not to show."""
    information_bits_per_minute: float
    minutes_saved: Minutes
    """Minutes by which it is expected to shorten the way to fixed, its own not taken off; with what
    a crew loses that stops again because something was taken for something else."""
    worth: bool
    """Whether it saves more minutes than it takes."""
    settles: str = ""
    """What it tells apart best: ``"foot valve against starved suction"``."""
    right_now: Ratio = 0.0
    """Chance that the likeliest set of faults is all that is wrong."""
    right_after: Ratio = 0.0
    """The same once this check is done, on average."""
    may_open: bool = False
    """Whether it is quick and may show that the wet end has to be opened, where what is read so far
    says to leave it shut."""
    clears: bool = False
    """Whether it may put right what it looks for, with nothing opened."""


@dataclass(frozen=True)
class Opening:
    """One thing to open or put right, at its place in the order."""

    title: str
    faults: tuple[Fault, ...]
    minutes: Minutes
    """In minutes, from where the one before leaves the pump."""
    chance: Ratio
    """Chance that one of its faults is there."""
    inside: bool
    """Whether the wet end is opened for it."""
    done_by: Ratio
    """Chance that all that is wrong has been put right after it."""


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
    """True when what is known says to leave the wet end alone; never by readings that don't fit."""
    open_first: str
    next_check: str
    why: str
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]
    """What to show right before :attr:`next_check`, one a hazard."""
    before_opening: tuple[Caution, ...] = ()
    """What to show right before :attr:`open_first`, but what :attr:`cautions` say already."""
    best: CheckAdvice | None = None
    """The check that :attr:`next_check` names, if it names one."""
    contributions: tuple[Contribution, ...] = ()
    checks: tuple[CheckAdvice, ...] = ()
    """Checks not yet done, the one most worth doing first."""
    openings: tuple[Opening, ...] = ()
    """What to open and put right, in the order of least expected time to fixed."""
    minutes_to_fixed: Minutes = 0.0
    """Minutes expected until fixed, going by :attr:`openings` with no further check."""
    urgent: tuple[Caution, ...] = ()
    """Dangers that these readings themselves show; told before anything else."""
    stop_asking: bool = False
    """True when opening is worth more than any further check."""
    remarks: tuple[str, ...] = ()
    """What to know of the readings themselves: a gauge left out as doubtful, a check said not to be
    done whose reading is given.
    """


@dataclass(frozen=True)
class Suspicion:
    """First suspicion, from what is said and seen alone."""

    fault: Fault
    why: str
