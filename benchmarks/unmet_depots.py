"""Depots as they are, invented: what the forecast of lives never met while it was made.

Lives are Weibull in litres times abrasiveness, of which the program knows nothing: it counts
sliding distance times pressure. Coatings change from month to month, work follows the season, a
part may be badly fitted, a pump may get worse from one repair to the next, a part may be found worn
at an inspection, and what was in a pump as its record began is of unknown age. Only what people
enter passes to the program: litres a month with the coating, parts fitted and why, proofs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator

from wetend.advice.life.exposure import Duty, Ledger, ledger_of
from wetend.advice.life.records import Fitted, Life, lives_of, since_first
from wetend.advice.life.remaining import PartNow
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LifePart, Usage, Why

START = date(2020, 1, 1)
DAYS = 60 * 360
"""Days lived: so many that all but the longest lives end."""
ROUGH: dict[str, float] = {"mild": 1.0, "moderate": 2.0, "abrasive": 5.0, "very abrasive": 12.0}
"""How many times a litre of each class wears: the table of the trade, from which depots differ."""
LITRES: dict[LifePart, float] = {
    "moving-packings": 42.0, "static-packings": 54.0, "foot-seat": 50.0, "nozzle": 10.5,
}  # fmt: skip
"""Median lives, m3 of a mild coating, that the program's prior stands for: its km at 200 bar, at
the demo pumps' mean litres a km. The truth is this times a depot's level and a part's luck."""
PARTS = tuple(LITRES)


@dataclass(frozen=True)
class Circumstances:
    """What a row of the table is about."""

    pumps: tuple[int, int] = (4, 30)
    level: tuple[float, ...] = (1.0,)
    """The truth over the prior, one of these."""
    changing: float = 0.0
    """Share of months on another coating than the pump's own."""
    season: float = 0.0
    """How far work swings over the year, of its mean."""
    bad: float = 0.0
    """Share of parts badly fitted: they last some ten days."""
    worsening: float = 0.0
    """Share of pumps that get worse from repair to repair."""
    each: float = 0.85
    """Life of a part in such a pump over that of the one before it."""
    young: float = 0.0
    """Virtual age: share of what a pump's parts have lived that the next starts as old as."""
    inspected: float = 0.35
    """Share of failures found at an inspection, days to weeks late."""
    unknown: float = 0.0
    """Share of pumps whose first parts were in before the record began."""
    months: tuple[int, int] = (6, 48)
    """Months on record."""
    fresh: bool = False
    """Whether the forecasts are of parts fitted the day before."""
    unseen: bool = False
    """Whether they are of parts no failure of which the depot has seen."""


@dataclass
class Bench:
    """One pump as it worked."""

    key: str
    usages: list[Usage]
    duties: dict[str, Duty]
    build: str
    damage: np.ndarray
    """By the end of each day, m3 of a mild coating: what lives truly are counted in."""
    bad_days: float
    factor: float
    """Life of a part over that of the one before it."""
    fitted: list[Fitted] = field(default_factory=list)
    sound: list[date] = field(default_factory=list)
    ends: dict[LifePart, list[tuple[int, int, int]]] = field(default_factory=dict)
    """Of each part's lives: day fitted, day truly failed, day replaced."""


@dataclass(frozen=True)
class Truth:
    """What nobody in the depot knows."""

    medians: dict[LifePart, float]
    shapes: dict[LifePart, float]
    factors: dict[str, float]

    def life(self, rng: Generator, part: LifePart, start: float) -> float:
        """Damage borne by a part that starts as old as this."""
        eta = self.medians[part] / math.log(2.0) ** (1.0 / self.shapes[part])
        gone = (start / eta) ** self.shapes[part]
        return float(eta * (gone + rng.exponential()) ** (1.0 / self.shapes[part]) - start)


def truth_of(rng: Generator, how: Circumstances) -> Truth:
    """A depot's own: level, shapes from 1.3 to 4, what each class of coating truly does."""
    level = float(rng.choice(how.level))
    return Truth(
        {p: v * level * math.exp(rng.normal(0.0, 0.35)) for p, v in LITRES.items()},
        {p: float(rng.uniform(1.3, 4.0)) for p in PARTS},
        {c: v if c == "mild" else v * math.exp(rng.normal(0.0, 0.3)) for c, v in ROUGH.items()},
    )  # fmt: skip


