"""Hold the diagnosis to account: are its chances and sizes right, and does it save time?

1. Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari and Gelman, "Validating
   Bayesian inference algorithms with simulation-based calibration", arXiv 1804.06788, 2018): pumps
   from the prior, readings from the likelihood, ranks of the true leaks in the posterior. Tests
   the sums.
2. Pumps played by the model in time and read as people read: reliability, Brier score, ranking,
   false alarms, two faults at once. Tests the answer, with all that the steady model leaves out.
3. Minutes to fixed, by the next-check advice and by a fixed textbook round, on the same pumps.

Run as ``python benchmarks/calibration.py [--share 1.0] [--write]``; ``--write`` puts the figures
into ``docs/diagnosis.md`` and draws ``docs/reliability.svg``, part by part as they come. Over 2,000
pumps at share 1: under twenty minutes of processor, nine by the clock on two quiet cores.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Any

import numpy as np
from calibration_figures import DRAWS, FIGURES, LEAKS, write
from fixed_round import play_fixed

from wetend.advice.diagnosis.causes import NOTHING_KNOWN, chances, combinations_of_causes
from wetend.advice.diagnosis.checks import CHECKS, known_keys
from wetend.advice.diagnosis.evidence import Reading, evidence_of
from wetend.advice.diagnosis.hidden import HiddenPump
from wetend.advice.diagnosis.next_check import rank_checks
from wetend.advice.diagnosis.observables import OBSERVABLES, creep_scale, play
from wetend.advice.diagnosis.policy import (
    MOST_CHECKS,
    Asked,
    Trial,
    asked_at,
    jobs_for,
    play_best,
)
from wetend.advice.diagnosis.posterior import WeightedSample, weigh
from wetend.advice.diagnosis.prior import NUISANCES, SIZES, Setting
from wetend.advice.diagnosis.summary import chance
from wetend.advice.faults.record import Cause, Fault, Key
from wetend.advice.faults.tables import CAUSES, DROPS, FAULTS
from wetend.errors import NoAnswer
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

PUMPS, COATINGS = tuple(demo_pump(key) for key in DEMO_PUMPS), demo_coatings()
PARTICLES = 5000
AS_A_PAGE = 20_000
"""Pumps drawn for the ranks: as many as a page draws. With 5,000, few count where a leak is well
read, and the ranks crowd at both ends."""
READ: tuple[Key, ...] = (
    "rhythm", "cycle_rate", "spray_pressure", "stall_pressure", "creep_up", "creep_down",
    "wet_cup", "outside_looked",
)  # fmt: skip
ROUND: tuple[CheckKey, ...] = (
    "wet-cup", "outside", "changeover", "early-drop", "gauge-spray", "gauge-stall", "strokes",
    "creep",
)  # fmt: skip
"""The checks done on every pump for reliability: all the quick ones."""
RUNNING = tuple(c.key for c in CHECKS if "opened" not in c.needs and not c.clears)
"""Every check that opens nothing and leaves the pump as it is."""
SEEN = 0.05
"""Share of the stroke from which the drop of a late or empty cylinder counts as moderate: less
reads as a sound pump, which drops some three hundredths."""
STATIONS: frozenset[CheckKey] = frozenset({"look", "watch"})
"""Checks that put several looks from one place together."""
COUNT = len(FAULTS)
CHECKS_ASKED = 3


def _setting(number: int) -> Setting:
    return Setting(PUMPS[number % 2], COATINGS[number // 2 % 4], None, 293.15)


def _read(key: Key, true: float, rng: np.random.Generator) -> Reading:
    """A reading as the likelihood has it: Student's t of four degrees on the error's scale."""
    what = OBSERVABLES[key]
    if what.unit is None:
        return Reading(what, float(rng.random() < true), 0.0)
    error = float(what.error(np.asarray(true)))
    seen = float(what.scale(np.asarray(true))) + error * float(rng.standard_t(4.0))
    if key.startswith("creep"):
        value = max(math.sinh(seen) / math.sinh(float(creep_scale(np.asarray(1.0)))), 0.0)
    else:
        value = math.exp(seen) if key in ("rhythm", "cycle_rate") else seen
    return Reading(what, value, error)


def sbc_case(number: int) -> list[int]:
    """Ranks of the true leaks among draws from the posterior."""
    rng = np.random.default_rng([1, number])
    setting, rows = _setting(number), combinations_of_causes()
    present = rows[[rng.choice(len(rows), p=chances(setting.coating))]]
    truth = play(setting, rng.standard_normal((1, SIZES)), present)
    given = [_read(key, float(truth.reads[key][0]), rng) for key in READ]
    cloud = weigh(setting, given, particles=AS_A_PAGE, seed=number)
    drawn = rng.choice(len(cloud.weight), size=DRAWS, p=cloud.weight)
    return [_rank(cloud.played.leak[c][drawn], float(truth.leak[c][0]), rng) for c in LEAKS]


def _rank(drawn: np.ndarray, true: float, rng: np.random.Generator) -> int:
    """Place of the truth among draws, ties (a leak that isn't there is nought) by lot."""
    return int(np.sum(drawn < true) + rng.integers(np.sum(drawn == true) + 1))


def _played(
    number: int, stream: int, causes: Sequence[Cause] | None, *, sized: bool
) -> tuple[HiddenPump, Trial] | None:
    rng = np.random.default_rng([stream, number])
    turn = number // COUNT if sized else number  # so that every fault meets every pump
    hidden = HiddenPump.drawn(PUMPS[turn % 2], COATINGS[turn // 2 % 4], rng, causes=causes)
    if sized:  # moderate: from a little under the middle size to one spread over it
        for cause in hidden.causes:
            hidden.z[0, NUISANCES + cause] = rng.uniform(-0.5, 1.0)
    try:
        shown = hidden.in_time
    except NoAnswer:
        return None
    if sized and set(hidden.causes) & set(DROPS) and shown["drop"] < SEEN:
        return None
    return hidden, Trial(hidden, number)


def _order(cloud: WeightedSample) -> list[tuple[Fault, float]]:
    return sorted(((f, chance(cloud, f)) for f in FAULTS), key=lambda item: -item[1])


def _cloud(hidden: HiddenPump, fields: dict[str, object], seed: int) -> WeightedSample:
    readings = CheckReadings.model_validate(fields)
    setting = Setting.of(hidden.pump, hidden.coating, readings)
    return weigh(setting, evidence_of(readings), particles=PARTICLES, seed=seed)


def prior_case(number: int) -> list[tuple[float, bool]] | None:
    """Chance given to every fault of a pump from the prior, and whether it is there."""
    got = _played(number, 2, None, sized=False)
    if got is None:
        return None
    hidden, trial = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in ROUND:
        fields |= trial.read(check)
    return [(p, f in hidden.faults) for f, p in _order(_cloud(hidden, fields, number))]


def _one_fault(number: int) -> tuple[Fault, list[Cause]]:
    """Faults in turn, one of its causes by lot."""
    fault = FAULTS[number % COUNT]
    causes = fault.causes
    rng = np.random.default_rng([30, number])
    return fault, [causes[rng.integers(len(causes))]]


def _places(cloud: WeightedSample, fault: Fault) -> tuple[int, int]:
    """Places of the one true fault, and of the job that mends it."""
    order = [f for f, _ in _order(cloud)]
    jobs = list(dict.fromkeys(next(iter(jobs_for([f]))) for f in order))
    return order.index(fault), jobs.index(next(iter(jobs_for([fault]))))


def _by_telling(hidden: HiddenPump, trial: Trial, checks: Sequence[CheckKey]) -> WeightedSample:
    """What is believed after the three of these checks that each tell most when they are chosen."""
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    done: list[CheckKey] = []
    while True:
        readings = CheckReadings.model_validate({**fields, "could_not": tuple(done)})
        given = evidence_of(readings)
        setting = Setting.of(hidden.pump, hidden.coating, readings)
        cloud = weigh(setting, given, particles=PARTICLES, seed=1)
        if len(done) == CHECKS_ASKED:
            return cloud
        known = known_keys(readings, [r.what.key for r in given])
        ranked = rank_checks(cloud, hidden.pump, NOTHING_KNOWN, known)
        bits = {advice.key: advice.information_bits for advice in ranked}
        best = max((c for c in checks if c in bits), key=lambda c: bits[c])
        fields |= trial.read(best)
        done.append(best)


def single_case(number: int) -> tuple[str, tuple[int, int], tuple[int, int], int] | None:
    """Places of the one true fault and of its job after the best three checks; the same with
    single looks alone; and the fault's place after every running check."""
    fault, causes = _one_fault(number)
    got = _played(number, 3, causes, sized=True)
    if got is None:
        return None
    hidden, trial = got
    single = [c for c in RUNNING if c not in STATIONS]
    whole = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in RUNNING:
        whole |= trial.read(check)
    return (
        fault.title,
        _places(_by_telling(hidden, trial, RUNNING), fault),
        _places(_by_telling(hidden, trial, single), fault),
        _places(_cloud(hidden, whole, number), fault)[0],
    )


def ending_case(number: int) -> tuple[int, int, int] | None:
    """Places of the one true fault and its job when the advice stops asking, and checks done."""
    fault, causes = _one_fault(number)
    got = _played(number, 3, causes, sized=True)
    if got is None:
        return None
    hidden, trial = got
    asked = Asked(hidden.pump, hidden.coating, NOTHING_KNOWN)
    fields, done = asked_at(asked), []
    stand = asked.stand(fields, done)
    while stand.checks and stand.checks[0].worth and len(done) < MOST_CHECKS:
        fields |= trial.read(stand.checks[0].key)
        done.append(stand.checks[0].key)
        stand = asked.stand(fields, done)
    if not trial.faults:  # a check has carried it away: right where no fault is held for likely
        wrong = int(_order(stand.cloud)[0][1] >= 0.5)
        return wrong, wrong, len(done)
    return (*_places(stand.cloud, fault), len(done))


def pair_case(number: int) -> tuple[bool, bool] | None:
    """Whether two faults at once are the first two; and both over one half; quick checks done."""
    rng = np.random.default_rng([40, number])
    rows = combinations_of_causes()
    pairs = [row for row in rows if row.sum() == 2]
    row = pairs[rng.integers(len(pairs))]
    got = _played(number, 4, [c for c in CAUSES if row[c]], sized=True)
    if got is None:
        return None
    hidden, trial = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in RUNNING:
        fields |= trial.read(check)
    order = _order(_cloud(hidden, fields, number))
    first = {f for f, _ in order[:2]}
    return first == set(hidden.faults), all(p >= 0.5 for f, p in order if f in hidden.faults)


def sound_case(number: int) -> tuple[float, bool] | None:
    """The greatest chance given to a fault of a sound pump; and whether it opens the wet end."""
    got = _played(number, 5, (), sized=False)
    if got is None:
        return None
    hidden, trial = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in ROUND:
        fields |= trial.read(check)
    return _order(_cloud(hidden, fields, number))[0][1], False


def policy_case(number: int) -> tuple[float, float, float, float] | None:
    """Minutes to fixed by advice and by the textbook round; and those of checking alone."""
    got = _played(number, 6, None, sized=False)
    if got is None:
        return None
    hidden, _ = got
    asked = Asked(hidden.pump, hidden.coating, NOTHING_KNOWN)
    best = play_best(asked, hidden, seed=number)
    fixed = play_fixed(asked, hidden, seed=number)
    return best.minutes, fixed.minutes, best.checking_minutes, fixed.checking_minutes


def _all(
    work: Callable[[int], object], count: int, pool: ProcessPoolExecutor, first: int
) -> list[object]:
    """Every case of a part, with a bar of how far it is."""
    start, found = time.perf_counter(), []
    for done, case in enumerate(pool.map(work, range(first, first + count), chunksize=4), 1):
        if case is not None:
            found.append(case)
        if done % 20 == 0 or done == count:
            spent = time.perf_counter() - start
            bar = ("#" * (30 * done // count)).ljust(30, ".")
            left = spent / done * (count - done)
            print(f"\r{work.__name__:12} [{bar}] {done}/{count}, {spent:.0f} s, {left:.0f} s left ",
                  end="", file=sys.stderr, flush=True)  # fmt: skip
    print(
        f"\n{work.__name__}: {len(found)} of {count} could be played", file=sys.stderr, flush=True
    )
    return found


PARTS: dict[Callable[[int], object], int] = {
    single_case: 480, sound_case: 300, pair_case: 320, policy_case: 240, prior_case: 900,
    ending_case: 120, sbc_case: 800,
}  # fmt: skip
"""Pumps of each part at share 1."""


def measure(
    share: float, pool: ProcessPoolExecutor, *, first: int, only: Sequence[str], into_docs: bool
) -> dict[str, Any]:
    """Every figure, written as they come."""
    found: dict[str, Any] = {}
    for part, count in PARTS.items():
        if only and part.__name__ not in only:
            continue
        cases = _all(part, max(int(share * count), 12), pool, first)
        found |= FIGURES[part.__name__](cases)
        if into_docs:
            write(found)
    return found


def main() -> None:
    """Measure, print, and write where asked."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--share", type=float, default=1.0, help="of 2,000 pumps")
    parser.add_argument("--write", action="store_true", help="into docs")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--first", type=int, default=0, help="number of the first pump")
    parser.add_argument("--only", nargs="*", default=(), choices=[p.__name__ for p in PARTS])
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.workers) as pool:
        found = measure(
            asked.share, pool, first=asked.first, only=asked.only, into_docs=asked.write
        )
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main()
