"""Verdicts, intervals, workings and cautions: the parts every answer is made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from wetend.units.quantity import Unit


class Named:
    """Something that readers know by its name: JSON and tables hold that, not all its fields."""

    @property
    def called(self) -> str:
        """Its name."""
        raise NotImplementedError


class Verdict(StrEnum):
    """A judgement; shown as a word with a shape and a colour, never by colour alone."""

    KEEP = "keep"
    TURN = "turn over"
    DRESS = "dress"
    REPLACE = "replace"
    MEASURE_AGAIN = "measure again"
    PASS = "pass"  # noqa: S105
    FAIL = "fail"
    NOT_PROVEN = "not proven"
    ENOUGH = "enough"
    WATCH = "watch"
    NOT_APPLICABLE = "not applicable"
    """Nothing to judge here; counts neither for nor against."""


@dataclass(frozen=True)
class Interval:
    """A median with the central 90 % interval."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True)
class Figure:
    """A named number with its unit, an input or result of a calculation (SI)."""

    label: str
    value: float
    unit: Unit
    symbol: str = ""


@dataclass(frozen=True)
class Working:
    """The working of one calculation: what a person needs to check it."""

    title: str
    formula: str
    given: tuple[Figure, ...]
    result: tuple[Figure, ...]
    source: str
    validity: str
    spread: str = ""
    calculator: str = ""
    """Name of the calculator that computes the same; blank where none does."""
    inputs: tuple[tuple[str, float | str | tuple[float, ...]], ...] = ()
    """What that is to be filled with, by field, SI."""


class Grade(StrEnum):
    """How grave a caution is, by what happens if it is ignored."""

    DANGER = "danger"
    """Kills or maims."""
    WARNING = "warning"
    """Injures."""
    CARE = "care"
    """Spoils a part or the work."""


@dataclass(frozen=True)
class Caution:
    """What can go wrong at this act. Each screen carries at most one for each hazard.

    The texts of known hazards stand in :mod:`wetend.advice.safety.hazards`.
    """

    text: str
    grade: Grade = Grade.DANGER
    hazard: str = ""
    """Key of the hazard in :data:`wetend.advice.safety.hazards.HAZARDS`; blank for one of its
    own kind."""
