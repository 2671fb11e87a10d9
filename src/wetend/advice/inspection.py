"""Measured parts judged: keep, turn over, dress, replace, or measure again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.reasons import Verdict, Working
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import Measured
from wetend.pump.parts import PartName
from wetend.units.quantity import LeakFlow, Ratio, Unit


@dataclass(frozen=True)
class Check:
    """One measured feature against its limit."""

    title: str
    value: float
    uncertainty: float
    """Standard uncertainty, from the instrument used."""
    lower: float | None
    upper: float | None
    unit: Unit
    limit_from: str
    probability: Ratio
    """Probability that the true value conforms."""
    verdict: Verdict
    why: str
    working: Working


@dataclass(frozen=True)
class PartJudgement:
    """The verdict on one part."""

    part: PartName
    title: str
    verdict: Verdict
    why: str
    checks: tuple[Check, ...]
    leak: LeakFlow | None
    """What the damage would pass at working pressure in this coating, m^3/s."""
    stroke_lost: Ratio | None
    advice: tuple[str, ...]


def judge(pump: Pump, coating: Coating | None, measured: Measured) -> PartJudgement:
    """Judge one part from what was measured."""
    raise NotImplementedError


def judge_all(
    pump: Pump, coating: Coating | None, measured: Sequence[Measured]
) -> tuple[PartJudgement, ...]:
    """Judge every measured part, the worst first."""
    raise NotImplementedError
