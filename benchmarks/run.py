"""Measure what the budgets promise: the steady stroke model, the posterior and the next check.

Run as ``python benchmarks/run.py``; one line a figure, budgets marked.
"""

from __future__ import annotations

import platform
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
import steady_model

from wetend.advice.diagnosis.causes import NOTHING_KNOWN
from wetend.advice.diagnosis.checks import known_keys
from wetend.advice.diagnosis.diagnose import diagnose, predict
from wetend.advice.diagnosis.evidence import Reading, evidence
from wetend.advice.diagnosis.next_check import rank_checks
from wetend.advice.diagnosis.posterior import WeightedSample, weigh
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.faults.tables import FAULT
from wetend.physics.stroke import kernel
from wetend.physics.stroke.kernel import COMPILED
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

REPEATS = 7


def _least(work: Callable[[], object]) -> tuple[float, float]:
    """Least seconds by the clock, and of processor over all threads, of a few runs."""
    work()
    clock, busy = [], []
    for _ in range(REPEATS):
        start, at_work = time.perf_counter(), time.process_time()
        work()
        clock.append(time.perf_counter() - start)
        busy.append(time.process_time() - at_work)
    return min(clock), min(busy)


def _told(what: str, work: Callable[[], object], budget: float | None = None) -> None:
    clock, busy = _least(work)
    kept = "" if budget is None else f"  budget {budget:.0f} s: {_verdict(clock, budget)}"
    print(f"  {what:44s} {clock * 1e3:6.0f} ms, {busy * 1e3:.0f} ms of processor{kept}")


def _verdict(spent: float, budget: float) -> str:
    return "kept" if spent <= budget else "MISSED"


def _readings(pump: Pump, coating: Coating) -> CheckReadings:
    """A leaking foot valve, read in full."""
    read = predict(pump, coating, leaks={FAULT["foot-valve"]: 6e-6})
    return CheckReadings(
        up_times=(read.up_time,) * 12, down_times=(read.down_time,) * 12,
        spray_pressure=read.spray_pressure, stall_pressure=read.stall_pressure,
        creep_up=read.creep_up, creep_down=read.creep_down, wet_cup="clean",
    )  # fmt: skip


def _weighed(
    pump: Pump, coating: Coating, readings: CheckReadings, given: Sequence[Reading], particles: int
) -> WeightedSample:
    setting = Setting.of(pump, coating, readings)
    return weigh(setting, given, particles=particles, seed=1)


def diagnosis(pump: Pump, coating: Coating) -> None:
    """Time of a posterior, of ranking the checks after it, and of a whole answer."""
    readings = _readings(pump, coating)
    given = evidence(readings)
    print(f"{pump.key}, {coating.law} coating:")
    for particles, budget in ((20_000, None), (200_000, 1.0)):
        work = partial(_weighed, pump, coating, readings, given, particles)
        _told(f"posterior, {particles:,} pumps", work, budget)
    cloud, known = work(), known_keys(readings, [r.what.key for r in given])
    _told("ranking the next checks after it",
          lambda: rank_checks(cloud, pump, NOTHING_KNOWN, known), 2.0)  # fmt: skip
    _told("whole diagnosis as a page asks for it", lambda: diagnose(pump, coating, readings))


def main() -> None:
    """Print every figure."""
    print(f"Python {sys.version.split()[0]}, NumPy {np.__version__}, {platform.machine()}")
    COMPILED.loaded()
    sharing = kernel.WORTH_SHARING
    steady_model.main()
    kernel.WORTH_SHARING = sharing
    coatings = {coating.law: coating for coating in demo_coatings()}
    for key in DEMO_PUMPS:
        for law in ("newtonian", "herschel-bulkley"):
            diagnosis(demo_pump(key), coatings[law])


if __name__ == "__main__":
    main()
