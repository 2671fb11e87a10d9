r"""One step of a stiff, linearly implicit one-step method: Rodas4.

.. math::

    \left(\frac{I}{\gamma h} - J\right) u_i = f\Bigl(y + \sum_{j<i} a_{ij} u_j\Bigr)
    + \sum_{j<i} \frac{c_{ij}}{h} u_j, \qquad y_1 = y + \sum_j a_{6j} u_j + u_6

Six stages, order 4 with an embedded third-order result, stiffly accurate and L-stable; a step needs
one Jacobian and one factoring, and no iteration. For y' = f(y) without time in f (put time in y
where there is some). Source: E. Hairer and G. Wanner, Solving Ordinary Differential Equations II:
Stiff and Differential-Algebraic Problems, 2nd ed. (1996), section VI.4; coefficients and dense
output as in their published program RODAS (method 1). Tests prove the order conditions, the order
of convergence and the damping at infinity.

Its small dense linear system is inverted once a step and multiplied for each stage: at a dozen
unknowns an inverse costs little more than factors, and a product with it is quicker than two
triangular solutions, each row of which has to wait for the one before.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import (
    Flag,
    Nothing,
    Real,
    Reals,
    Table,
    Whole,
    Wholes,
    compiled,
    inner,
    pack_of,
)

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


STAGES = 6
GAMMA = 0.25
A = np.array([
    [0.0, 0.0, 0.0, 0.0, 0.0],
    [1.544, 0.0, 0.0, 0.0, 0.0],
    [0.9466785280815826, 0.2557011698983284, 0.0, 0.0, 0.0],
    [3.314825187068521, 2.896124015972201, 0.9986419139977817, 0.0, 0.0],
    [1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 0.0],
    [1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0],
])  # fmt: skip
"""Shares of earlier stages in a stage's argument."""
C = np.array([
    [0.0, 0.0, 0.0, 0.0, 0.0],
    [-5.6688, 0.0, 0.0, 0.0, 0.0],
    [-2.430093356833875, -0.2063599157091915, 0.0, 0.0, 0.0],
    [-0.1073529058151375, -9.594562251023355, -20.47028614809616, 0.0, 0.0],
    [7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160, 0.0],
    [8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136,
     -6.058818238834054],
])  # fmt: skip
"""Shares of earlier stages, over h, on a stage's right side."""
D = np.array([
    [10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823,
     1.025137723295662],
    [-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386,
     -6.594389125716872],
])  # fmt: skip
"""Shares of the stages in the two terms of the dense output."""
NEW = STAGES
SLOPE = STAGES + 1
RIGHT = STAGES + 2
"""Rows after the stages: the new state, a slope and a right side in passing."""

(PACE_STEP, PACE_TOLERANCE, PACE_WHOLE, PACE_LOW, PACE_GUARD, PACE_SINCE, PACES) = range(7)
"""Places in the pace: next step; tolerance; while an event is stepped to, the whole step, the step
before the last and its guard; steps since the last event."""

FIELD = Nothing(Reals, Reals, Wholes, Reals, Table, Flag)
"""Signature of a right-hand side: state, parameters, mode, slopes out, Jacobian out, want it."""


class Run(NamedTuple):
    """What a run carries: state, parameters, mode, clock (its first entry is the time)."""

    y: Array
    p: Array
    mode: Integers
    clock: Array


class Scratch(NamedTuple):
    """Working space of a run.

    The last states may be plain sums, on which nothing depends; the linear system leaves them out,
    and the Jacobian has rows, but no columns for them.
    """

    jacobian: Array
    system: Array
    order: Integers
    stages: Array
    between: Array
    slope: Array
    weights: Array
    there: Array
    guards: Array
    pace: Array


RUN = pack_of(Run, Reals, Reals, Wholes, Reals)
SCRATCH = pack_of(
    Scratch, Table, Table, Wholes, Table, Table, Reals, Reals, Reals, Table, Reals
)  # fmt: skip


@inner(Whole(Table, Table, Wholes, Real))
def prepare(jacobian: Array, system: Array, order: Integers, h: float) -> int:
    """Invert the system, transposed, for a step of ``h``; 1 if it is singular.

    To its right stand the sums' rows of the Jacobian, so that they are solved for with the rest.
    """
    n, count = system.shape
    lead = GAMMA * h
    for j in range(n):
        for i in range(n):
            system[j, i] = -jacobian[i, j]
        for i in range(n, count):
            system[j, i] = lead * jacobian[i, j]
        system[j, j] += 1.0 / lead
    return invert(system, order)


