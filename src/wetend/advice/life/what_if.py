"""Changes that would make parts last longer, and the trend of a pump's repairs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULTS
from wetend.advice.life.exposure import CLASSES, Exposure
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.records import PLAIN
from wetend.advice.life.remaining import RemainingLife, interval_of
from wetend.advice.life.wear_factors import CLASS_FACTOR
from wetend.advice.reasons import Interval, Verdict
from wetend.errors import BadInput, NoAnswer
from wetend.pump.usage import LifePart
from wetend.stats.repair_trend import fit_power_law, laplace
from wetend.units.message import Message, joined
from wetend.units.quantity import Ratio
from wetend.units.show import chance_text

Floats = NDArray[np.float64]
WET_CUP, WET_CUP_SPREAD = 1.3, 0.2
"""How much longer static packings last with the cup kept full: common practice, no source."""


@dataclass(frozen=True)
class Change:
    """One thing to change and how much longer the parts would last for it, in litres."""

    what: str
    part: LifePart
    factor: Interval
    """Litres after over litres now."""
    basis: str


def _paced(fleet: FleetLives, part: LifePart, name: str, step: float) -> Floats:
    """Draws of the factor on wear life for a step of one covariate's logarithm."""
    column = 1 + PLAIN.index(name)
    return np.exp(fleet.beliefs[part].coefficients[:, column] * step)


def _change(what: str, part: LifePart, factors: Floats, basis: str) -> Change:
    return Change(what, part, interval_of(factors), basis)


def what_would_change(day: Exposure, fleet: FleetLives) -> tuple[Change, ...]:
    """Slower strokes, a bigger pump, less pressure, a full wet cup, a milder coating: with figures.

    Factors are on litres between repacks. The learned exponents carry their spread; where the depot
    has few repairs that is the prior's.
    """
    part: LifePart = "moving-packings"
    pace = 60.0 * day.rate
    learned = Message("exponents learned from repairs, where there are any")
    travel = Message(
        "a third less travel a litre; exponents learned from repairs, where there are any"
    )
    proportion = Message(
        "wear in proportion to pressure; exponents learned from repairs, where there are any"
    )
    found = [
        _change(
            Message(
                "A quarter fewer cycles a minute ({then:.0f} instead of {now:.0f})",
                then=0.75 * pace,
                now=pace,
            ),
            part,
            _paced(fleet, part, "strokes a minute", math.log(0.75)),
            learned,
        ),
        _change(
            Message("A pump with half as much bore area again, for the same litres"),
            part,
            1.5 * _paced(fleet, part, "strokes a minute", math.log(1 / 1.5)),
            travel,
        ),
        _change(
            Message("A tenth less pressure"),
            part,
            _paced(fleet, part, "pressure", math.log(0.9)) / 0.9,
            proportion,
        ),
        _change(
            Message("The wet cup kept full, if it has been let run dry"),
            "static-packings",
            WET_CUP * np.exp(WET_CUP_SPREAD * np.linspace(-1.645, 1.645, 201)),
            Message("common practice, no source"),
        ),
    ]
    return (*found, *_milder(day, fleet))


def _milder(day: Exposure, fleet: FleetLives) -> tuple[Change, ...]:
    """What the coating costs, against a moderate one."""
    hard = max(CLASSES, key=lambda c: day.shares.get(c, 0.0))
    if CLASS_FACTOR[hard] <= CLASS_FACTOR["moderate"] or hard not in PLAIN:
        return ()
    effects = fleet.beliefs["moving-packings"].coefficients
    shift = effects[:, 1 + PLAIN.index("moderate")] - effects[:, 1 + PLAIN.index(hard)]
    factors = CLASS_FACTOR[hard] / CLASS_FACTOR["moderate"] * np.exp(shift)
    return (
        _change(
            Message("A moderate coating instead of one that is {hard}", hard=Message(hard)),
            "moving-packings",
            factors,
            Message("class factors, corrected by repairs where there are any"),
        ),
    )


@dataclass(frozen=True)
class TrendReport:
    """Whether this pump's repairs become more frequent for the work it does."""

    verdict: Verdict
    word: str
    why: str
    repairs: int
    chance: Ratio | None
    """Of repairs so crowded without a trend; ``None`` with too few to tell."""


def trend_of(repairs: Sequence[float], end: float) -> TrendReport:
    """Computed from the exposure at each repair, counted from the start of watching until now.

    Laplace's test; the power-law process for how fast. Fewer than four repairs tell nothing.
    """
    inside = [r for r in repairs if 0 < r <= end]
    if len(inside) < 4:
        sentence = Message(
            "{repairs} repairs on record are too few to tell; at least four are needed.",
            repairs=len(inside),
        )
        return TrendReport(Verdict.NOT_PROVEN, Message("not known"), sentence, len(inside), None)
    try:
        trend, fit = laplace(inside, end), fit_power_law(inside, end)
    except (BadInput, NoAnswer) as why:
        return TrendReport(Verdict.NOT_PROVEN, Message("not known"), str(why), len(inside), None)
    sentence = Message(
        "Laplace's statistic is {statistic:.2f}; without a trend such a value occurs "
        "{p_value} of the time. Shape of the process {unbiased_shape:.2f} (above 1: "
        "more and more often).",
        statistic=trend.statistic,
        p_value=chance_text(trend.p_value),
        unbiased_shape=fit.unbiased_shape,
    )
    if trend.p_value < 0.1 and trend.statistic > 0:
        check = Message(
            "Something is wearing this pump: check strainer, coating, pressure and the wet cup."
        )
        return TrendReport(
            Verdict.WATCH, Message("more and more often"), joined(" ", (sentence, check)),
            len(inside), trend.p_value,
        )  # fmt: skip
    if trend.p_value < 0.1:
        return TrendReport(
            Verdict.PASS, Message("less and less often"), sentence, len(inside), trend.p_value
        )
    return TrendReport(Verdict.PASS, Message("no trend"), sentence, len(inside), trend.p_value)


def leanings(left: Sequence[RemainingLife]) -> dict[Fault, Ratio]:
    """How much likelier than usual each wear fault is in this pump now, by what its parts lived.

    Chances of failing within the month, against their geometric mean; a third to three at most.
    A prior for find-the-fault.
    """
    by_part = {r.part: r.month for r in left}
    chances = {
        fault: max(1.0 - math.prod(1.0 - by_part.get(p, 0.0) for p in fault.life_parts), 0.01)
        for fault in FAULTS
        if fault.life_parts
    }
    middle = math.exp(sum(math.log(c) for c in chances.values()) / len(chances))
    return {fault: min(max(c / middle, 1 / 3), 3.0) for fault, c in chances.items()}


def suspicion(
    left: Sequence[RemainingLife], faults: Mapping[Fault, Ratio]
) -> dict[LifePart, Ratio]:
    """Chance that each part has failed already, by the faults found likely: the way back.

    A fault's probability is shared out among the parts that make it, in proportion to how likely
    each is to fail within the month.
    """
    month = {r.part: r.month + 0.01 for r in left}
    found: dict[LifePart, Ratio] = {}
    for fault, probability in faults.items():
        parts = fault.life_parts
        whole = sum(month.get(part, 0.0) for part in parts)
        for part in parts:
            share = probability * month.get(part, 0.0) / whole if whole > 0 else 0.0
            found[part] = 1.0 - (1.0 - found.get(part, 0.0)) * (1.0 - share)
    return found
