"""The bench work's budgets: which shims, strip and rebuild plans, drawings of a stack.

Run as ``python benchmarks/bench_work.py``; one line a figure. Budget: every subset question of a
tin of 12 shims in under 100 ms.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.rebuild.shims import best_shims, ending
from wetend.advice.rebuild.stack import read_stack
from wetend.advice.strip.plan import plan_strip
from wetend.advice.strip.tools import TOOLS
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump

ROUNDS = 7
ALL = ToolBag(tools=tuple(t for t in TOOLS if t != "vice"), vice=True)


def timed(work: Callable[[], object]) -> float:
    """Median time of a call, ms."""
    work()
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - start))
    return statistics.median(taken)


def main() -> int:
    """Measure, print, and fail when the subset budget is missed."""
    tin = tuple(float(t) for t in np.random.default_rng(4).uniform(1e-4, 1e-3, 12).round(5))
    worst = 0.0
    for key in DEMO_PUMPS:
        pump, measured = demo_pump(key), StackMeasured(tin=tin)
        state = read_stack(pump, measured)
        shims = timed(lambda s=state, p=pump: best_shims(s, p.stack.target))
        chosen, tried = best_shims(state, pump.stack.target)
        share = ending(state, pump.stack.target, on_top=chosen).on_target
        worst = max(worst, shims)
        print(f"{key}: best of {tried} sets of 12 shims {shims:.1f} ms "
              f"(budget 100), on target {share:.0%}")  # fmt: skip
        whole = timed(lambda p=pump, m=measured: fit_stack(p, m))
        print(f"{key}: whole fit, 20,000 draws {whole:.1f} ms")
        print(f"{key}: strip plan {timed(lambda p=pump: plan_strip(p, ALL)):.1f} ms, "
              f"rebuild plan {timed(lambda p=pump: plan_rebuild(p, ALL)):.1f} ms")  # fmt: skip
    return 0 if worst < 100 else 1


if __name__ == "__main__":
    sys.exit(main())
