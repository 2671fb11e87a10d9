"""Invented depots with known truth: what the forecasts of life are held to.

The generator shares nothing with the fits but the nouns that people enter: it has its own laws of
life (Weibull, lognormal and gamma), its own spread between depots, coatings, sites and pumps, and
it writes down only what a depot would: litres a month, parts fitted, and why.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from wetend.advice.life.exposure import CLASSES, Duty, Ledger, ledger_of
from wetend.advice.life.prior import MEDIAN_LIFE
from wetend.advice.life.records import Fitted
from wetend.advice.life.wear_factors import CLASS_FACTOR, PACKING_LIFE
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LifePart, Usage

START = date(2020, 1, 1)
PART: LifePart = "moving-packings"
MONTHS = 240


@dataclass
class Truth:
    """What nobody in the depot knows."""

    law: str
    middle: float
    """Median life, m Pa, of a mild coating at 200 bar."""
    shape: float
    effect: dict[str, float]
    """Log of what each class truly does beyond its factor."""
    pace_exponent: float

    def middle_at(self, kind: str, rate: float, site: float) -> float:
        """Median wear life in one use."""
        return self.middle * math.exp(
            self.effect[kind] + site + self.pace_exponent * math.log(rate / 0.4)
        )

    def life(self, rng: np.random.Generator, middle: float) -> float:
        """One life."""
        if self.law == "weibull":
            return float(middle / math.log(2) ** (1 / self.shape) * rng.weibull(self.shape))
        if self.law == "lognormal":
            return float(middle * math.exp(rng.normal(0.0, 1.2 / self.shape)))
        k = self.shape**1.5
        median = k * (1 - 1 / (9 * k)) ** 3  # Wilson and Hilferty's cube
        return float(middle * rng.gamma(k) / median)


def invented_truth(rng: np.random.Generator) -> Truth:
    """A depot's truth: within a factor of three of the prior's middle, any of three laws."""
    return Truth(
        law=str(rng.choice(["weibull", "lognormal", "gamma"])),
        middle=PACKING_LIFE * MEDIAN_LIFE[PART] * math.exp(rng.uniform(-math.log(3), math.log(3))),
        shape=float(rng.uniform(1.3, 4.0)),
        effect={c: 0.0 if c == "mild" else float(rng.normal(0.0, 0.3)) for c in CLASSES},
        pace_exponent=float(rng.uniform(-0.6, 0.1)),
    )


@dataclass
class Worked:
    """One pump as it worked, and the record of it."""

    key: str
    pump: Pump
    duty: Duty
    site: float
    pumped: np.ndarray
    """Truly pumped in each month, m3."""
    usages: list[Usage] = field(default_factory=list)
    fitted: list[Fitted] = field(default_factory=list)
    sound: list[date] = field(default_factory=list)
    events: list[tuple[int, str]] = field(default_factory=list)
    """Days and endings of true lives."""
    true_ends: dict[int, int] = field(default_factory=dict)
    """Day of the true failure, by the day it was found."""

    def wear_a_litre(self) -> float:
        """m Pa as of a mild coating, a m3."""
        each = 2 * self.pump.stroke / (self.pump.displacement * 0.93)
        return each * self.duty.pressure * CLASS_FACTOR[self.duty.abrasiveness]

    def wear_by_day(self) -> np.ndarray:
        """True wear at the end of each day."""
        daily = np.repeat(self.pumped / 30.0, 30) * self.wear_a_litre()
        return np.concatenate([[0.0], np.cumsum(daily)])


def invented_pump(rng: np.random.Generator, number: int) -> Worked:
    """A pump of either build with a use of its own."""
    pump = demo_pump(str(rng.choice(["quay-air", "yard-hydraulic"])))
    kind = CLASSES[int(rng.integers(0, 4))]
    duty = Duty(float(rng.uniform(150e5, 280e5)), float(rng.uniform(0.2, 0.7)), kind)
    middle = PACKING_LIFE / (2 * pump.stroke / pump.displacement) / duty.pressure
    a_month = middle / CLASS_FACTOR[kind] / rng.uniform(5.0, 16.0)
    swings = np.exp(rng.normal(0.0, 0.2, MONTHS))
    return Worked(f"pump-{number}", pump, duty, float(rng.normal(0.0, 0.2)), a_month * swings)


def write_down(
    rng: np.random.Generator, worked: Worked, truth: Truth, part: LifePart = PART
) -> None:
    """Live a part's lives and note down what a depot would."""
    wear = worked.wear_by_day()
    middle = truth.middle_at(worked.duty.abrasiveness, worked.duty.rate, worked.site)
    worked.fitted.append(Fitted(part, START, "first fitted"))
    age_day = 0
    while True:
        end = wear[age_day] + truth.life(rng, middle)
        day = int(np.searchsorted(wear, end))
        if day >= len(wear) - 1:
            return
        failed = day
        planned = rng.uniform() < 0.15
        if planned:
            day = age_day + max(1, int((day - age_day) * rng.uniform(0.3, 1.0)))
            why = "planned"
        elif rng.uniform() < 0.35:
            look = min(day + int(rng.integers(3, 40)), len(wear) - 2)
            day, why = look, "found worn"
        else:
            why = "worn out"
        day = max(day, age_day + 1)
        worked.fitted.append(Fitted(part, START + timedelta(days=day), why))
        worked.sound.append(START + timedelta(days=day))
        worked.events.append((day, why))
        worked.true_ends[day] = failed
        age_day = day


def note_use(rng: np.random.Generator, worked: Worked, until: int) -> Ledger:
    """The ledger as of a day: pumped read to a few per cent, one month in ten forgotten."""
    usages = []
    for month in range(until // 30):
        first = START + timedelta(days=30 * month)
        if rng.uniform() < 0.1:
            continue
        read = worked.pumped[month] * math.exp(rng.normal(0.0, 0.06))
        usages.append(Usage(first=first, last=first + timedelta(days=29), pumped=float(read),
                            coating="own"))  # fmt: skip
    return ledger_of(
        worked.pump, usages, {"own": worked.duty}, first=START,
        last=START + timedelta(days=until), usual=worked.duty,
    )  # fmt: skip
