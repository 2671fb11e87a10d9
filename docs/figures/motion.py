"""The figures of the theory page on the pump in time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from loaded import loaded
from plot import Axis, Plot
from published import near
from steady_twin import steady_twin

from wetend.advice.simulation.faults import with_faults
from wetend.advice.simulation.parameters import motion_parameters
from wetend.physics.motion import integrator as run
from wetend.physics.motion.parameters import Hose, MotionParameters
from wetend.physics.motion.simulate import simulate
from wetend.physics.stroke.steady import steady
from wetend.pump.toml import demo_coatings, demo_pump

ROOT = Path(__file__).parents[2]
# F. Mazzia and C. Magherini, Test Set for Initial Value Problem Solvers, release 2.4 (2008)
PUBLISHED = {
    "robertson": ((1.0, 0.0, 0.0), 1e11, (1e-14,),
                  (0.2083340149701255e-7, 0.8333360770334713e-13, 0.9999999791665050)),
    "van_der_pol": ((2.0, 0.0), 2000.0, (1e-4, 1000.0),
                    (1.706167732170469, -0.8928097010248125e-3)),
    "hires": ((1, 0, 0, 0, 0, 0, 0, 0.0057), 321.8122, (1e-6,),
              (0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4, 0.1175651343283149e-2,
               0.2386356198831331e-2, 0.6238968252742796e-2, 0.2849998395185769e-2, 0.2850001604814231e-2)),
}  # fmt: skip


def motion_published() -> Plot:
    """Errors on published problems against the tolerance asked."""
    problems = loaded(ROOT / "tests" / "physics" / "motion" / "stiff_problems.py")
    plot = Plot(
        Axis("tolerance asked", 1e-8, 1e-3, log=True), Axis("largest relative error at the end", 1e-12, 1e-2, log=True)
    )
    tolerances = [1e-4, 1e-5, 1e-6, 1e-7, 1e-8]
    for i, (name, (y0, end, p, printed)) in enumerate(PUBLISHED.items()):
        errors = []
        for tolerance in tolerances:
            how, rows, _, _ = problems.solve(getattr(problems, name), y0, end, tolerance, p)
            assert how == run.REACHED
            found = rows[-1, 1 : 1 + len(y0)]
            for ours, theirs in zip(found, printed, strict=True):
                near(float(ours), theirs, 40 * tolerance)
            errors.append(float(np.abs(found / np.array(printed) - 1).max()))
        plot.curve(tolerances, errors, name.replace("_", " "), ink=i, dash=i)
    return plot.curve([1e-8, 1e-3], [1e-8, 1e-3], "the tolerance itself", ink=4, dash=2)


def _leaking() -> MotionParameters:
    pump = demo_pump("quay-air")
    coating = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")
    return motion_parameters(pump, coating, with_faults(pump, {"foot-valve": 150e-6}))


def motion_cycle() -> Plot:
    """Pressures of one cycle, drawn at even times."""
    trace = simulate(_leaking(), cycles=4, rtol=1e-5)
    start = trace.strokes[-2].start
    length = trace.strokes[-1].end - start
    times = np.linspace(0.0, 2.0, 241)
    plot = Plot(Axis("time, s", 0.0, 2.0), Axis("bar", -5.0, 300.0))
    if not 1.5 < length < 2.5:
        raise ValueError(f"a cycle of {length:g} s does not suit this figure")
    for i, (name, values) in enumerate((("below the piston", trace.below), ("above the piston", trace.above),
                                        ("at the gun", trace.seen[:, 4]))):  # fmt: skip
        inside = times < length
        plot.curve(times[inside], np.interp(times[inside] + start, trace.t, values) / 1e5, name, ink=i, dash=i)
    return plot


def motion_rhythm() -> Plot:
    """Up time over down time of the same leaking pump, on hoses that give more and more."""
    leaking = _leaking()
    gives = np.geomspace(1e-14, 1e-11, 13)
    ratios = []
    for give in gives:
        hoses = (Hose(0.0095, 15.0, float(give)),)
        firm = replace(leaking.liquid, bulk_modulus=2e10, free_air=3e-4)
        soft = replace(leaking, liquid=firm, outlet=replace(leaking.outlet, hoses=hoses))
        up, down = simulate(soft, cycles=6, rtol=1e-4).strokes[-2:]
        ratios.append(up.time / down.time)
    hard = steady(steady_twin(soft))
    steadily = float(hard.up.time[0] / hard.down.time[0])
    near(ratios[0], steadily, 0.03)
    plot = Plot(
        Axis("volume the hose gains, mL/bar", 1e-3, 1.0, log=True),
        Axis("up-stroke's time over down-stroke's", 0.9, 2.0),
    )
    plot.curve(gives * 1e11, ratios, "in time (ours)", ink=0)
    return plot.curve([1e-3, 1.0], [steadily, steadily], "steady model", ink=1, dash=1)
