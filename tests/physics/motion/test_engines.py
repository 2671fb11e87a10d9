"""The plain functions and the compiled ones give one answer, and no answer waits for a compiler."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
from dataclasses import replace
from types import FunctionType

import numpy as np
import pytest

from wetend.jit.folder import CompiledCode
from wetend.jit.kinds import SPECS
from wetend.jit.loading import CompiledFunctions
from wetend.jit.object_code import can_not_be_made
from wetend.physics.motion import engines, layout, simulate
from wetend.physics.motion import integrator as run
from wetend.physics.motion import rosenbrock as method
from wetend.physics.motion.engines import ENGINES, PLAIN, Engines, engine_of
from wetend.physics.motion.instant import observe_rows
from wetend.physics.motion.parameters import Gun
from wetend.physics.motion.start import at_bottom, stalled
from wetend.physics.motion.turns import guards, react
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field

OPTIONS = np.array([2.5, 2e-3, 1e-5, 1e-4, 400.0])


def same(one, other, p):
    """Two runs, the same but for the order in which sums were rounded.

    Rounding decides now and then whether a step is taken or refused, and the two then part within
    the tolerance asked: a tenth of it is allowed here. One step alone is held far closer below.
    """
    assert one[0] == other[0]
    assert one[2][:, 1] == pytest.approx(other[2][:, 1])
    assert one[2][:, 0] == pytest.approx(other[2][:, 0], rel=1e-5, abs=1e-8)
    ends = [rows[-1, 1 : len(rows[-1]) - layout.MODES] for rows in (one[1], other[1])]
    weights = np.empty(len(ends[0]))
    weigh(ends[0], p, weights)
    assert np.abs((ends[0] - ends[1]) / weights).max() < 0.1 * OPTIONS[run.O_TOLERANCE]


@pytest.mark.parametrize("use", ["open", "pulsed", "shut"])
def test_plain_and_compiled_play_one_pump_alike(random_pumps, use):
    for parameters in random_pumps(6, seed=11):
        used = replace(parameters, gun=Gun(use, on=0.3, off=0.2))
        one, other = at_bottom(used, trips=4), at_bottom(used, trips=4)
        same(
            simulate.carry(PLAIN, one, OPTIONS, 4000),
            simulate.carry(ENGINES.compiled(), other, OPTIONS, 4000),
            one.p,
        )


@pytest.mark.parametrize("up", [True, False])
def test_plain_and_compiled_stall_alike_and_see_alike(random_pumps, up):
    for parameters in random_pumps(4, seed=12):
        start = stalled(parameters, up=up)
        found = simulate.carry(PLAIN, start, OPTIONS, 4000)
        n = len(start.y)
        other = simulate.carry(ENGINES.compiled(), stalled(parameters, up=up), OPTIONS, 4000)
        same(found, other, start.p)
        seen = [np.empty((len(found[1]), 12)) for _ in range(2)]
        states = np.ascontiguousarray(found[1][:, 1 : 1 + n])
        for engine, out in zip((PLAIN, ENGINES.compiled()), seen, strict=True):
            engine.observe(states, found[1][:, 1 + n :].astype(np.int64), start.p, out)
        assert seen[0] == pytest.approx(seen[1], rel=1e-9, abs=1e-15)


def test_the_plain_step_is_the_compiled_ones_step(pump):
    """One step from one state, the linear system solved by NumPy and by our own elimination."""
    start = at_bottom(pump(), trips=1)
    n = len(start.y)
    stages = []
    for step in (method.step, engines.step):
        carried = method.Run(start.y.copy(), start.p, start.mode, start.clock)
        s = run.new_scratch(n, sums=4, guards=7)
        engines._field(carried.y, start.p, start.mode, s.slope, s.jacobian, True)
        assert step(engines._field, 1e-4, carried, s) == 0
        stages.append(s.stages[method.NEW])
    assert stages[0] == pytest.approx(stages[1], rel=1e-10, abs=1e-20)


def test_a_step_into_where_a_law_has_no_value_is_refused_and_not_raised(pump):
    start = at_bottom(pump(), trips=1)
    carried = method.Run(start.y, start.p, start.mode, start.clock)
    s = run.new_scratch(len(start.y), sums=4, guards=7)

    def nowhere(*_):
        raise ZeroDivisionError

    s.jacobian[:] = 0.0
    assert engines.step(nowhere, 1e-4, carried, s) == 1


def test_the_model_is_imported_without_the_compiler():
    told = "import sys, wetend.workflows.simulate; sys.exit('numba' in sys.modules)"
    subprocess.run([sys.executable, "-c", told], check=True)


def run_apart(*words):
    """What a new process prints."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.run(
        [sys.executable, *words], capture_output=True, text=True, check=True, env=env
    ).stdout


