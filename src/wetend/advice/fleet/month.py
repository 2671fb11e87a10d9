"""The fleet plan: which pumps are due, their chance of stopping, the saving of a planned visit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.random import SeedSequence
from numpy.typing import NDArray

from wetend.advice.fleet.arrays import Chunk, Policy, Prices
from wetend.advice.fleet.simulation import SimulatedMonths, joined
from wetend.advice.life.exposure import Exposure
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.remaining import DAY, PartNow, interval_of
from wetend.advice.life.replacement import best_age
from wetend.advice.reasons import Interval, Verdict
from wetend.pump.costs import CREW_DOES, LABOUR, Costs
from wetend.pump.usage import LIFE_PARTS, PART_WORDS, LifePart
from wetend.stats.life.belief import log_survival_at
from wetend.units.message import Message
from wetend.units.quantity import M3, Days, Ratio, S, SAsDays

Floats = NDArray[np.float64]
THIN = 64
"""Draws of the fitted distributions that a fleet is calculated with."""
LIKELY, MAYBE = 0.5, 0.2
OPENS = np.array([part not in CREW_DOES for part in LIFE_PARTS])
KIT = np.array(["packings" in p or "ball" in p or "seat" in p for p in LIFE_PARTS])
"""What a service by litres replaces: packings, balls and seats."""
SERVICE: M3 = 3.0
"""Litres between services where the rule is litres, unless given: 3 000."""
CHUNK = 250
YEAR = 365.25


@dataclass(frozen=True)
class FleetPump:
    """One pump as the fleet sees it."""

    key: str
    name: str
    site: str
    day: Exposure
    x: Floats
    parts: tuple[PartNow, ...]
    """In the order of the parts followed."""


@dataclass(frozen=True)
class DueLine:
    """One pump of the month."""

    key: str
    name: str
    site: str
    chance: Ratio
    """Of the pump stopping within the time looked at, the crew's own parts left out."""
    due: date | None
    """Day a planned visit is best; ``None``: none within a year."""
    parts: tuple[str, ...]
    """What to replace then."""
    likeliest: str
    """Part most likely to fail."""
    crew_time: S
    """Crew hours expected to be lost within the time, s."""
    verdict: Verdict
    word: str


@dataclass(frozen=True)
class Outcome:
    """Outcome of one policy over the simulated time, 90 % interval."""

    policy: str
    cost: Interval
    crew_time: Interval
    failures: Interval
    visits: Interval
    parts: dict[LifePart, float]
    against: Interval
    """Cost less that of running to failure; negative saves."""


@dataclass(frozen=True)
class Laws:
    """Sampled life distributions as arrays: parts first, replicas last."""

    coefficients: Floats
    scale: Floats
    weibull: NDArray[np.bool_]

    def location(self, x: Floats) -> Floats:
        """Pumps by parts by replicas: log of the median life."""
        return np.asarray(np.einsum("krc,pc->pkr", self.coefficients, x), dtype=float)


def laws_of(fleet: FleetLives, replicas: int = THIN) -> Laws:
    """Evenly picked draws of every part's belief."""
    picked = []
    for part in LIFE_PARTS:
        belief = fleet.beliefs[part]
        own = np.arange(replicas) * len(belief.scales) // replicas
        picked.append((belief.coefficients[own], belief.scales[own], belief.weibull[own]))
    coefficients, scales, weibull = (np.stack(each) for each in zip(*picked, strict=True))
    return Laws(coefficients, scales, weibull)


@dataclass(frozen=True)
class Ages:
    """Pumps by parts: wear so far in terms of today's use, and its spread."""

    wear: Floats
    spread: Floats


def ages_of(pumps: Sequence[FleetPump], fleet: FleetLives) -> Ages:
    """Ages of all parts of all pumps."""
    wear = np.zeros((len(pumps), len(LIFE_PARTS)))
    spread = np.zeros_like(wear)
    means = {part: fleet.beliefs[part].coefficients.mean(axis=0) for part in LIFE_PARTS}
    for row, pump in enumerate(pumps):
        for column, (part, now) in enumerate(zip(LIFE_PARTS, pump.parts, strict=True)):
            if now.life is not None:
                shift = float(means[part] @ (pump.x - fleet.past(now.life)))
                wear[row, column] = now.life.high * math.exp(shift)
                spread[row, column] = now.life.spread
    return Ages(wear, spread)


