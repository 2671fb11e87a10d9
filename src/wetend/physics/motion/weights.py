"""How large an error of each state may be."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Reals, compiled
from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import FOOT, PISTON, spaces
from wetend.physics.motion.passages import node

Array = NDArray[np.float64]


@compiled(Nothing(Reals, Reals, Reals))
def weigh(y: Array, p: Array, weights: Array) -> None:
    """How large an error of each state counts as 1 at a tolerance of 1.

    Pressures count against themselves and an atmosphere, places against the travel, speeds against
    themselves and a tenth of the drive's free speed.
    """
    n = len(y)
    ps, ps_m, _, p1, p1_m, _, p2, p2_m, _ = spaces(y, p)
    speed = 0.1 * p[at.P_FREE_SPEED]
    sweep = p[at.P_AREA_BELOW] * p[at.P_STROKE]
    weights[at.QS] = abs(y[at.QS]) + p[at.P_AREA_BELOW] * speed
    weights[at.MS] = min((ps * 0.03 + 1e5) / ps_m, 0.02 * y[at.MS])
    weights[at.M1] = min((p1 * 0.03 + 1e5) / p1_m, 0.02 * y[at.M1])
    weights[at.M2] = min((p2 * 0.03 + 1e5) / p2_m, 0.02 * y[at.M2])
    weights[at.Z1] = p[FOOT + at.B_LIFT]
    weights[at.W1] = abs(y[at.W1]) + 0.1
    weights[at.Z2] = p[PISTON + at.B_LIFT]
    weights[at.W2] = abs(y[at.W2]) + 0.1
    weights[at.X] = p[at.P_STROKE]
    weights[at.V] = abs(y[at.V]) + speed
    weights[at.BUILT] = 1.0
    sums = n - 4
    for i in range(at.FIRST_NODE, sums):
        h, h_m, _ = node(p, y[i], p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
        weights[i] = min((h * 0.03 + 1e5) / h_m, 0.02 * y[i])
    weights[sums + at.DRAWN] = sweep
    weights[sums + at.DELIVERED] = sweep
    weights[sums + at.LOST] = sweep
    weights[sums + at.GAUGE_SUM] = 1e5 + abs(y[sums + at.GAUGE_SUM])