COMPILE = ("-m", "wetend.jit", "wetend.physics.motion.engines")


def test_once_all_is_kept_an_answer_reads_no_compiler_in() -> None:
    run_apart(*COMPILE)
    code = ENGINES.native.code
    if code.object_file is None or can_not_be_made(code.object_file):
        pytest.skip("object code can't be kept here")
    told = """
import sys
from played import play
from wetend.physics.motion import engines
from wetend.pump.toml import demo_coatings, demo_pump
play(demo_pump("quay-air"), demo_coatings()[0], {"foot-valve": 1e-4}, gun="pulsed")
print(engines.ENGINES.at_hand() is engines.PLAIN, "numba" in sys.modules)
"""
    assert run_apart("-c", told).split() == ["False", "False"]


def test_what_is_kept_plays_a_pump_as_the_compiler_does_to_the_last_bit(random_pumps) -> None:
    ours, theirs = ENGINES.compiled(), engine_of(ENGINES.native.by_the_compiler())
    for parameters in random_pumps(3, seed=13):
        one, other = (
            simulate.carry(engine, at_bottom(parameters, trips=4), OPTIONS, 4000)
            for engine in (ours, theirs)
        )
        assert one[0] == other[0]
        for mine, other_mine in zip(one[1:], other[1:], strict=True):
            np.testing.assert_array_equal(mine, other_mine)


def called_by(function):
    """The functions told of that a function calls, with those they call."""
    names = (function.__globals__.get(name) for name in function.__code__.co_names)
    direct = {f for f in names if isinstance(f, FunctionType) and f in SPECS}
    return direct.union(*(called_by(f) for f in direct)) if direct else direct


def test_every_function_that_can_be_compiled_is_reached_from_what_an_answer_calls():
    """One told of and never called would be dead; one called and not told of would not compile."""
    roots = {run.advance, observe_rows, field, guards, react, weigh}
    reached = roots.union(*(called_by(f) for f in roots))
    ours = {f for f in SPECS if f.__module__.startswith("wetend.physics.motion")}
    assert ours == reached
    assert len(reached) > 40


@pytest.fixture
def cold(monkeypatch, tmp_path):
    """A machine that never compiled anything, where compiling takes until it is let go."""
    ENGINES.compiled()
    done, there, code = threading.Event(), ENGINES.native.code.object_file, CompiledCode(tmp_path)

    def compile_aside():
        done.wait(60.0)
        if there is not None and there.exists():
            shutil.copyfile(there, code.object_file)

    fresh = Engines()
    monkeypatch.setattr(CompiledFunctions, "code", code)
    monkeypatch.setattr(fresh.native, "_compile_aside", compile_aside)
    monkeypatch.setattr(simulate, "ENGINES", fresh)
    yield fresh, done
    done.set()


def test_a_cold_machine_answers_plainly_and_goes_over_when_all_is_compiled(cold, pump):
    fresh, done = cold
    first = simulate.simulate(pump(), cycles=2)
    assert fresh.at_hand() is PLAIN
    done.set()
    fresh.compiled()
    assert fresh.at_hand() is not PLAIN
    second = simulate.simulate(pump(), cycles=2)
    assert [s.time for s in first.strokes] == pytest.approx([s.time for s in second.strokes])


def test_a_long_run_waits_for_the_compiled_engine(cold, pump, monkeypatch):
    fresh, done = cold
    monkeypatch.setattr(simulate, "_PLAIN_STEPS", 50)
    threading.Timer(0.2, done.set).start()
    assert len(simulate.simulate(pump(), cycles=2).strokes) == 4
    assert fresh.at_hand() is not PLAIN


def test_what_was_compiled_before_is_read_back_alone() -> None:
    """What the four functions handed over, the run and the look call is within their own code."""
    run_apart(*COMPILE)  # which may have to compile them all
    code = (
        "from wetend.jit import compiling; "
        "from wetend.physics.motion.engines import NATIVE; compiling.functions_of(NATIVE); "
        "print(compiling.made.figures().entries)"
    )
    assert int(run_apart("-c", code)) == 6
