r"""The equations of motion of rod, liquid and balls.

Contents m of the spaces change by the flows between them; pressures follow from contents and
volumes (:mod:`.nodes`), flows from pressures (:mod:`.passages`). The suction column, the rod and
the balls obey Newton's second law:

.. math::
    \begin{aligned}
    \frac{\rho L}{a} \dot Q_s &= p_a - \rho g z - \Delta p_s(Q_s) - p_s - R_s \dot m_s \\
    M \dot v &= \pm F (b - s|s|^{k-1}) + (p_1 - p_a) A_b - (p_2 - p_a) A_u \mp F_f - c v \\
    (m + \tfrac12 \rho V) \dot w &= \Delta p\,A_c + F_d(Q/A_t - w) - (m - \rho V)(g + \dot v) - F_s
    \end{aligned}

with s the rod's speed over the drive's free speed, b the share of the drive's force built up, A_c a
ball's contact circle, A_t the bore round it, F_s its spring. What a ball displaces as it moves is
taken from one space and given to the other. Along the hose each of a few nodes holds its share of
the string's volume and give, and loses its share of the string's loss to the next.

Valid for a pump whose rod, balls and chambers are stiff, with isothermal free air that does not
dissolve, hoses whose friction outweighs the inertia of what they hold (no water hammer in the
hose), balls that land dead in liquid (no rebound below a Stokes number of about 10: G. G. Joseph,
R. Zenit, M. L. Hunt and A. M. Rosenwinkel, J. Fluid Mech. 433 (2001) 329, from memory). The rod's
weight is left out. Added mass is that of a sphere far from walls, textbook; a leak takes the law of
the steady model. R_s damps the swing of the suction column on its own air (a quarter of critical;
no source) and costs nothing in steady flow.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import (
    Flag,
    Nothing,
    Reals,
    Table,
    Wholes,
    compiled,
    inlined,
)
from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import (
    FOOT,
    INSTANT,
    PISTON,
    Instant,
    ball_force,
    drive_target,
    instant,
    nozzle_flow,
    rod_force,
)
from wetend.physics.motion.jacobian import fill_jacobian
from wetend.physics.motion.nodes import node
from wetend.physics.motion.passages import curve

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@inlined(Nothing(Reals, Reals, Wholes, INSTANT, Reals))
def liquid_slopes(y: Array, p: Array, mode: Integers, s: Instant, dy: Array) -> None:  # noqa: ARG001
    """Suction column, contents up to the outlet, and the sums that go with them."""
    last = len(dy) - at.SUMS
    filled = y[at.QS] - s.qf
    loss = s.loss + p[at.P_SWING] * filled
    dy[at.QS] = (p[at.P_PUSH] - loss - s.ps) / p[at.P_INERTIA]
    dy[at.MS] = filled
    dy[at.M1] = s.qf - s.qp
    dy[at.M2] = s.qp - s.qt - s.qe
    dy[last + at.DRAWN] = y[at.QS]
    dy[last + at.LOST] = s.qt + s.qo
    dy[last + at.GAUGE_SUM] = s.h - p[at.P_ATMOSPHERE]


@inlined(Nothing(Reals, Reals, Wholes, INSTANT, Reals))
def solid_slopes(y: Array, p: Array, mode: Integers, s: Instant, dy: Array) -> None:
    """Rod, drive and balls."""
    force, _ = rod_force(y, p, mode, s.p1, s.p2)
    rod = 0.0
    if mode[at.M_ROD] == at.SLIDING:
        rod = (force - mode[at.M_SLIP] * p[at.P_FRICTION]) / p[at.P_MASS]
    target, _ = drive_target(p, s.h - p[at.P_ATMOSPHERE])
    dy[at.X] = y[at.V]
    dy[at.V] = rod
    dy[at.BUILT] = (target - y[at.BUILT]) / p[at.P_BUILD_TIME]
    dy[at.Z1], dy[at.W1], dy[at.Z2], dy[at.W2] = 0.0, 0.0, 0.0, 0.0
    if mode[at.M_FOOT] == at.FREE:
        push, _ = ball_force(p, FOOT, s.ps - s.p1, s.qf, y[at.W1])
        dy[at.Z1] = y[at.W1]
        dy[at.W1] = push / p[FOOT + at.B_MASS]
    if mode[at.M_PISTON] == at.FREE:
        push, _ = ball_force(p, PISTON, s.p1 - s.p2, s.qp, y[at.W2])
        dy[at.Z2] = y[at.W2]
        dy[at.W2] = (push - p[PISTON + at.B_SWIM] * rod) / p[PISTON + at.B_MASS]


@inlined(Nothing(Reals, Reals, Wholes, INSTANT, Reals, Table, Flag))
def hose_slopes(
    y: Array, p: Array, mode: Integers, s: Instant, dy: Array, rows: Array, want: bool
) -> None:
    """Along the hose, node by node, to the gun; with its part of the Jacobian if wanted."""
    nodes = mode[at.M_NODES]
    end = at.FIRST_NODE + nodes - 1
    links = nodes - 1.0
    inflow, h, h_m = s.qe - s.qo, s.h, s.h_m
    for i in range(at.FIRST_NODE, end):
        after, after_m, _ = node(p, y[i + 1], p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
        flow, slope = curve(p, at.P_HOSE_CURVE, (h - after) * links)
        slope *= links
        dy[i] = inflow - flow
        if want:
            rows[i, i] -= slope * h_m
            rows[i, i + 1] = slope * after_m
            rows[i + 1, i] = slope * h_m
            rows[i + 1, i + 1] = -slope * after_m
        inflow, h, h_m = flow, after, after_m
    out, out_p = nozzle_flow(p, mode, h)
    dy[end] = inflow - out
    dy[end + 1 + at.DELIVERED] = out
    if want:
        rows[end, end] -= out_p * h_m
        rows[end + 1 + at.DELIVERED, end] = out_p * h_m


@compiled(Nothing(Reals, Reals, Wholes, Reals, Table, Flag))
def field(y: Array, p: Array, mode: Integers, dy: Array, jacobian: Array, want: bool) -> None:
    """Slopes of the state in ``dy`` and, if wanted, the Jacobian (sums: rows but no columns)."""
    s = instant(y, p)
    liquid_slopes(y, p, mode, s, dy)
    solid_slopes(y, p, mode, s, dy)
    if want:
        fill_jacobian(y, p, mode, s, jacobian)
    hose_slopes(y, p, mode, s, dy, jacobian, want)
