"""The steady stroke model: evaluations a second on one core, for every demo pump and coating.

An evaluation is a pump's whole cycle: both strokes solved, both stalls, and what they give
together. Processor time of one thread, the least of many, so that other work on the machine counts
as little as it can. Beside it stands a plain SciPy route to the same speeds, timed and compared in
the same run. Run as ``python benchmarks/steady_model.py``.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq

from wetend.advice.diagnosis.prior import SIZES, Setting
from wetend.advice.faults.tables import CAUSE, CAUSES
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.hose import hose_loss
from wetend.physics.stroke import kernel
from wetend.physics.stroke.kernel import COMPILED
from wetend.physics.stroke.parameters import StrokeParameters
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

PUMPS = 200_000
COMPARED = 100
REPEATS = 25
BUDGET = 2.0
"""Million evaluations a second."""


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


def _drawn(key: str, coating: Coating) -> tuple[Setting, StrokeParameters]:
    """Pumps from the diagnosis's own prior, each fault present in one of five."""
    rng, setting = np.random.default_rng(5), Setting(demo_pump(key), coating, None, None)
    z = rng.standard_normal((PUMPS, SIZES))
    present = rng.random((PUMPS, len(CAUSES))) < 0.2
    present[:, CAUSE["starved"]] = False
    condition = setting.condition(z, present)
    return setting, stroke_parameters(setting.pump, setting.liquid, condition, table=setting.table)


def _least(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Least processor seconds of many runs."""
    work()
    spent = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return min(spent)


def _against_scipy(setting: Setting, parameters: StrokeParameters) -> str:
    """How much slower SciPy is, and how far its speeds are off."""
    start = time.process_time()
    by_scipy = np.array(
        [[scipy_speed(setting, parameters, i, up=up) for up in (True, False)]
         for i in range(COMPARED)]
    )  # fmt: skip
    spent = (time.process_time() - start) / COMPARED
    state = steady(parameters)
    mine = np.stack([state.up.speed[:COMPARED], state.down.speed[:COMPARED]], axis=1)
    off = np.abs(mine / by_scipy - 1)
    return (
        f"SciPy brentq {1 / spent:4.0f}/s without stalls, "
        f"speeds differ by {np.median(off):.0e}, most {off.max():.0e}"
    )


def main() -> None:
    """Print a line a pump and coating."""
    if COMPILED.loaded() is None:
        print("the compiled sums could not be made ready: plain arrays are timed")
    kernel.WORTH_SHARING = PUMPS + 1  # one thread
    print(f"steady stroke model, million evaluations a second on one core (budget {BUDGET:.0f}):")
    slowest = math.inf
    for key in DEMO_PUMPS:
        for coating in demo_coatings():
            setting, parameters = _drawn(key, coating)
            rate = PUMPS / _least(lambda given=parameters: steady(given)) / 1e6
            slowest = min(slowest, rate)
            print(
                f"  {key:14s} {coating.law:16s} {rate:5.2f}  {_against_scipy(setting, parameters)}"
            )
    print(f"  slowest {slowest:.2f}: {'kept' if slowest >= BUDGET else 'MISSED'}")


if __name__ == "__main__":
    main()
