r"""A pump's use in the months to come, drawn from the months it has behind it.

A mean day says nothing of the month in which another coating goes through the pump. Each path to
come starts in the month that just ended; the next is the one that once followed a month like it
(with the same class of coating), sooner one of the same season and one of lately:

.. math:: P(j) \propto [c_{j-1} = c_{now}] \; 2^{-a_j/18} \; e^{\cos(2 \pi \Delta_j / 12)}

with a the months ago and Delta the months between its season and the one to come. So runs of a
coating, its return and the season are learned from the pump's own record. Every path has a pace of
its own besides, for what the record is too short to show. Source of the resampling of successors:
U. Lall, A. Sharma, A nearest neighbor bootstrap for resampling hydrologic time series, Water
Resources Research 32 (1996), from memory; the weights are ours.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.exposure import DAYS_A_MONTH, Exposure, row_of
from wetend.units.quantity import Held

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]
LONGEST = 48
"""Months drawn one by one; what lies beyond goes on at each path's mean."""
_HALF = 18.0
"""Months ago that count half as much."""
_MONTH_SPREAD, _MONTHS_WORTH = 0.5, 4.0
"""Spread of a month's wear about the mean before any is seen, and how many months that counts."""
_DRIFT = 0.15
"""Spread of the logarithm of a lasting change of pace."""
_NO_MONTHS_SPREAD = 0.35


@dataclass(frozen=True)
class Ahead:
    """Time, volume and strokes until a part's end, one draw each."""

    days: Annotated[Floats, Held("d")]
    pumped: Floats
    cycles: Floats


@dataclass(frozen=True, eq=False)
class UseToCome:
    """Paths of the use to come, one for every draw."""

    wear: Floats
    """Of each month behind, a day."""
    rows: Floats
    """Months behind by the first covariates of :data:`~wetend.advice.life.records.PLAIN`."""
    path: Whole
    """Draws by months to come: which month behind it is like."""
    pace: Floats
    """Of each draw."""
    poured: Floats
    """Draws by months: pumped by the end of each, from nothing now."""
    cycles: float
    """Cycles a m3."""

    def until(self, left: Floats, x: Floats, coefficients: Floats) -> Ahead:
        """When draws of wear left, counted in terms of covariates x, are used up.

        Args:
            left: wear, one a draw.
            x: covariates that it is counted in, the constant first.
            coefficients: draws by covariates: what each coating, pressure and pace truly does.
        """
        plain = slice(1, 1 + self.rows.shape[1])
        shift = coefficients[:, plain] @ (self.rows - x[plain]).T
        damage = self.wear * np.exp(-shift) * (self.pace[:, None] * DAYS_A_MONTH)
        each = np.take_along_axis(damage, self.path, axis=1)
        worn = np.cumsum(each, axis=1)
        count = worn.shape[1]
        over = worn[:, -1] <= left
        month = np.minimum((worn < left[:, None]).sum(axis=1), count - 1)
        rows = np.arange(len(left))
        here = np.maximum(each[rows, month], 1e-300)
        part = np.clip((left - worn[rows, month] + here) / here, 0.0, 1.0)
        beyond = left / np.maximum(worn[:, -1] / count, 1e-300)
        before, after = self.poured[rows, month], self.poured[rows, month + 1]
        months = np.where(over, beyond, month + part)
        whole = self.poured[:, -1] / count
        pumped = np.where(over, beyond * whole, before + part * (after - before))
        return Ahead(months * DAYS_A_MONTH, pumped, pumped * self.cycles)


def _paces(wear: Floats, read: float, count: int, rng: np.random.Generator) -> Floats:
    """Each path's pace: the readings' error, drift, and how far so few months tell the mean."""
    months = len(wear)
    seen = float(np.var(wear / max(float(wear.mean()), 1e-300)))
    spread = (_MONTHS_WORTH * _MONTH_SPREAD**2 + months * seen) / (_MONTHS_WORTH + months)
    whole = math.sqrt(read**2 + _DRIFT**2 + spread / (months + 1.0))
    return np.asarray(np.exp(whole * rng.standard_normal(count)), dtype=float)


def _weights(classes: Whole) -> Floats:
    """Season to come by class of the month before by month: chances of what comes next."""
    months = len(classes)
    ago = months - 1.0 - np.arange(months)
    season = np.exp(np.cos(2.0 * np.pi * (np.arange(1, 13)[:, None] + ago) / 12.0))
    if months < 13:
        season[:] = 1.0
    before = np.concatenate([[-1], classes[:-1]])
    follows = (before == np.arange(4)[:, None]).astype(float)
    follows[follows.sum(axis=1) == 0] = 1.0  # never seen to be followed: any month may
    chance = season[:, None, :] * (follows + 0.1 / months) * 2.0 ** (-ago / _HALF)
    return np.asarray(chance / chance.sum(axis=2, keepdims=True), dtype=float)


def _paths(classes: Whole, count: int, rng: np.random.Generator) -> Whole:
    marks = np.cumsum(_weights(classes), axis=2)
    marks[..., -1] = 1.0
    uniform = rng.uniform(size=(LONGEST, count))
    now = np.full(count, classes[-1])
    path = np.empty((count, LONGEST), dtype=np.intp)
    for month in range(LONGEST):
        own = marks[month % 12]
        for kind in np.unique(now):
            here = now == kind
            path[here, month] = np.searchsorted(own[kind], uniform[month, here])
        now = classes[path[:, month]]
    return path


def use_to_come(day: Exposure, count: int, *, seed: int = 1) -> UseToCome:
    """Paths of a pump's use, as many as are wanted; the same seed gives the same.

    Where no months are known of it the mean day goes on, at a pace of wide spread.
    """
    rng = np.random.default_rng((seed, 5))
    if day.months is None or not len(day.months):
        spread = max(day.spread, _NO_MONTHS_SPREAD) if day.known <= 0 else day.spread
        pace = np.exp(spread * rng.standard_normal(count))
        wear, pumped, rows = np.array([day.wear]), np.array([day.pumped]), np.array([row_of(day)])
        path = np.zeros((count, LONGEST), dtype=np.intp)
    else:
        wear, pumped, rows = (
            np.asarray(each, dtype=float)
            for each in (day.months[:, 0], day.months[:, 1], day.months[:, 3:])
        )
        shares = np.column_stack([1.0 - rows[:, :3].sum(axis=1), rows[:, :3]])
        path = _paths(np.asarray(np.argmax(shares, axis=1), dtype=np.intp), count, rng)
        pace = _paces(wear, day.read_spread, count, rng)
    poured = np.zeros((count, LONGEST + 1))
    np.cumsum(pumped[path] * (pace[:, None] * DAYS_A_MONTH), axis=1, out=poured[:, 1:])
    a_litre = day.cycles / max(day.pumped, 1e-300)
    return UseToCome(np.maximum(wear, 1e-300), rows, path, pace, poured, a_litre)
