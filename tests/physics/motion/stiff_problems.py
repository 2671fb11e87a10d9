"""Published test problems for integrators, compiled as the integrator wants them.

Right-hand sides: F. Mazzia and C. Magherini, Test Set for Initial Value Problem Solvers (release
2.4, 2008), problems ROBER, VDPOL and HIRES; the bouncing ball is from any textbook of mechanics.
"""

from __future__ import annotations

from functools import cache

import numba
import numpy as np

from wetend.jit.compiling import made, signature_of
from wetend.physics.motion import integrator as run
from wetend.physics.motion.crossing import GUARDS
from wetend.physics.motion.rosenbrock import FIELD, Run


def compiled(signature):
    """Gives the compiled function when called, which is compiled at the first call.

    Every process compiles anew: kept code would be found again only by its module's name.
    """
    compiler = numba.njit(signature_of(signature), nogil=True, error_model="numpy", _nrt=False)
    return lambda function: cache(lambda: compiler(function))


@compiled(FIELD)
def robertson(y, p, mode, dy, jacobian, want):
    dy[0] = -0.04 * y[0] + 1e4 * y[1] * y[2]
    dy[2] = 3e7 * y[1] * y[1]
    dy[1] = -dy[0] - dy[2]
    if want:
        jacobian[0, 0], jacobian[0, 1], jacobian[0, 2] = -0.04, 1e4 * y[2], 1e4 * y[1]
        jacobian[2, 0], jacobian[2, 1], jacobian[2, 2] = 0.0, 6e7 * y[1], 0.0
        for j in range(3):
            jacobian[1, j] = -jacobian[0, j] - jacobian[2, j]


@compiled(FIELD)
def van_der_pol(y, p, mode, dy, jacobian, want):
    dy[0] = y[1]
    dy[1] = p[1] * (1 - y[0] * y[0]) * y[1] - y[0]
    if want:
        jacobian[0, 0], jacobian[0, 1] = 0.0, 1.0
        jacobian[1, 0] = -2 * p[1] * y[0] * y[1] - 1
        jacobian[1, 1] = p[1] * (1 - y[0] * y[0])


@compiled(FIELD)
def hires(y, p, mode, dy, jacobian, want):
    both = 280 * y[5] * y[7]
    dy[0] = -1.71 * y[0] + 0.43 * y[1] + 8.32 * y[2] + 0.0007
    dy[1] = 1.71 * y[0] - 8.75 * y[1]
    dy[2] = -10.03 * y[2] + 0.43 * y[3] + 0.035 * y[4]
    dy[3] = 8.32 * y[1] + 1.71 * y[2] - 1.12 * y[3]
    dy[4] = -1.745 * y[4] + 0.43 * y[5] + 0.43 * y[6]
    dy[5] = -both + 0.69 * y[3] + 1.71 * y[4] - 0.43 * y[5] + 0.69 * y[6]
    dy[6] = both - 1.81 * y[6]
    dy[7] = -dy[6]
    if want:
        for i in range(8):
            for j in range(8):
                jacobian[i, j] = 0.0
        jacobian[0, 0], jacobian[0, 1], jacobian[0, 2] = -1.71, 0.43, 8.32
        jacobian[1, 0], jacobian[1, 1] = 1.71, -8.75
        jacobian[2, 2], jacobian[2, 3], jacobian[2, 4] = -10.03, 0.43, 0.035
        jacobian[3, 1], jacobian[3, 2], jacobian[3, 3] = 8.32, 1.71, -1.12
        jacobian[4, 4], jacobian[4, 5], jacobian[4, 6] = -1.745, 0.43, 0.43
        jacobian[5, 3], jacobian[5, 4], jacobian[5, 6] = 0.69, 1.71, 0.69
        jacobian[5, 5], jacobian[5, 7] = -280 * y[7] - 0.43, -280 * y[5]
        jacobian[6, 5], jacobian[6, 6], jacobian[6, 7] = 280 * y[7], -1.81, 280 * y[5]
        jacobian[7, 5], jacobian[7, 6], jacobian[7, 7] = -280 * y[7], 1.81, -280 * y[5]


@compiled(FIELD)
def falling(y, p, mode, dy, jacobian, want):
    dy[0], dy[1] = y[1], -p[1]
    if want:
        jacobian[0, 0], jacobian[0, 1], jacobian[1, 0], jacobian[1, 1] = 0.0, 1.0, 0.0, 0.0


@compiled(GUARDS)
def none(y, p, mode, g):
    pass


@compiled(GUARDS)
def above_ground(y, p, mode, g):
    g[0] = y[0]


@compiled(run.REACT)
def stop(which, t, y, p, mode, clock):
    return 1


@compiled(run.REACT)
def bounce(which, t, y, p, mode, clock):
    y[0] = 0.0
    y[1] = -p[2] * y[1]
    mode[0] += 1
    return 1 if mode[0] >= mode[1] else 0


@compiled(run.WEIGH)
def relative(y, p, weights):
    """Errors against each state's own size, and ``p[0]`` besides."""
    for i in range(y.shape[0]):
        weights[i] = abs(y[i]) + p[0]


def solve(field, y0, t_end, tolerance, p=(1e-6,), *, guards=none, react=stop, count=0, mode=(0,),
          budget=400_000, room=400_000):  # fmt: skip
    """Run a problem; gives how it ended, rows, events and the tally."""
    y = np.array(y0, dtype=float)
    output = run.Output(np.empty((room, 1 + len(y) + len(mode))), np.empty((1000, 3)),
                        np.zeros(run.TALLIES, np.int64))  # fmt: skip
    output.tally[run.BUDGET] = budget
    carried = Run(y, np.array(p, dtype=float), np.array(mode, np.int64), np.zeros(1))
    options = np.array([t_end, tolerance, 1e-6, 1.0, 0.0])
    scratch = run.new_scratch(len(y), sums=0, guards=count)
    parts = (part() for part in (field, guards, react, relative))
    how = made(run.advance)(*parts, carried, output, scratch, options)
    tally = output.tally
    return how, output.rows[: tally[run.ROWS]], output.marks[: tally[run.EVENTS]], tally