@inner(Whole(FIELD, Real, RUN, SCRATCH))
def step(field: Any, h: float, run: Run, s: Scratch) -> int:
    """Take one step of ``h``; 1 if the linear system is singular.

    Slope and Jacobian at the start stand in the scratch. The new state is left in row ``NEW`` of
    the stages; the last stage is the embedded error.
    """
    if prepare(s.jacobian, s.system, s.order, h) != 0:
        return 1
    u = s.stages
    new, slope, right = u[NEW], u[SLOPE], u[RIGHT]
    count = new.shape[0]
    for k in range(STAGES):
        for i in range(count):
            new[i] = run.y[i]
            right[i] = s.slope[i]
        if k > 0:
            for i in range(count):
                right[i] = 0.0
            for j in range(k):
                a, c = A[k, j], C[k, j] / h
                for i in range(count):
                    new[i] += a * u[j, i]
                    right[i] += c * u[j, i]
            field(new, run.p, run.mode, slope, s.jacobian, False)
            for i in range(count):
                right[i] += slope[i]
        multiply(right, s.system, u[k])
        for i in range(s.system.shape[0], count):
            u[k, i] += GAMMA * h * right[i]
    for i in range(count):
        new[i] += u[STAGES - 1, i]
    return 0


@inner(Real(SCRATCH))
def error_norm(s: Scratch) -> float:
    """Largest embedded error over its weight; infinite if not all is finite.

    Tolerance is met at 1 or less.
    """
    size = 0.0
    sane = 0.0
    for i in range(s.weights.shape[0]):
        size = max(size, abs(s.stages[STAGES - 1, i]) / s.weights[i])
        sane += 0.0 * (s.stages[NEW, i] + s.stages[STAGES - 1, i])
    return size if sane == 0.0 else np.inf


@inner(Nothing(RUN, SCRATCH))
def prepare_between(run: Run, s: Scratch) -> None:
    """Rows of ``between``: old state, new state and the two terms of the dense output."""
    for i in range(run.y.shape[0]):
        s.between[0, i] = run.y[i]
        s.between[1, i] = s.stages[NEW, i]
        for k in range(2):
            total = 0.0
            for j in range(STAGES - 1):
                total += D[k, j] * s.stages[j, i]
            s.between[2 + k, i] = total


@inner(Nothing(Table, Real, Reals))
def at_share(between: Array, share: float, out: Array) -> None:
    """State at a share of the step, 0 to 1: the dense output, of order 3."""
    rest = 1.0 - share
    for i in range(out.shape[0]):
        inside = between[2, i] + share * between[3, i]
        out[i] = between[0, i] * rest + share * (between[1, i] + rest * inside)


@inner(Whole(Table, Whole))
def largest_above(matrix: Array, k: int) -> int:
    """Row at or above ``k`` with the largest number in column ``k``."""
    best = k
    large = abs(matrix[k, k])
    for i in range(k):
        if abs(matrix[i, k]) > large:
            large = abs(matrix[i, k])
            best = i
    return best


@inner(Nothing(Table, Wholes))
def put_back(matrix: Array, order: Integers) -> None:
    """Exchange columns as rows were exchanged, the last exchange first."""
    n = matrix.shape[0]
    for k in range(n):
        best = order[k]
        if best != k:
            for i in range(n):
                matrix[i, k], matrix[i, best] = matrix[i, best], matrix[i, k]


@compiled(Whole(Table, Wholes))
def invert(matrix: Array, order: Integers) -> int:
    """Invert the square left part of a matrix in place; 1 if it is singular.

    Columns right of the square are multiplied by the inverse. ``order`` is working space, an entry
    a row. It begins at the last row and skips zeros, so that a matrix is cheap whose last columns
    hold little. Source: Gauss-Jordan elimination with partial pivoting, any textbook.
    """
    n, wide = matrix.shape
    for k in range(n - 1, -1, -1):
        best = largest_above(matrix, k)
        order[k] = best
        if not abs(matrix[best, k]) > 0.0:
            return 1
        if best != k:
            for j in range(wide):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
        inverse = 1.0 / matrix[k, k]
        matrix[k, k] = 1.0
        for j in range(wide):
            matrix[k, j] *= inverse
        for i in range(n):
            share = matrix[i, k]
            if i != k and share != 0.0:
                matrix[i, k] = 0.0
                for j in range(wide):
                    matrix[i, j] -= share * matrix[k, j]
    put_back(matrix, order)
    return 0


@compiled(Nothing(Reals, Table, Reals))
def multiply(row: Array, matrix: Array, out: Array) -> None:
    """Product of a row (its first entries, one for each row of the matrix) with a matrix.

    >>> matrix, out = np.array([[0.0, 2.0, 1.0], [4.0, 1.0, 0.0]]), np.zeros(3)
    >>> invert(matrix, np.zeros(2, np.int64))
    0
    >>> multiply(np.array([2.0, 9.0]), matrix, out)
    >>> out
    array([4.25, 0.5 , 4.25])
    """
    n, wide = matrix.shape
    for i in range(wide):
        out[i] = 0.0
    j = 0
    while j + 4 <= n:
        a, b, c, d = row[j], row[j + 1], row[j + 2], row[j + 3]
        for i in range(wide):
            out[i] += (a * matrix[j, i] + b * matrix[j + 1, i]) + (
                c * matrix[j + 2, i] + d * matrix[j + 3, i]
            )
        j += 4
    for k in range(j, n):
        a = row[k]
        for i in range(wide):
            out[i] += a * matrix[k, i]