def chances(laws: Laws, location: Floats, age: Floats, more: Floats) -> Floats:
    """Pumps by parts: chance of failing within more wear, mean over the laws."""

    def survival(wear: Floats) -> Floats:
        with np.errstate(divide="ignore"):
            z = (np.log(wear)[:, :, None] - location) / laws.scale
        return log_survival_at(z, laws.weibull)

    gone = -np.expm1(survival(age + more) - survival(age))
    return np.asarray(gone.mean(axis=2), dtype=float)


def plan_ages(pumps: Sequence[FleetPump], fleet: FleetLives, costs: Costs) -> tuple[Floats, Floats]:
    """Pumps by parts: wear to replace at by plan, and when open anyway.

    Worked out at the fleet's mean use and carried to each pump's by the mean effects learned.
    """
    x = np.stack([pump.x for pump in pumps])
    middle = x.mean(axis=0)
    plan, along = np.empty((2, len(pumps), len(LIFE_PARTS)))
    for column, part in enumerate(LIFE_PARTS):
        belief = fleet.beliefs[part]
        carried = np.exp((x - middle) @ belief.coefficients.mean(axis=0))
        cost = costs.unplanned(part)
        planned = best_age(belief, middle, planned=costs.planned(part), unplanned=cost).age
        anyway = best_age(belief, middle, planned=costs.along(part), unplanned=cost).age
        plan[:, column], along[:, column] = planned * carried, anyway * carried
    return plan, along


def month(
    pumps: Sequence[FleetPump], fleet: FleetLives, costs: Costs, *, today: date, days: int = 30
) -> tuple[DueLine, ...]:
    """Every pump with its chance of stopping and its best day, the most pressing first."""
    if not pumps:
        return ()
    laws, ages = laws_of(fleet), ages_of(pumps, fleet)
    location = laws.location(np.stack([pump.x for pump in pumps]))
    pace = np.array([max(pump.day.wear, 1e-300) for pump in pumps])
    failing = chances(laws, location, ages.wear, np.repeat(pace[:, None] * days, 10, axis=1))
    plan, along = plan_ages(pumps, fleet, costs)
    plan = np.where(OPENS, plan, math.inf)
    until = np.maximum(plan - ages.wear, 0.0) / pace[:, None]
    lines = []
    for row, pump in enumerate(pumps):
        first = float(until[row].min())
        then = ages.wear[row] + first * pace[row]
        due = then >= plan[row] * (1 - 1e-9)
        taken = (due | ((then >= along[row]) & due.any())) & OPENS
        lines.append(_line(pump, failing[row], first, taken, costs, today))
    order = {Verdict.REPLACE: 0, Verdict.WATCH: 1, Verdict.KEEP: 2}
    return tuple(sorted(lines, key=lambda d: (order[d.verdict], -d.chance, d.key)))


def _line(
    pump: FleetPump, failing: Floats, first: float, taken: NDArray[np.bool_], costs: Costs,
    today: date,
) -> DueLine:  # fmt: skip
    wet = np.where(OPENS, failing, 0.0)
    chance = float(1.0 - np.prod(1.0 - wet))
    standing = np.where(OPENS, costs.standing, 1800.0)
    soon = first <= 30.0
    if chance >= LIKELY:
        verdict, word = Verdict.REPLACE, Message("likely to stop")
    elif chance >= MAYBE or soon:
        verdict, word = Verdict.WATCH, Message("visit due") if soon else Message("may stop")
    else:
        verdict, word = Verdict.KEEP, Message("keep running")
    return DueLine(
        key=pump.key, name=pump.name, site=pump.site, chance=chance,
        due=today + timedelta(days=int(first)) if first <= YEAR else None,
        parts=tuple(PART_WORDS[p] for p, t in zip(LIFE_PARTS, taken, strict=True) if t),
        likeliest=PART_WORDS[LIFE_PARTS[int(np.argmax(wet))]],
        crew_time=float((failing * standing).sum()), verdict=verdict, word=word,
    )  # fmt: skip


