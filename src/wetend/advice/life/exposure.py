r"""Exposure of a pump's parts: sliding distance times pressure times abrasiveness.

.. math:: W = \sum_{days} 2 S \, n \, p \, k

S stroke, n cycles of the day, p the pump's pressure with that day's coating, k the factor of its
class of abrasiveness. Cycles come from the counter, from litres, from hours at work or from the
area coated, whichever is the most direct; days nothing was entered for are filled with the pump's
own mean day, widely, and the answer says so. Common practice, no source: the factors and spreads
here are ours and rough; the factors are corrected as repairs come
(:mod:`wetend.advice.life.remaining`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.wear_factors import CLASS_FACTOR
from wetend.advice.pump_physics import liquid_of
from wetend.advice.working_point import middle_pressure, working_point
from wetend.errors import NoAnswer
from wetend.pump.coating import Abrasiveness, Coating
from wetend.pump.description import Pump
from wetend.pump.usage import Usage
from wetend.units.quantity import M3, CycleRate, Pa, Ratio, SAsDays

Floats = NDArray[np.float64]

CLASSES: tuple[Abrasiveness, ...] = tuple(CLASS_FACTOR)
FILLING: Ratio = 0.93
"""Share of its displacement a working pump delivers a cycle."""
TRIGGER: Ratio = 0.35
"""Share of the hours at work with the gun open."""
LOST: Ratio = 0.25
"""Share of what is sprayed that does not stay on the work (overspray, hose, tin)."""
MIDDLE_PRESSURE: Pa = 200e5
"""Taken where neither gauge nor coating is known."""
MIDDLE_RATE: CycleRate = 0.4
"""Cycles a second with the gun open, taken where no coating is known."""
USUAL_DAY: M3 = 0.03
"""Pumped in a calendar day where nothing at all is known of a pump: about 200 litres a week."""
SPREADS: dict[str, Ratio] = {"cycles": 0.03, "pumped": 0.08, "at_work": 0.4, "area": 0.3}
"""Standard deviation of the logarithm, by what was entered."""
GAP_SPREAD, UNKNOWN_SPREAD, PRESSURE_SPREAD = 0.6, 1.0, 0.12
_WEAR = 5
"""Where the columns of wear by class begin in a ledger's totals."""


@dataclass(frozen=True)
class Duty:
    """A pump at work with one coating: what a cycle costs its parts."""

    pressure: Pa
    rate: CycleRate
    abrasiveness: Abrasiveness
    build: Ratio = 0.0
    """Wet litres a square metre, with what is lost."""


@dataclass(frozen=True)
class Exposure:
    """Exposure between two days."""

    wear: float
    """m Pa, as of a mild coating."""
    pumped: M3
    cycles: float
    time: SAsDays
    spread: Ratio
    """Standard deviation of the logarithm of ``wear``."""
    shares: Mapping[Abrasiveness, Ratio]
    """Of the wear, by class."""
    pressure: Pa
    rate: CycleRate
    known: Ratio
    """Share of the days that something was entered for."""
    read_spread: Ratio = 0.0
    """Of a mean day: standard deviation of the logarithm of its wear by what was read alone."""
    months: NDArray[np.float32] | None = field(default=None, compare=False, repr=False)
    """Of a mean day: the months behind it, the last last, by wear, volume and cycles a day and the
    covariates of :mod:`wetend.advice.life.records`; none where no use was entered."""


@dataclass(frozen=True)
class Ledger:
    """A pump's days from its first to its last, as running totals."""

    first: date
    last: date
    totals: Floats
    """Days by what is summed: cycles, variance, days known, cycles times pressure, cycles times
    rate, and wear by class."""
    displacement: M3
    usual: Exposure = field(repr=False)
    """A mean calendar day of the last while."""

    def between(self, start: date, end: date) -> Exposure:
        """What the pump did from the end of one day to the end of another."""
        a, b = self._place(start), self._place(end)
        spent: list[float] = (self.totals[b] - self.totals[a]).tolist()
        cycles, variance, known, stressed, paced, *by_class = spent
        wear = sum(by_class)
        return Exposure(
            wear=wear,
            pumped=cycles * self.displacement * FILLING,
            cycles=cycles,
            time=float(max((end - start).days, 0)) * 86400.0,
            spread=min(math.sqrt(variance) / wear, 1.2) if wear > 0 else 0.0,
            shares={c: w / wear if wear > 0 else 0.0
                    for c, w in zip(CLASSES, by_class, strict=True)},
            pressure=stressed / cycles if cycles > 0 else MIDDLE_PRESSURE,
            rate=paced / cycles if cycles > 0 else MIDDLE_RATE,
            known=known / max(b - a, 1),
        )  # fmt: skip

    def _place(self, day: date) -> int:
        return min(max((day - self.first).days, 0), len(self.totals) - 1)


