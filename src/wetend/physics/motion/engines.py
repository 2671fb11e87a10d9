"""What runs the model in time: compiled functions once they are there, plain ones until then.

The plain ones are the same functions as they stand, a hundred times slower and there at once. Only
the step is written again, with NumPy's linear algebra, and states go in as lists, on which plain
Python works quickest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import FunctionType
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import SPECS
from wetend.jit.loading import CompiledFunctions, Functions
from wetend.physics.motion import rosenbrock as method
from wetend.physics.motion.instant import observe_rows
from wetend.physics.motion.integrator import Output, advance
from wetend.physics.motion.rosenbrock import GAMMA, NEW, SLOPE, STAGES, A, C, Run, Scratch
from wetend.physics.motion.turns import guards, react
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field
from wetend.units.message import Message

Array = NDArray[np.float64]
Function = Callable[..., Any]

PROBLEM = (field, guards, react, weigh)
"""What the integrator calls, in the order in which it takes them."""
NATIVE = (advance, observe_rows, *PROBLEM)
"""What is compiled."""


def step(field: Function, h: float, run: Run, s: Scratch) -> int:
    """:func:`.rosenbrock.step`, with NumPy's linear algebra; 1 also where a law has no value."""
    n, u, lead = s.system.shape[0], s.stages, GAMMA * h
    new, slope = u[NEW], u[SLOPE]
    system = np.eye(n) / lead - s.jacobian[:n]
    try:
        inverse = np.linalg.inv(system)
        for k in range(STAGES):
            new[:] = run.y
            right = s.slope
            if k > 0:
                new += A[k, :k] @ u[:k]
                field(new, run.p, run.mode, slope, s.jacobian, False)
                right = (C[k, :k] / h) @ u[:k] + slope
            u[k, :n] = inverse @ right[:n]
            u[k, n:] = (right[n:] + s.jacobian[n:] @ u[k, :n]) * lead
    except (ArithmeticError, ValueError):
        return 1
    new += u[STAGES - 1]
    return 0


def instead(function: Function, stand_ins: Mapping[Function, Function]) -> Function:
    """A function with others in the place of some that it, or those it calls, would call."""

    made = dict(stand_ins)

    def changed(one: Function) -> Function:
        if one not in made:
            names = dict(one.__globals__)
            for name in one.__code__.co_names:
                if isinstance(names.get(name), FunctionType) and names[name] in SPECS:
                    names[name] = changed(names[name])
            made[one] = FunctionType(one.__code__, names, one.__name__, one.__defaults__)
        return made[one]

    return changed(function)


def _field(y: Array, p: Any, mode: Any, dy: Array, jacobian: Array, want: bool) -> None:
    slopes = [0.0] * len(y)
    field(y.tolist(), p, mode.tolist(), slopes, jacobian, want)  # type: ignore[arg-type]
    dy[:] = slopes


def _guards(y: Array, p: Any, mode: Any, g: Array) -> None:
    guards(y.tolist(), p, mode.tolist(), g)  # type: ignore[arg-type]


def _weigh(y: Array, p: Any, weights: Array) -> None:
    weigh(y.tolist(), p, weights)  # type: ignore[arg-type]


PUMP = (_field, _guards, react, _weigh)
"""What the integrator calls."""
_ADVANCE = instead(advance, {method.step: step})


def _run(carried: Run, *rest: Any) -> int:
    """:func:`.integrator.advance` on the wet end."""
    with np.errstate(all="ignore"):
        return int(_ADVANCE(*PUMP, carried._replace(p=carried.p.tolist()), *rest))


def _observe(states: Array, modes: Any, p: Array, out: Array) -> None:
    """:func:`.instant.observe_rows`."""
    observe_rows(states.tolist(), modes.tolist(), p.tolist(), out)  # type: ignore[arg-type]


class Engine(NamedTuple):
    """How a run is carried out, and what is seen on it computed."""

    run: Function
    """As :func:`.integrator.advance` on the wet end, from the state carried on."""
    observe: Function
    """As :func:`.instant.observe_rows`."""


PLAIN = Engine(_run, _observe)


class Engines:
    """The compiled engine, loaded in the background or waited for."""

    def __init__(self) -> None:
        """Nothing is loaded yet."""
        self.native = CompiledFunctions(
            __name__, NATIVE, title=Message("compiling the pump in motion")
        )

    def at_hand(self) -> Engine:
        """The compiled engine if it is there or has only to be read in, else the plain one."""
        found = self.native.at_hand()
        return PLAIN if found is None else engine_of(found)

    def compiled(self) -> Engine:
        """The compiled engine, waited for."""
        return engine_of(self.native.loaded())


def engine_of(functions: Functions) -> Engine:
    """The engine that these compiled functions make."""
    carry, pump = functions[advance.__name__], [functions[f.__name__] for f in PROBLEM]

    def run(carried: Run, output: Output, scratch: Scratch, options: Array) -> int:
        return int(carry(*pump, carried, output, scratch, options))

    return Engine(run, functions[observe_rows.__name__])


ENGINES = Engines()
"""One for the process."""