def prices_of(costs: Costs) -> Prices:
    """Costs as arrays by part."""
    hour = costs.technician_hour

    def by_part(value: Callable[[LifePart], float]) -> Floats:
        return np.array([value(part) for part in LIFE_PARTS])

    hours = np.where(OPENS, costs.standing, 1800.0)
    labour = by_part(lambda p: 0.0 if p in CREW_DOES else LABOUR[p] * hour)
    failure = hours / 3600.0 * costs.crew_hour + np.where(OPENS, costs.call_out, 0.0)
    return Prices(by_part(costs.price), labour, failure, hours, costs.planned_visit, OPENS)


def policies_of(
    pumps: Sequence[FleetPump], fleet: FleetLives, costs: Costs, *, service: M3 = SERVICE
) -> tuple[Policy, ...]:
    """Run to failure, service every so many litres, and by forecast."""
    shape = (len(pumps), len(LIFE_PARTS))
    never, none = np.full(shape, math.inf), np.full(len(pumps), math.inf)
    plan, along = plan_ages(pumps, fleet, costs)
    per_litre = np.array([p.day.wear / max(p.day.pumped, 1e-12) for p in pumps])
    all_alone = np.ones(len(LIFE_PARTS), dtype=bool)
    return (
        Policy(Message("run to failure"), never, never, none, KIT, alone=all_alone),
        Policy(Message("by litres"), never, never, service * per_litre, KIT, alone=~KIT),
        Policy(Message("by forecast"), plan, along, none, KIT, alone=~OPENS),
    )


def chunks_of(
    pumps: Sequence[FleetPump], laws: Laws, ages: Ages, policies: Sequence[Policy], prices: Prices,
    *, days: Days, seed: int, size: int = CHUNK,
) -> list[Chunk]:  # fmt: skip
    """The fleet cut into chunks; each pump's seed is spawned from the one seed by its place."""
    seeds = SeedSequence(seed).spawn(len(pumps))
    x = np.stack([pump.x for pump in pumps])
    pace = np.array([max(pump.day.wear, 1e-300) for pump in pumps])
    spread = np.array([pump.day.spread for pump in pumps])
    found = []
    for start in range(0, len(pumps), size):
        own = slice(start, start + size)
        cut = tuple(
            replace(p, plan=p.plan[own], along=p.along[own], service=p.service[own])
            for p in policies
        )
        found.append(
            Chunk(
                seeds=tuple(seeds[own]), pace=pace[own], pace_spread=spread[own],
                ages=ages.wear[own], age_spread=ages.spread[own],
                location=laws.location(x[own]), scale=laws.scale, weibull=laws.weibull,
                policies=cut, prices=prices, days=days,
            )
        )  # fmt: skip
    return found


def outcomes(policies: Sequence[str], played: Iterable[SimulatedMonths]) -> tuple[Outcome, ...]:
    """What each policy came to for the whole fleet, by replica, with intervals."""
    whole = joined(list(played))

    def total(values: Floats, place: int) -> Floats:
        return np.asarray(values[place].sum(axis=0), dtype=float)

    base = total(whole.cost, 0)
    return tuple(
        Outcome(
            policy=name, cost=interval_of(total(whole.cost, place)),
            crew_time=interval_of(total(whole.crew_time, place)),
            failures=interval_of(total(whole.failures, place)),
            visits=interval_of(total(whole.visits, place)),
            parts={part: float(n) for part, n in
                   zip(LIFE_PARTS, total(whole.parts, place).mean(axis=0), strict=True)},
            against=interval_of(total(whole.cost, place) - base),
        )
        for place, name in enumerate(policies)
    )  # fmt: skip


def by_site(lines: Sequence[DueLine]) -> tuple[tuple[str, tuple[DueLine, ...]], ...]:
    """Pumps that want something, site by site, the site with most at stake first."""
    groups: dict[str, list[DueLine]] = {}
    for line in lines:
        if line.verdict is not Verdict.KEEP:
            groups.setdefault(line.site or Message("no site given"), []).append(line)
    ranked = sorted(groups.items(), key=lambda g: (-sum(d.crew_time for d in g[1]), g[0]))
    return tuple((site, tuple(own)) for site, own in ranked)


def simulated_time(months: int) -> SAsDays:
    """Months as time."""
    return months * YEAR / 12.0 * DAY