def bench_of(rng: Generator, how: Circumstances, truth: Truth, number: int) -> Bench:
    """A pump with its own coating, pace and season, and its use as entered each month."""
    build = str(rng.choice(["quay-air", "yard-hydraulic"]))
    classes = list(ROUGH)
    own = int(rng.integers(0, 4))
    months = DAYS // 30
    kinds = np.full(months, own)
    other = rng.uniform(size=months) < how.changing
    kinds[other] = [int(rng.choice([c for c in range(4) if c != own])) for _ in range(other.sum())]
    mean = 42.0 / ROUGH[classes[own]] / rng.uniform(5.0, 16.0)
    phase, when = rng.uniform(0.0, 2.0 * math.pi), np.arange(months) / 12.0
    swing = 1.0 + how.season * np.sin(2.0 * math.pi * when + phase)
    pumped = mean * swing * np.exp(rng.normal(0.0, 0.25, months))
    worn = pumped * np.array([truth.factors[c] for c in classes])[kinds]
    keys = [c.replace(" ", "-") for c in classes]
    duties = {
        key: Duty(float(rng.uniform(150e5, 260e5)), float(rng.uniform(0.25, 0.6)), c)
        for key, c in zip(keys, classes, strict=True)
    }
    usages = []
    for month in range(how.months[1] + 1):
        first = START + timedelta(days=30 * month)
        if rng.uniform() < 0.9:
            usages.append(Usage(
                first=first, last=first + timedelta(days=29), coating=keys[kinds[month]],
                pumped=float(pumped[month] * math.exp(rng.normal(0.0, 0.06))),
            ))  # fmt: skip
    damage = np.concatenate([[0.0], np.cumsum(np.repeat(worn / 30.0, 30))])
    factor = how.each if rng.uniform() < how.worsening else 1.0
    return Bench(f"pump-{number}", usages, duties, build, damage, 10.0, factor)


def work(rng: Generator, how: Circumstances, truth: Truth, bench: Bench) -> None:
    """Live all parts' lives, and write down what a depot would."""
    unknown, last = rng.uniform() < how.unknown, 30 * (how.months[1] + 1)
    for part in PARTS:
        fitted_on, count, age = 0, 0, 0.0
        used = truth.life(rng, part, 0.0) * rng.uniform() if unknown else 0.0
        if not unknown:
            bench.fitted.append(Fitted(part, START, "first fitted"))
        while fitted_on < last:  # what is fitted after the record ends is nobody's forecast
            lasts = truth.life(rng, part, used + how.young * age) * bench.factor**count
            end = bench.damage[fitted_on] + lasts
            failed = int(np.searchsorted(bench.damage, end))
            if rng.uniform() < how.bad and not (unknown and count == 0):
                failed = min(failed, fitted_on + 1 + int(rng.exponential(bench.bad_days)))
            failed = max(failed, fitted_on + 1)
            out, why = _replaced(rng, how, fitted_on, failed)
            out = max(out, fitted_on + 1)
            bench.ends.setdefault(part, []).append((fitted_on, failed, out))
            if out >= DAYS - 2:
                break
            age += bench.damage[min(failed, out)] - bench.damage[fitted_on]
            bench.fitted.append(Fitted(part, START + timedelta(days=out), why))
            bench.sound.append(START + timedelta(days=out))
            fitted_on, count, used = out, count + 1, 0.0


def _replaced(rng: Generator, how: Circumstances, fitted: int, failed: int) -> tuple[int, Why]:
    if rng.uniform() < 0.15:
        return fitted + max(1, int((failed - fitted) * rng.uniform(0.3, 1.0))), "planned"
    if rng.uniform() < how.inspected:
        return failed + int(rng.integers(2, 30)), "found worn"
    return failed, "worn out"


@dataclass(frozen=True)
class Seen:
    """One pump as the program sees it on a day."""

    bench: Bench
    ledger: Ledger
    lives: tuple[Life, ...]

    def part(self, part: LifePart) -> PartNow:
        """What is known of a part today."""
        own = next((v for v in self.lives if v.part == part and v.ended is None), None)
        if own is not None:
            return PartNow(own)
        return PartNow(since_first(self.bench.key, "", self.ledger, part), assumed=True)


def seen(bench: Bench, today: int) -> Seen:
    """The record as of the end of a day."""
    now = START + timedelta(days=today)
    usages = [u for u in bench.usages if u.last < now]
    pump = demo_pump(bench.build)
    last = bench.duties[usages[-1].coating or "mild"] if usages else bench.duties["moderate"]
    ledger = ledger_of(pump, usages, bench.duties, first=START, last=now, usual=last)
    fitted = [f for f in bench.fitted if f.on <= now]
    sound = [d for d in bench.sound if d <= now]
    return Seen(bench, ledger, lives_of(bench.key, "", ledger, fitted, sound))


def depot_of(rng: Generator, how: Circumstances) -> list[Bench]:
    """A depot's pumps, lived to their end."""
    truth = truth_of(rng, how)
    low, high = (math.log(n) for n in how.pumps)
    count = round(math.exp(rng.uniform(low, high)))
    found = [bench_of(rng, how, truth, number) for number in range(count)]
    for bench in found:
        work(rng, how, truth, bench)
    return found