def duty_with(pump: Pump, coating: Coating) -> Duty:
    """The duty of a pump with a coating at the middle of its range of pressure.

    A coating whose flow can't be computed is taken at the middle pressure without hose loss.
    """
    build = coating.dry_film / coating.volume_solids / (1.0 - LOST)
    try:
        point = working_point(pump, liquid_of(coating), nozzle_pressure=middle_pressure(coating))
    except NoAnswer:
        return Duty(middle_pressure(coating), MIDDLE_RATE, coating.abrasiveness, build)
    return Duty(point.pump_pressure, point.cycle_rate, coating.abrasiveness, build)


def _duty(usage: Usage, duties: Mapping[str, Duty], usual: Duty) -> Duty:
    duty = duties.get(usage.coating or "", usual)
    return Duty(
        usage.pressure or duty.pressure,
        duty.rate,
        usage.abrasiveness or duty.abrasiveness,
        duty.build,
    )


def _cycles(usage: Usage, duty: Duty, displacement: M3) -> tuple[float, Ratio, int]:
    """Cycles over the days of a usage, their spread, and how direct the reading is."""
    if usage.cycles is not None:
        return usage.cycles, SPREADS["cycles"], 0
    delivered = displacement * FILLING
    if usage.pumped is not None:
        return usage.pumped / delivered, SPREADS["pumped"], 1
    if usage.at_work is not None:
        return usage.at_work * TRIGGER * duty.rate, SPREADS["at_work"], 2
    area: float = usage.area or 0.0
    return area * (duty.build or 2e-4) / delivered, SPREADS["area"], 3


class _Days:
    """A pump's days while they are being filled in."""

    def __init__(self, first: date, last: date) -> None:
        self.first = first
        self.count = max((last - first).days, 1)
        self.cycles = np.zeros(self.count)
        self.spread = np.zeros(self.count)
        self.rank = np.full(self.count, 9)
        self.pressure = np.full(self.count, MIDDLE_PRESSURE)
        self.pace = np.full(self.count, MIDDLE_RATE)
        self.kind = np.full(self.count, CLASSES.index("moderate"))

    def put(self, usage: Usage, duty: Duty, displacement: M3) -> None:
        """Spread a usage evenly over its days, where nothing more direct is entered."""
        cycles, spread, rank = _cycles(usage, duty, displacement)
        own = (usage.last - usage.first).days + 1
        a = (usage.first - self.first).days
        where = slice(max(a, 0), max(min(a + own, self.count), 0))
        better = self.rank[where] > rank
        for days, value in (
            (self.cycles, cycles / own), (self.spread, spread), (self.rank, rank),
            (self.pressure, duty.pressure), (self.pace, duty.rate),
            (self.kind, CLASSES.index(duty.abrasiveness)),
        ):  # fmt: skip
            days[where][better] = value

    def fill(self, usual: Duty, displacement: M3) -> None:
        """Fill the days nothing was entered for: the pump's mean day, of the coating before."""
        gap, known = self.rank == 9, self.rank < 9
        day = float(self.cycles[known].mean()) if known.any() else (
            USUAL_DAY / (displacement * FILLING)
        )  # fmt: skip
        self.cycles[gap] = day
        self.spread[gap] = GAP_SPREAD if known.any() else UNKNOWN_SPREAD
        if not known.any():
            self.pressure[:], self.pace[:] = usual.pressure, usual.rate
            self.kind[:] = CLASSES.index(usual.abrasiveness)
            return
        before = np.maximum.accumulate(np.where(known, np.arange(self.count), -1))
        near = np.where(before < 0, int(np.argmax(known)), before)[gap]
        for each in (self.pressure, self.pace, self.kind):
            each[gap] = each[near]


