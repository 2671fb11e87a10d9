"""Which checks to do on a hidden pump, and in what order to open it: ways of going about it, timed.

A way is played on a pump whose state is known to us alone: it pays minutes for each check, reads
what the pump shows with a person's errors, and pays for opening until all that is wrong is right.
What a check carries away by itself need not be opened any more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from wetend.advice.diagnosis.answers import CheckAdvice, Opening
from wetend.advice.diagnosis.causes import Around
from wetend.advice.diagnosis.checks import CHECKS, known_keys
from wetend.advice.diagnosis.evidence import evidence_of
from wetend.advice.diagnosis.hidden import HiddenPump
from wetend.advice.diagnosis.next_check import rank_checks
from wetend.advice.diagnosis.opening import JOBS, job_minutes, opening_order
from wetend.advice.diagnosis.posterior import WeightedSample, weigh
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.diagnosis.reading_off import read_off
from wetend.advice.faults.record import Fault
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.units.quantity import Minutes

PARTICLES = 4000
MOST_CHECKS = 12


MINUTES: dict[CheckKey, Minutes] = {check.key: check.minutes for check in CHECKS}
"""Minutes of each check."""


@dataclass(frozen=True, eq=False)
class Stand:
    """What is believed with some readings taken: chances, checks left, order of opening."""

    cloud: WeightedSample
    checks: tuple[CheckAdvice, ...]
    openings: tuple[Opening, ...]
    minutes_to_fixed: Minutes


@dataclass(frozen=True)
class Asked:
    """Where a pump is asked about: its description, coating and tools."""

    pump: Pump
    coating: Coating
    around: Around

    def stand(
        self, fields: dict[str, Any], done: Sequence[CheckKey] = (), *, particles: int = PARTICLES
    ) -> Stand:
        """What is believed with these readings; none is the prior alone."""
        readings = CheckReadings(**fields, could_not=tuple(dict.fromkeys(done)))
        given = evidence_of(readings)
        setting = Setting.of(self.pump, self.coating, readings, self.around)
        cloud = weigh(setting, given, particles=particles, seed=1)
        known = known_keys(readings, [r.what.key for r in given])
        openings, to_fixed = opening_order(cloud, self.pump, self.around)
        checks = rank_checks(cloud, self.pump, self.around, known)
        return Stand(cloud, checks, openings, to_fixed)


@dataclass(frozen=True)
class PolicyRun:
    """A way played to its end."""

    checks: tuple[CheckKey, ...]
    jobs: tuple[int, ...]
    checking_minutes: Minutes
    opening_minutes: Minutes

    @property
    def minutes(self) -> Minutes:
        """All of it."""
        return self.checking_minutes + self.opening_minutes


def jobs_for(faults: Sequence[Fault]) -> set[int]:
    """Jobs that these faults need."""
    return {k for k, job in enumerate(JOBS) if set(job.faults) & set(faults)}


def job_number(opening: Opening) -> int:
    """Which job an opening is."""
    return next(k for k, job in enumerate(JOBS) if job.title == opening.title)


def opened_until_right(
    order: Sequence[int], faults: Sequence[Fault], asked: Asked
) -> tuple[tuple[int, ...], Minutes]:
    """Jobs done in this order until all that is wrong is right, and their minutes."""
    table = job_minutes(asked.pump, asked.around, range(len(JOBS)))
    wanted, done, minutes = jobs_for(faults), 0, 0.0
    jobs: list[int] = []
    for job in order:
        if wanted <= set(jobs):
            break
        minutes += float(table[done, job])
        done |= 1 << job
        jobs.append(job)
    return tuple(jobs), minutes


class Trial:
    """A hidden pump being checked; what a check carries away is gone from the next one on."""

    _KEYS = tuple(c.key for c in sorted(CHECKS, key=lambda c: c.clears))
    """Checks that clear came later: last, so that the others read as they did before."""

    def __init__(self, pump: HiddenPump, seed: int) -> None:
        self.pump, self.seed = pump, seed

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is still wrong with it."""
        return self.pump.faults

    def read(self, check: CheckKey) -> dict[str, Any]:
        """What a check reads, a person's errors in it: the same whenever it is done on one pump.

        Raises:
            NoAnswer: the pump does not stroke.
        """
        rng = np.random.default_rng([self.seed, self._KEYS.index(check)])
        found = read_off([check], self.pump.in_time, rng)
        self.pump = self.pump.after(found)
        return found


def play_best(
    asked: Asked, pump: HiddenPump, *, seed: int, particles: int = PARTICLES
) -> PolicyRun:  # fmt: skip
    """Always the check worth most a minute, until opening is worth more than asking."""
    trial, fields = Trial(pump, seed), asked_at(asked)
    done: list[CheckKey] = []
    stand = asked.stand(fields, done, particles=particles)
    while stand.checks and stand.checks[0].worth and len(done) < MOST_CHECKS:
        check = _key(stand.checks[0].key)
        fields |= trial.read(check)
        done.append(check)
        stand = asked.stand(fields, done, particles=particles)
    return opened_in_order(asked, trial, stand, done)


def opened_in_order(
    asked: Asked, trial: Trial, stand: Stand, checks: Sequence[CheckKey]
) -> PolicyRun:
    """What it takes to put the pump right once these checks are done and no more are asked."""
    order = [job_number(opening) for opening in stand.openings]
    jobs, opening = opened_until_right(order, trial.faults, asked)
    return PolicyRun(tuple(checks), jobs, sum(MINUTES[c] for c in checks), opening)


def asked_at(asked: Asked) -> dict[str, Any]:
    """Readings before any check: the coating's own temperature."""
    return {"temperature": asked.coating.temperature}


def _key(name: str) -> CheckKey:
    return next(key for key in MINUTES if key == name)
