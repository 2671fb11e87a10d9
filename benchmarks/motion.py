"""The model in time: how fast a stroke is played, against SciPy's BDF and SUNDIALS CVODE.

    python benchmarks/motion.py

The others get the same compiled right-hand side, Jacobian and guards (see ``other_solvers``), each
over a range of tolerances; times are compared at equal measured error of stroke times and volumes
against SciPy's Radau at 1e-11. CVODE is called through Python for each right-hand side, which costs
it time that a C program would not spend: the counts of right-hand sides stand beside. Processor
time, best of several runs, so that a busy machine tells least. Budgets: 1 ms a stroke, 100 times
BDF, 5 times CVODE, first answer in 3 s.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import other_solvers as others
from numpy.typing import NDArray
from played import play

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.simulation.faults import with_faults
from wetend.advice.simulation.parameters import motion_parameters
from wetend.physics.motion import integrator as run
from wetend.physics.motion import layout as at
from wetend.physics.motion.engines import ENGINES
from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.simulate import DEFAULT_TOLERANCE, integrate
from wetend.physics.motion.start import at_bottom
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

Array = NDArray[np.float64]
PUMP, COATINGS = demo_pump("quay-air"), {c.key: c for c in demo_coatings()}
CYCLES = 4
TARGETS = (1e-4, 1e-5, 1e-6)
OURS = (1e-1, 5e-2, 2e-2, 1e-2, 5e-3, DEFAULT_TOLERANCE, 5e-4, 1e-4, 2e-5, 5e-6, 1e-6)
THEIRS = (3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 1e-5, 1e-6)


def best(work: Callable[[], object], rounds: int) -> float:
    """Least seconds of several runs."""
    spent = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def ours(parameters: MotionParameters, tolerance: float, cycles: int) -> tuple[Array, int, float]:
    """Strokes, right-hand sides and seconds of our own run."""
    start = at_bottom(parameters, trips=2 * cycles)
    began = time.thread_time()
    how, rows, marks, tally = integrate(start, t_end=1e3, rtol=tolerance, cycles=20)
    spent = time.thread_time() - began
    assert how == run.STOPPED
    turns = [(rows[int(k), 0], rows[int(k), 1 : 1 + len(start.y)])
             for _, which, k in marks if which == at.G_TURN]  # fmt: skip
    calls = 6 * int(tally[run.STEPS] + tally[run.REJECTED]) + 12 * int(tally[run.EVENTS])
    return others.strokes_of(turns), calls, spent


def theirs(parameters: MotionParameters, segment: others.Segment) -> tuple[Array, int, float]:
    """Strokes, right-hand sides and seconds of another solver's run."""
    start = at_bottom(parameters, trips=2 * CYCLES)
    began = time.thread_time()
    problem_calls: list[int] = []
    turns = others.march(start, segment, counted=problem_calls)
    return others.strokes_of(turns), problem_calls[0], time.thread_time() - began


Route = Callable[[float], tuple[Array, int, float]]


def curve(route: Route, tolerances: Sequence[float], wanted: Array, rounds: int) -> Array:
    """Error, ms a stroke and right-hand sides a stroke, one row a tolerance."""
    rows = []
    for tolerance in tolerances:
        try:
            runs = [route(tolerance) for _ in range(rounds)]
        except RuntimeError as fault:
            print(f"    {tolerance:g}: no answer ({fault})")
            continue
        strokes, calls, _ = runs[0]
        error = float(np.abs(strokes / wanted - 1).max())
        seconds = min(r[2] for r in runs)
        rows.append((error, 1e3 * seconds / (2 * CYCLES), calls / (2 * CYCLES)))
    return np.array(rows)


def at_error(rows: Array, target: float, column: int) -> float:
    """Least cost among the tolerances whose error, and every tighter one's, meets the target."""
    good = np.minimum.accumulate((rows[:, 0] <= target)[::-1])[::-1]
    return float(rows[good, column].min()) if good.any() else float("nan")


def work_precision() -> None:
    """Our time, BDF's and CVODE's at equal measured error."""
    for key in ("alkyd-topcoat", "epoxy-tank"):
        parameters = motion_parameters(PUMP, COATINGS[key])
        weights = others.stiff_weights(parameters)
        radau = others.march(at_bottom(parameters, trips=2 * CYCLES),
                             others.by_scipy("Radau", 1e-11, weights))  # fmt: skip
        wanted = others.strokes_of(radau)
        curves = {
            "ours": curve(lambda r, p=parameters: ours(p, r, CYCLES), OURS, wanted, 40),
            "SciPy BDF": curve(
                lambda r, p=parameters, w=weights: theirs(p, others.by_scipy("BDF", r, w)),
                THEIRS, wanted, 4,
            ),
            "CVODE": curve(
                lambda r, p=parameters, w=weights: theirs(p, others.by_cvode(r, w)),
                THEIRS, wanted, 4,
            ),
        }  # fmt: skip
        print(f"  {key}: error -> ms a stroke (right-hand sides a stroke)")
        for name, rows in curves.items():
            points = ", ".join(f"{e:.0e} -> {ms:.2f} ({n:.0f})" for e, ms, n in rows)
            print(f"    {name:10} {points}")
        for target in TARGETS:
            mine = at_error(curves["ours"], target, 1)
            for name, budget in (("SciPy BDF", 100), ("CVODE", 5)):
                ratio = at_error(curves[name], target, 1) / mine
                sides = at_error(curves[name], target, 2) / at_error(curves["ours"], target, 2)
                print(f"    at {target:.0e}: {name} takes {ratio:6.0f} times as long "
                      f"(budget {budget}), {sides:.1f} times the right-hand sides")  # fmt: skip