def ledger_of(
    pump: Pump,
    usages: Sequence[Usage],
    duties: Mapping[str, Duty],
    *,
    first: date,
    last: date,
    usual: Duty | None = None,
) -> Ledger:
    """A pump's days from what was entered of its use.

    Args:
        pump: as described.
        usages: in any order; where two speak of one day, the more direct counts.
        duties: what a cycle costs, by the key of the coating (:func:`duty_with`).
        first: the day it began.
        last: today.
        usual: for days and usages of unknown coating.
    """
    middle = usual or Duty(MIDDLE_PRESSURE, MIDDLE_RATE, "moderate")
    days = _Days(first, last)
    for usage in usages:
        days.put(usage, _duty(usage, duties, middle), pump.displacement)
    days.fill(middle, pump.displacement)
    factor = np.array([CLASS_FACTOR[c] for c in CLASSES])[days.kind]
    wear = 2.0 * pump.stroke * days.cycles * days.pressure * factor
    # days of one kind of reading err together: variances of runs of 30 days are added, not of days
    totals = np.zeros((days.count + 1, _WEAR + len(CLASSES)))
    each = totals[1:]
    each[:, 0] = days.cycles
    each[:, 1] = wear * wear * (days.spread * days.spread + PRESSURE_SPREAD**2) * 30.0
    each[:, 2] = days.rank < 9
    each[:, 3] = days.cycles * days.pressure
    each[:, 4] = days.cycles * days.pace
    each[np.arange(days.count), _WEAR + days.kind] = wear
    np.cumsum(each, axis=0, out=each)
    last = first + timedelta(days=days.count)
    bare = Ledger(first, last, totals, pump.displacement, usual=_NOTHING)
    return replace(bare, usual=_usual_day(bare))


_NOTHING = Exposure(0.0, 0.0, 0.0, 0.0, 0.0, {}, MIDDLE_PRESSURE, MIDDLE_RATE, 0.0)
LATELY = 120
"""Days whose mean says what the pump does now."""
DAYS_A_MONTH = 30
_MONTHS = 36
"""Months behind that what is to come is drawn from."""


def row_of(exposure: Exposure) -> tuple[float, ...]:
    """Covariates of an exposure, as in :data:`wetend.advice.life.records.PLAIN`."""
    shares = exposure.shares
    return (
        shares.get("moderate", 0.0),
        shares.get("abrasive", 0.0),
        shares.get("very abrasive", 0.0),
        math.log(max(exposure.pressure, 1e5) / MIDDLE_PRESSURE),
        math.log(max(exposure.rate, 1e-3) / MIDDLE_RATE),
    )


def _months(ledger: Ledger) -> NDArray[np.float32] | None:
    """The months behind the last day, the first first."""
    days = max((ledger.last - ledger.first).days, 1)
    if not ledger.totals[-1, 2]:
        return None
    step = min(DAYS_A_MONTH, days)
    rows = []
    for back in range(min(days // step, _MONTHS), 0, -1):
        start = ledger.last - timedelta(days=step * back)
        month = ledger.between(start, start + timedelta(days=step))
        spent = (month.wear / step, month.pumped / step, month.cycles / step)
        rows.append((*spent, *row_of(month)))
    return np.array(rows, dtype=np.float32)


def _usual_day(ledger: Ledger) -> Exposure:
    """A mean calendar day of the last 120, with the spread of the months to come."""
    lately = max((ledger.last - ledger.first).days, 1)
    lately = min(lately, LATELY)
    e = ledger.between(ledger.last - timedelta(days=lately), ledger.last)
    return Exposure(
        e.wear / lately, e.pumped / lately, e.cycles / lately, 86400.0,
        math.hypot(e.spread, 0.25), e.shares, e.pressure, e.rate, e.known,
        read_spread=e.spread, months=_months(ledger),
    )  # fmt: skip


def with_duty(day: Exposure, pump: Pump, duty: Duty) -> Exposure:
    """The same day's work with another coating: as many cycles, other pressure, pace and wear."""
    factor = CLASS_FACTOR[duty.abrasiveness]
    a_cycle = 2.0 * pump.stroke * duty.pressure * factor
    changed = replace(
        day, wear=a_cycle * day.cycles, pressure=duty.pressure, rate=duty.rate,
        shares={c: float(c == duty.abrasiveness) for c in CLASSES},
    )  # fmt: skip
    if day.months is None:
        return changed
    months = day.months.copy()
    months[:, 0], months[:, 3:] = a_cycle * months[:, 2], row_of(changed)
    return replace(changed, months=months)
