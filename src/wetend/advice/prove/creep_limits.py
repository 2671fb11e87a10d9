"""Limits on the creep of a stalled rod: by the cost of the leak, and by good practice.

Proof and running checks read the same two limits here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from wetend.advice.prove.limits import Allowed, creep_limit
from wetend.advice.reasons import Verdict
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.quantity import Creep, MPerS, Pa, Ratio, S

GOOD_CREEP: Final[Creep] = 5e-3 / 60
"""Most that the rod of a good rebuild creeps: it stays put, a few millimetres in the minute after
the first, here 5 (common practice, no source)."""
TAKE_UP: Final[S] = 60.0
"""How long hose and liquid go on taking up pressure; travel in that time is not creep (common
practice, no source)."""


@dataclass(frozen=True)
class CreepLimits:
    """Two limits on the rod's speed at stall, one way."""

    good: MPerS
    """What a good rebuild keeps to; never above ``most``."""
    most: MPerS
    """What the allowed leak gives."""


@dataclass(frozen=True)
class CreepJudged:
    """A creep judged against both limits."""

    verdict: Verdict
    """``PASS`` good, ``WATCH``, ``FAIL``, or ``NOT_PROVEN`` between watch and fail."""
    good: Ratio
    """Probability that it is what a good rebuild does."""
    bearable: Ratio
    """Probability that the leak costs no more than is allowed."""


def creep_limits(allow: Allowed, stall_pressure: Pa, *, up: bool) -> CreepLimits:
    """Both limits of one way at this stall pressure."""
    most = creep_limit(allow, stall_pressure, up=up)
    return CreepLimits(good=min(GOOD_CREEP, most), most=most)


def judge_creep(creep: MPerS, spread: MPerS, limits: CreepLimits) -> CreepJudged:
    """Good from 95 % sure of the first limit, fail up to 5 % of the second, watch between.

    Args:
        creep: speed of the rod.
        spread: its standard uncertainty.
        limits: the two limits.
    """
    good = conformance_probability(creep, spread, upper=limits.good)
    bearable = conformance_probability(creep, spread, upper=limits.most)
    sure = decide(bearable)
    if decide(good) is Decision.CONFORMS:
        verdict = Verdict.PASS
    elif sure is Decision.CONFORMS:
        verdict = Verdict.WATCH
    else:
        verdict = Verdict.FAIL if sure is Decision.FAILS else Verdict.NOT_PROVEN
    return CreepJudged(verdict, good, bearable)