def stroke_cost() -> None:
    """ms a stroke over both demo pumps, every demo coating, sound and with each fault."""
    spent = []
    for key in DEMO_PUMPS:
        pump = demo_pump(key)
        for coating in COATINGS.values():
            for name in (None, *MOTION_FAULTS):
                faults = {} if name is None else {name: MOTION_FAULTS[name].typical}
                made = motion_parameters(pump, coating, with_faults(pump, faults))
                cost = min(ours(made, DEFAULT_TOLERANCE, 4)[2] for _ in range(8)) / 8
                spent.append((1e3 * cost, key, coating.key, name or "sound"))
    costs = np.array([s[0] for s in spent])
    worst, *where = max(spent)
    print(f"ms a stroke, one core, tolerance {DEFAULT_TOLERANCE:g} (budget 1): "
          f"median {np.median(costs):.2f}, p95 {np.quantile(costs, 0.95):.2f}, "
          f"worst {worst:.2f} ({', '.join(where)}), {len(costs)} pumps")  # fmt: skip
    made = motion_parameters(PUMP, COATINGS["alkyd-topcoat"])
    ready = best(lambda: at_bottom(made, trips=8), 40)
    leaking = {"foot-valve": 1e-4}
    whole = best(lambda: play(PUMP, COATINGS["alkyd-topcoat"], leaking), 10)
    print(f"getting a pump ready {1e3 * ready:.2f} ms; a whole answer (6 cycles, both stalls, "
          f"trace) {1e3 * whole:.1f} ms")  # fmt: skip


def scaling() -> None:
    """Strokes a second on one thread and on two."""
    made = [motion_parameters(PUMP, coating) for coating in COATINGS.values()] * 2

    def share(parameters: Sequence[MotionParameters]) -> None:
        for one in parameters:
            start = at_bottom(one, trips=200)
            integrate(start, t_end=1e4, rtol=DEFAULT_TOLERANCE, cycles=110)

    def on(threads: int) -> None:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(share, [made[k::threads] for k in range(threads)]))

    one, two = best(lambda: on(1), 7), best(lambda: on(2), 7)
    strokes = 200 * len(made)
    print(f"strokes a second: one thread {strokes / one:.0f}, two {strokes / two:.0f} "
          f"({one / two:.2f} times), {os.cpu_count()} cores")  # fmt: skip


COMPILE = "from wetend.jit.compiling import keep_all; keep_all('wetend.physics.motion.engines')"
FIRST = """
from wetend.advice.simulation.run import SETTLING, motion_parameters, summarise, with_faults
from wetend.physics.motion.simulate import simulate
from wetend.pump.toml import demo_coatings, demo_pump
pump = demo_pump("quay-air")
for faults in ({"foot-valve": 1e-4}, {}):
    made = motion_parameters(pump, demo_coatings()[0], with_faults(pump, faults))
    summarise(made, simulate(made, cycles=4 + SETTLING))
"""


def spent_by(told: str, environment: dict[str, str]) -> tuple[float, float]:
    """Seconds of processor and of the clock that a new process takes to do this."""
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run([sys.executable, "-c", told], check=True, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return spent, time.perf_counter() - begun


def first_answer() -> None:
    """Seconds to the first answer of a new process, a faulty and a sound pump with their stalls."""
    with tempfile.TemporaryDirectory() as folder:
        place = dict(os.environ, WETEND_COMPILED=folder)
        never = spent_by(FIRST, place)
        waited = time.perf_counter()
        while not list(Path(folder).rglob("whole")) and time.perf_counter() - waited < 300:
            time.sleep(0.2)
        kept = spent_by(FIRST, place)
        size = sum(f.stat().st_size for f in Path(folder).rglob("*") if f.is_file())
    with tempfile.TemporaryDirectory() as folder:
        place = dict(os.environ, WETEND_COMPILED=folder)
        compiling = spent_by(
            "from wetend.jit.compiling import keep_all; keep_all('wetend.physics.motion.engines')",
            place,
        )
    for name, (cpu, wall) in (("never compiled", never), ("compiled before", kept),
                              ("compiling alone", compiling)):  # fmt: skip
        print(f"first answer (budget 3 s), {name}: {cpu:.1f} s of processor, {wall:.1f} s")
    print(f"kept: {size / 1e6:.1f} MB")


def main() -> int:
    """Measure and print."""
    ENGINES.compiled()
    stroke_cost()
    work_precision()
    scaling()
    first_answer()
    return 0


if __name__ == "__main__":
    sys.exit(main())
