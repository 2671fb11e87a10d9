"""Measure what the budgets promise: the steady stroke model, and the diagnosis posterior.

Each figure stands beside a plain SciPy route to the same answer, timed in the same run on the same
pumps. Run as ``python benchmarks/run.py``; one line a figure, budgets marked.
"""

from __future__ import annotations

import math
import platform
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from wetend.advice.diagnosis import diagnose, predict
from wetend.advice.fault_finding.causes import Cause
from wetend.advice.fault_finding.evidence import Reading, evidence
from wetend.advice.fault_finding.faults import Fault
from wetend.advice.fault_finding.posterior import Cloud, weigh
from wetend.advice.fault_finding.prior import SIZES, Setting
from wetend.advice.pump_physics import described_friction, rated_flow, stroke_parameters
from wetend.physics.hose import hose_loss
from wetend.physics.stroke.behind import COMPILED
from wetend.physics.stroke.parameters import StrokeParameters
from wetend.physics.stroke.steady import steady
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

PUMPS = 200_000
COMPARED = 300
REPEATS = 5
PUMP, COATING = demo_pump("quay-air"), demo_coatings()[0]

Array = NDArray[np.float64]


def _best(work: Callable[[], object]) -> float:
    """Least seconds of a few runs, after one to warm up: what the work takes when left alone."""
    work()
    spent = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def _busy(work: Callable[[], object]) -> float:
    """Least processor seconds of a few runs, all threads: what it takes whoever else is at work."""
    spent = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def _at(value: object, index: int) -> float:
    array = np.asarray(value, dtype=float)
    return float(array if array.ndim == 0 else array[index])


def _leak(parameters: StrokeParameters, index: int, *, up: bool) -> Callable[[float], float]:
    """One pump's leaks at a pressure, each solved from its two resistances, in plain floats."""
    leaks = parameters.leaks
    rates = [
        (_at(r.laminar, index), _at(r.inertial, index))
        for r in (leaks.piston if up else leaks.foot, leaks.static)
    ]

    def leak(pressure: float) -> float:
        ratio = max(pressure / leaks.reference, 1e-12)
        total = 0.0
        for laminar, inertial in rates:
            slow, fast = laminar * ratio**leaks.power, inertial * math.sqrt(ratio)
            total += 2 * slow / (1 + math.sqrt(1 + 4 * (slow / max(fast, 1e-30)) ** 2))
        return total

    return leak


def scipy_speed(setting: Setting, parameters: StrokeParameters, index: int, *, up: bool) -> float:
    """One stroke of one pump by SciPy's Brent, with the hose law itself in place of a table."""
    drive, outlet = parameters.drive, parameters.outlet
    area = parameters.upper_area if up else parameters.rod_area
    force, free = _at(drive.stall_force, index), _at(drive.free_speed, index)
    friction, scale = _at(drive.friction, index), _at(outlet.viscosity, index)
    straight = _at(outlet.filter_resistance, index) + _at(outlet.line_resistance, index)
    nozzle, leak = _at(outlet.nozzle, index), _leak(parameters, index, up=up)
    liquid = type(setting.liquid)(
        setting.liquid.law, setting.liquid.density, setting.liquid.yield_stress * scale,
        setting.liquid.consistency * scale, setting.liquid.index,
    )  # fmt: skip

    def pressure(speed: float) -> float:
        return max(force * (1 - (speed / free) ** 2) - friction, 0.0) / area

    def surplus(speed: float) -> float:
        left = pressure(speed)
        flow = max(area * speed - leak(left), 0.0)
        hose = sum(float(hose_loss(liquid, flow, h.bore, h.length)) for h in setting.pump.hose)
        return hose + (straight + nozzle * flow) * flow - left

    return float(brentq(surplus, 0.0, free, xtol=1e-12, rtol=1e-10))


def stroke_model() -> None:
    """Evaluations a second, and how far from SciPy's answers."""
    rng, setting = np.random.default_rng(5), Setting(PUMP, COATING, None, None)
    z = rng.standard_normal((PUMPS, SIZES))
    present = rng.random((PUMPS, len(Cause))) < 0.2
    present[:, Cause.STARVED] = False
    condition = setting.condition(z, present)
    parameters = stroke_parameters(PUMP, setting.liquid, condition, table=setting.table)
    spent = _best(lambda: steady(parameters))
    state = steady(parameters)
    start = time.perf_counter()
    by_scipy = np.array(
        [[scipy_speed(setting, parameters, i, up=up) for up in (True, False)]
         for i in range(COMPARED)]
    )  # fmt: skip
    scipy_spent = (time.perf_counter() - start) / COMPARED
    mine = np.stack([state.up.speed[:COMPARED], state.down.speed[:COMPARED]], axis=1)
    off = np.abs(mine / by_scipy - 1)
    print(
        f"steady stroke model, both strokes and stall   {PUMPS / spent / 1e6:8.2f} million pumps/s"
    )
    print(f"  SciPy brentq, the same pumps, spraying only {1 / scipy_spent:8.0f} pumps/s")
    print(f"  ratio                                       {scipy_spent * PUMPS / spent:8.0f} times")
    print(f"  speeds differ: median {np.median(off):.1e}, most {off.max():.1e}")


def _posterior(readings: CheckReadings, given: Sequence[Reading], particles: int) -> Cloud:
    setting = Setting.of(PUMP, COATING, readings)
    return weigh(setting, given, particles=particles, seed=1)


def diagnosis() -> None:
    """Time of a posterior, and of a whole answer with its next check and its words."""
    read = predict(PUMP, COATING, leaks={Fault.FOOT_VALVE: 6e-6})
    readings = CheckReadings(
        up_times=(read.up_time,) * 12, down_times=(read.down_time,) * 12,
        spray_pressure=read.spray_pressure, stall_pressure=read.stall_pressure,
        creep_up=read.creep_up, creep_down=read.creep_down, wet_cup="clean",
    )  # fmt: skip
    given = evidence(readings)
    for particles, budget in ((20_000, None), (200_000, 1.0)):
        work = partial(_posterior, readings, given, particles)
        spent, busy = _best(work), _busy(work)
        within = "" if budget is None else f"  budget {budget:.0f} s: {_verdict(spent, budget)}"
        print(
            f"diagnosis posterior, {particles:7,} pumps           {spent * 1e3:8.0f} ms, "
            f"{busy * 1e3:.0f} ms of processor{within}"
        )
    whole = _best(lambda: diagnose(PUMP, COATING, readings))
    print(f"whole diagnosis as a page asks for it         {whole * 1e3:8.0f} ms")


def _verdict(spent: float, budget: float) -> str:
    return "kept" if spent <= budget else "MISSED"


def main() -> None:
    """Print every figure."""
    print(f"Python {sys.version.split()[0]}, NumPy {np.__version__}, {platform.machine()}")
    print(f"filter's rated flow {rated_flow(PUMP) * 6e4:.2f} L/min, friction "
          f"{described_friction(PUMP):.0f} N, pump “{PUMP.key}” with “{COATING.key}”")  # fmt: skip
    COMPILED.get(wait=120.0)
    stroke_model()
    diagnosis()


if __name__ == "__main__":
    main()
