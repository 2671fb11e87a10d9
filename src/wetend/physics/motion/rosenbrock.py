r"""One step of a stiff, linearly implicit one-step method: Rodas4.

.. math::

    \left(\frac{I}{\gamma h} - J\right) u_i = f\Big(y + \sum_{j<i} a_{ij} u_j\Big)
    + \sum_{j<i} \frac{c_{ij}}{h} u_j, \qquad y_1 = y + \sum_j m_j u_j

Six stages, order 4 with an embedded third-order result, stiffly accurate and L-stable; a step needs
one Jacobian and one factoring, and no iteration. For y' = f(y) without time in f (put time in y
where there is some). Source: E. Hairer and G. Wanner, Solving Ordinary Differential Equations II:
Stiff and Differential-Algebraic Problems, 2nd ed. (1996), section VI.4; coefficients and dense
output as in their published program RODAS (method 1). Tests prove the order conditions, the order
of convergence and the stability at infinity.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import types
from numpy.typing import NDArray

from wetend.physics.motion.compiled import (
    Flag,
    Nothing,
    Real,
    Reals,
    Table,
    Whole,
    Wholes,
    compiled,
)
from wetend.physics.motion.linear import factor, solve

Array = NDArray[np.float64]
Wholes_ = NDArray[np.int64]

STAGES = 6
GAMMA = 0.25
A = (
    (),
    (1.544,),
    (0.9466785280815826, 0.2557011698983284),
    (3.314825187068521, 2.896124015972201, 0.9986419139977817),
    (1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950),
    (1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0),
)
"""Shares of earlier stages in a stage's argument."""
C = (
    (),
    (-5.6688,),
    (-2.430093356833875, -0.2063599157091915),
    (-0.1073529058151375, -9.594562251023355, -20.47028614809616),
    (7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160),
    (8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136,
     -6.058818238834054),
)  # fmt: skip
"""Shares of earlier stages, over h, on a stage's right side."""
D2 = (10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823,
      1.025137723295662, 0.0)  # fmt: skip
D3 = (-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386,
      -6.594389125716872, 0.0)  # fmt: skip
"""Shares of the stages in the two terms of the dense output."""

(A21,) = A[1]
A31, A32 = A[2]
A41, A42, A43 = A[3]
A51, A52, A53, A54 = A[4]
(C21,) = C[1]
C31, C32 = C[2]
C41, C42, C43 = C[3]
C51, C52, C53, C54 = C[4]
C61, C62, C63, C64, C65 = C[5]
D21, D22, D23, D24, D25, _ = D2
D31, D32, D33, D34, D35, _ = D3

FIELD = Nothing(Reals, Reals, Wholes, Reals, Table, Flag)
"""Signature of a right-hand side: state, parameters, mode, slopes out, Jacobian out, want it."""
Field = types.FunctionType(FIELD)


@compiled(Whole(Field, Real, Reals, Reals, Wholes, Table, Table, Wholes, Table, Reals))
def step(
    field: Any, h: float, y: Array, p: Array, mode: Wholes_, jacobian: Array, system: Array,
    order: Wholes_, u: Array, slope: Array,
) -> int:  # fmt: skip
    """Take one step of ``h`` from ``y``; 1 if the linear system is singular.

    ``slope`` holds f(y) and ``jacobian`` holds J at entry. Rows of ``u``: the six stages, then the
    new state (row 6) and a scratch row. The embedded error is row 5.
    """
    n = y.shape[0]
    shift = 1.0 / (GAMMA * h)
    for i in range(n):
        for j in range(n):
            system[i, j] = -jacobian[i, j]
        system[i, i] += shift
    if factor(system, order) != 0:
        return 1
    over = 1.0 / h
    u1, u2, u3, u4, u5, u6, new, f = u[0], u[1], u[2], u[3], u[4], u[5], u[6], u[7]
    for i in range(n):
        u1[i] = slope[i]
    solve(system, order, u1)
    for i in range(n):
        new[i] = y[i] + A21 * u1[i]
    field(new, p, mode, f, jacobian, False)
    for i in range(n):
        u2[i] = f[i] + over * C21 * u1[i]
    solve(system, order, u2)
    for i in range(n):
        new[i] = y[i] + A31 * u1[i] + A32 * u2[i]
    field(new, p, mode, f, jacobian, False)
    for i in range(n):
        u3[i] = f[i] + over * (C31 * u1[i] + C32 * u2[i])
    solve(system, order, u3)
    for i in range(n):
        new[i] = y[i] + A41 * u1[i] + A42 * u2[i] + A43 * u3[i]
    field(new, p, mode, f, jacobian, False)
    for i in range(n):
        u4[i] = f[i] + over * (C41 * u1[i] + C42 * u2[i] + C43 * u3[i])
    solve(system, order, u4)
    for i in range(n):
        new[i] = y[i] + A51 * u1[i] + A52 * u2[i] + A53 * u3[i] + A54 * u4[i]
    field(new, p, mode, f, jacobian, False)
    for i in range(n):
        u5[i] = f[i] + over * (C51 * u1[i] + C52 * u2[i] + C53 * u3[i] + C54 * u4[i])
    solve(system, order, u5)
    for i in range(n):
        new[i] += u5[i]
    field(new, p, mode, f, jacobian, False)
    for i in range(n):
        early = C61 * u1[i] + C62 * u2[i] + C63 * u3[i]
        u6[i] = f[i] + over * (early + C64 * u4[i] + C65 * u5[i])
    solve(system, order, u6)
    for i in range(n):
        new[i] += u6[i]
    return 0


@compiled(Real(Table, Reals))
def error_norm(u: Array, weights: Array) -> float:
    """Root mean square of the embedded error over its weights; infinite if anything is not finite.

    Tolerance is met at 1 or less.
    """
    n = weights.shape[0]
    total = 0.0
    for i in range(n):
        part = u[5, i] / weights[i]
        total += part * part + 0.0 * u[6, i]
    size = np.sqrt(total / n)
    return size if np.isfinite(size) else np.inf


@compiled(Nothing(Table, Reals, Table))
def prepare_between(u: Array, y: Array, between: Array) -> None:
    """Rows of ``between``: old state, new state and the two terms of the dense output."""
    for i in range(y.shape[0]):
        between[0, i] = y[i]
        between[1, i] = u[6, i]
        late = D24 * u[3, i] + D25 * u[4, i]
        between[2, i] = D21 * u[0, i] + D22 * u[1, i] + D23 * u[2, i] + late
        late = D34 * u[3, i] + D35 * u[4, i]
        between[3, i] = D31 * u[0, i] + D32 * u[1, i] + D33 * u[2, i] + late


@compiled(Nothing(Table, Real, Reals))
def at_share(between: Array, share: float, out: Array) -> None:
    """State at a share of the step, 0 to 1: the dense output, of order 3."""
    rest = 1.0 - share
    for i in range(out.shape[0]):
        inner = between[2, i] + share * between[3, i]
        out[i] = between[0, i] * rest + share * (between[1, i] + rest * inner)
