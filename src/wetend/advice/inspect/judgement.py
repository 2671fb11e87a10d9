"""Judgement of a part: checks against limits, and visual findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from wetend.advice.reasons import Figure, Verdict, Working
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.units.message import joined
from wetend.units.quantity import LeakFlow, Ratio, Unit

WORST_FIRST = (
    Verdict.REPLACE, Verdict.TURN, Verdict.MEASURE_AGAIN, Verdict.DRESS, Verdict.KEEP,
)  # fmt: skip
"""Which verdict governs. What must be replaced or turned is, whatever else is in doubt; in doubt,
measure before dressing."""


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
    guard: float = 0.0
    """Guard band: kept this far inside a limit, condemned this far outside it."""


@dataclass(frozen=True)
class Seen:
    """One thing seen that needs no number."""

    verdict: Verdict
    why: str


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
    seen: tuple[Seen, ...] = ()
    """What was seen without a number, each with what it means."""
    leak_working: Working | None = None
    """How the leak was computed."""
    figures: tuple[Figure, ...] = ()
    """What the measurements give beside the verdict: sizes place by place, roundness."""


@dataclass(frozen=True)
class Damage:
    """What damage lets past at working pressure."""

    leak: LeakFlow
    share: Ratio
    """Of the stroke."""
    working: Working


def judged(
    part: PartName,
    *,
    checks: Sequence[Check],
    seen: Sequence[Seen] = (),
    damage: Damage | None = None,
    advice: Sequence[str] = (),
    title: str = "",
    figures: Sequence[Figure] = (),
) -> PartJudgement:
    """The worst of all checks and sights, with its reason first."""
    findings = [(f.verdict, f.why) for f in checks] + [(f.verdict, f.why) for f in seen]
    verdict = min((v for v, _ in findings), key=WORST_FIRST.index)
    reasons = [why for v, why in findings if v == verdict]
    return PartJudgement(
        part=part,
        title=title or PART_TITLES[part],
        verdict=verdict,
        why=joined(" ", dict.fromkeys(reasons)),
        checks=tuple(checks),
        leak=damage.leak if damage else None,
        stroke_lost=damage.share if damage else None,
        advice=tuple(dict.fromkeys(advice)),
        seen=tuple(seen),
        leak_working=damage.working if damage else None,
        figures=tuple(figures),
    )
