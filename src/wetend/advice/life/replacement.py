r"""Replacement age of least expected cost over the fitted life distributions.

.. math:: C_i(T) = \frac{C_p R_i(T) + C_f (1 - R_i(T))}{\int_0^T R_i\,dt}, \quad
          \min_T \tfrac1n\sum_i C_i(T)

one cost rate for every draw i of the life's law, so that not knowing the law well weighs in. "Run
to failure" is an answer. Source of the cost rate: R. E. Barlow, F. Proschan, Mathematical Theory of
Reliability (1965), chapter 4, from memory; :mod:`wetend.stats.replacement` holds the case of one
known law.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.exposure import Exposure
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.remaining import RemainingLife
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.pump.costs import Costs
from wetend.pump.usage import PART_WORDS, LifePart
from wetend.stats.life.belief import LifeBelief
from wetend.units.message import Message
from wetend.units.quantity import M3, Ratio, unit_of
from wetend.units.show import whole

Floats = NDArray[np.float64]
_AGES, _DRAWS = 48, 200
WORTH: Ratio = 0.02
"""Least saving for which a planned replacement is advised."""
YEAR = 365.25
NEW_YEARS = 8.0
"""Years a new pump serves: common practice, no source."""
BODY: tuple[LifePart, ...] = ("cylinder", "rod")
"""Long-lived parts that come with a new pump; the others wear in a new one as in an old."""


@dataclass(frozen=True)
class BestAge:
    """The age of least cost in one setting of costs."""

    age: float
    """In wear; infinite: run to failure."""
    rate: float
    """Cost a unit of wear at that age."""
    to_failure: float
    """Cost a unit of wear, run to failure."""

    @property
    def saving(self) -> Ratio:
        """Share of the run-to-failure cost saved."""
        return 1.0 - self.rate / self.to_failure if self.to_failure > 0 else 0.0


@dataclass(frozen=True)
class ReplaceWhen:
    """What to do with one part."""

    part: LifePart
    title: str
    verdict: Verdict
    advice: str
    age: M3 | None
    """Pumped at which to replace it by plan; ``None``: run to failure."""
    along: M3 | None
    """Pumped from which to replace it while the pump is open anyway."""
    year: float
    """Cost a year under the advice."""
    year_to_failure: float
    saving: Ratio
    if_half: M3 | None
    """The age if a failure cost half as much more than a planned repair."""
    if_double: M3 | None


@dataclass(frozen=True)
class RepairOrNew:
    """Whether to keep repairing this pump or buy a new one."""

    verdict: Verdict
    word: str
    why: str
    year: float
    """Cost of repairs a year, run on as advised."""


def _rates(belief: LifeBelief, x: Floats) -> tuple[Floats, Floats, Floats]:
    """Ages, and for every age and draw: reliability, and life lived by it."""
    medians = np.median(belief.medians(x))
    ages = float(medians) * np.geomspace(0.03, 6.0, _AGES)
    every = max(len(belief.scales) // _DRAWS, 1)
    thin = belief.some(np.arange(len(belief.scales)) % every == 0)
    alive = np.exp(thin.log_survival(ages[:, None], x))
    steps = np.diff(ages, prepend=0.0)[:, None]
    before = np.vstack([np.ones(alive.shape[1]), alive[:-1]])
    return ages, alive, np.cumsum(steps * (alive + before) / 2.0, axis=0)


def _best(paths: tuple[Floats, Floats, Floats], planned: float, unplanned: float) -> BestAge:
    ages, alive, lived = paths
    rates = ((planned * alive + unplanned * (1.0 - alive)) / lived).mean(axis=1)
    never = float((unplanned / lived[-1]).mean())
    place = int(np.argmin(rates))
    if place >= len(ages) - 1 or rates[place] >= never * (1.0 - WORTH):
        return BestAge(math.inf, never, never)
    return BestAge(float(ages[place]), float(rates[place]), never)


def best_age(belief: LifeBelief, x: Floats, *, planned: float, unplanned: float) -> BestAge:
    """The least-cost age of a part at covariates x, in wear.

    The lived-out mean is cut at six medians: what lies beyond costs next to nothing.
    """
    return _best(_rates(belief, x), planned, unplanned)


def replace_when(
    fleet: FleetLives, x: Floats, day: Exposure, costs: Costs, part: LifePart
) -> ReplaceWhen:
    """The advice for one part at a pump's use, with its sensitivity to the cost of a failure."""
    paths = _rates(fleet.beliefs[part], x)
    planned, unplanned = costs.planned(part), costs.unplanned(part)
    best = _best(paths, planned, unplanned)
    extra = max(unplanned - planned, 0.0)
    along = _best(paths, costs.along(part), unplanned)
    half = _best(paths, planned, planned + extra / 2.0)
    double = _best(paths, planned, planned + extra * 2.0)
    litres, year = day.pumped / max(day.wear, 1e-300), day.wear * YEAR

    def pumped(found: BestAge) -> M3 | None:
        return None if math.isinf(found.age) else found.age * litres

    run = math.isinf(best.age)
    return ReplaceWhen(
        part=part, title=PART_WORDS[part], verdict=Verdict.KEEP if run else Verdict.WATCH,
        advice=Message("Run to failure") if run else Message("Replace by plan"), age=pumped(best),
        along=pumped(along), year=best.rate * year, year_to_failure=best.to_failure * year,
        saving=best.saving, if_half=pumped(half), if_double=pumped(double),
    )  # fmt: skip


def open_anyway(left: Sequence[RemainingLife], when: Sequence[ReplaceWhen]) -> tuple[LifePart, ...]:
    """Parts worth replacing now if the pump is opened today."""
    along = {w.part: w.along for w in when}
    return tuple(
        r.part
        for r in left
        if r.used is not None and (limit := along.get(r.part)) is not None and r.used >= limit
    )


def repair_or_new(when: Sequence[ReplaceWhen], costs: Costs) -> RepairOrNew:
    """Whether a new pump of the same build pays for itself by what it saves in repairs.

    It wears its packings and valves as the old one does; it saves the cylinder and the rod, and it
    is taken to serve eight years (common practice, no source).
    """
    year = sum(w.year for w in when)
    saved = sum(w.year for w in when if w.part in BODY)
    price = costs.new_pump / NEW_YEARS
    sentence = Message(
        "Repairs cost about {year} a year. A new pump of the same build would save "
        "the cylinder and the rod, about {saved} of it, and costs {price} a year "
        "over {new_years:.0f} years. A bigger pump saves on everything: see what "
        "would change it.",
        year=whole(year),
        saved=whole(saved),
        price=whole(price),
        new_years=NEW_YEARS,
    )
    if saved > 1.5 * price:
        return RepairOrNew(Verdict.REPLACE, Message("a new pump pays"), sentence, year)
    if saved > price:
        return RepairOrNew(Verdict.WATCH, Message("about even"), sentence, year)
    return RepairOrNew(Verdict.KEEP, Message("keep repairing"), sentence, year)


def working_of(when: ReplaceWhen, costs: Costs) -> Working:
    """The working of one part's age."""
    litres = unit_of(M3)
    ratio = costs.unplanned(when.part) / max(costs.planned(when.part), 1e-9)
    plain = unit_of(Ratio)
    return Working(
        title=Message("when to replace the {title}", title=when.title),
        formula="min over T of mean of [Cp R(T) + Cf (1 - R(T))] / int_0^T R",
        given=(
            Figure(Message("planned"), costs.planned(when.part), plain, "Cp"),
            Figure(Message("failed at work"), costs.unplanned(when.part), plain, "Cf"),
            Figure(Message("failure over planned"), ratio, plain, "Cf/Cp"),
        ),
        result=(
            Figure(
                Message("replace at"), when.age if when.age is not None else math.inf, litres, "T"
            ),
            Figure(Message("saving over run to failure"), 100 * when.saving, plain, "%"),
        ),
        source="R. E. Barlow, F. Proschan, Mathematical Theory of Reliability (1965), ch. 4",
        validity=Message(
            "A part fitted is as good as the last new one; use continues as recently."
        ),
    )
