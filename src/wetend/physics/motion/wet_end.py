r"""The equations of motion of rod, liquid and balls.

Contents m of the spaces change by the flows between them; pressures follow from contents and
volumes, and flows from pressures (:mod:`wetend.physics.motion.passages`). The suction column, the
rod and the balls obey Newton's second law:

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

from wetend.jit.kinds import Flag, Nothing, Reals, Table, Wholes, compiled, inlined, inner
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
from wetend.physics.motion.passages import curve, node

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@inner(Nothing(Reals, INSTANT, Table))
def liquid_rows(p: Array, s: Instant, rows: Array) -> None:
    """Rows of suction column, head, both chambers and first node; those of two sums."""
    area1, area2 = p[FOOT + at.B_AREA], p[PISTON + at.B_AREA]
    ps_z1, p1_z1, p1_z2 = s.ps_v * area1, -s.p1_v * area1, s.p1_v * area2
    p1_x, p2_x = s.p1_v * p[at.P_AREA_BELOW], -s.p2_v * p[at.P_AREA_ABOVE]
    p2_z2 = -s.p2_v * area2
    push = p[at.P_INERTIA]
    swing = p[at.P_SWING] / push
    slow = p[at.P_FILTER]
    last = rows.shape[0] - at.SUMS
    first = at.FIRST_NODE
    rows[at.QS, at.QS] = -s.loss_q / push - swing
    rows[at.QS, at.MS] = -s.ps_m / push
    rows[at.QS, at.Z1] = -ps_z1 / push
    rows[at.MS, at.QS] = 1.0
    rows[last + at.DRAWN, at.QS] = 1.0
    for place, slope in (
        (at.MS, s.qf_p * s.ps_m),
        (at.M1, -s.qf_p * s.p1_m),
        (at.X, -s.qf_p * p1_x),
        (at.Z1, s.qf_z + s.qf_p * (ps_z1 - p1_z1)),
        (at.Z2, -s.qf_p * p1_z2),
    ):
        rows[at.QS, place] += swing * slope
        rows[at.MS, place] -= slope
        rows[at.M1, place] += slope
    for place, slope in (
        (at.M1, s.qp_p * s.p1_m),
        (at.M2, -s.qp_p * s.p2_m),
        (at.X, s.qp_p * (p1_x - p2_x)),
        (at.Z1, s.qp_p * p1_z1),
        (at.Z2, s.qp_z + s.qp_p * (p1_z2 - p2_z2)),
    ):
        rows[at.M1, place] -= slope
        rows[at.M2, place] += slope
    for place, slope in ((at.M2, s.p2_m), (at.X, p2_x), (at.Z2, p2_z2)):
        rows[at.M2, place] -= (s.qt_p + slow) * slope
        rows[first, place] += slow * slope
        rows[last + at.LOST, place] = s.qt_p * slope
    rows[at.M2, first] = slow * s.h_m
    rows[first, first] = -(slow + s.qo_p) * s.h_m
    rows[last + at.LOST, first] = s.qo_p * s.h_m
    rows[last + at.GAUGE_SUM, first] = s.h_m


@inner(Nothing(Reals, Reals, Wholes, INSTANT, Table))
def rod_rows(y: Array, p: Array, mode: Integers, s: Instant, rows: Array) -> None:
    """Rows of rod and drive."""
    build = p[at.P_BUILD_TIME]
    _, target_h = drive_target(p, s.h - p[at.P_ATMOSPHERE])
    rows[at.X, at.V] = 1.0
    rows[at.BUILT, at.BUILT] = -1.0 / build
    rows[at.BUILT, at.FIRST_NODE] = target_h * s.h_m / build
    if mode[at.M_ROD] != at.SLIDING:
        return
    below, above = p[at.P_AREA_BELOW] / p[at.P_MASS], p[at.P_AREA_ABOVE] / p[at.P_MASS]
    area1, area2 = p[FOOT + at.B_AREA], p[PISTON + at.B_AREA]
    _, with_speed = rod_force(y, p, mode, s.p1, s.p2)
    rows[at.V, at.M1] = s.p1_m * below
    rows[at.V, at.M2] = -s.p2_m * above
    rows[at.V, at.X] = s.p1_v * p[at.P_AREA_BELOW] * below + s.p2_v * p[at.P_AREA_ABOVE] * above
    rows[at.V, at.Z1] = -s.p1_v * area1 * below
    rows[at.V, at.Z2] = (s.p1_v * below + s.p2_v * above) * area2
    rows[at.V, at.V] = with_speed / p[at.P_MASS]
    rows[at.V, at.BUILT] = mode[at.M_WAY] * p[at.P_FORCE] / p[at.P_MASS]


@inner(Nothing(Reals, Reals, INSTANT, Table))
def foot_ball_rows(y: Array, p: Array, s: Instant, rows: Array) -> None:
    """Rows of the foot valve's ball off its seat."""
    mass = p[FOOT + at.B_MASS]
    _, drag = ball_force(p, FOOT, s.ps - s.p1, s.qf, y[at.W1])
    push = p[FOOT + at.B_AREA] / mass
    carry = drag / (p[FOOT + at.B_TUBE] * mass)
    with_drop = push + carry * s.qf_p
    area1, area2 = p[FOOT + at.B_AREA], p[PISTON + at.B_AREA]
    rows[at.Z1, at.W1] = 1.0
    rows[at.W1, at.W1] = -drag / mass
    rows[at.W1, at.MS] = with_drop * s.ps_m
    rows[at.W1, at.M1] = -with_drop * s.p1_m
    rows[at.W1, at.X] = -with_drop * s.p1_v * p[at.P_AREA_BELOW]
    rows[at.W1, at.Z1] = with_drop * (s.ps_v + s.p1_v) * area1 + carry * s.qf_z
    rows[at.W1, at.Z2] = -with_drop * s.p1_v * area2


@inner(Nothing(Reals, Reals, INSTANT, Table))
def piston_ball_rows(y: Array, p: Array, s: Instant, rows: Array) -> None:
    """Rows of the piston's ball off its seat; the rod's must be there already."""
    mass = p[PISTON + at.B_MASS]
    _, drag = ball_force(p, PISTON, s.p1 - s.p2, s.qp, y[at.W2])
    push = p[PISTON + at.B_AREA] / mass
    carry = drag / (p[PISTON + at.B_TUBE] * mass)
    with_drop = push + carry * s.qp_p
    swim = p[PISTON + at.B_SWIM] / mass
    area1, area2 = p[FOOT + at.B_AREA], p[PISTON + at.B_AREA]
    below, above = p[at.P_AREA_BELOW], p[at.P_AREA_ABOVE]
    for place in (at.M1, at.M2, at.X, at.Z1, at.Z2, at.V, at.BUILT):
        rows[at.W2, place] = -swim * rows[at.V, place]
    rows[at.Z2, at.W2] = 1.0
    rows[at.W2, at.W2] = -drag / mass
    rows[at.W2, at.M1] += with_drop * s.p1_m
    rows[at.W2, at.M2] -= with_drop * s.p2_m
    rows[at.W2, at.X] += with_drop * (s.p1_v * below + s.p2_v * above)
    rows[at.W2, at.Z1] -= with_drop * s.p1_v * area1
    rows[at.W2, at.Z2] += with_drop * (s.p1_v + s.p2_v) * area2 + carry * s.qp_z


@inner(Nothing(Reals, Reals, Wholes, INSTANT, Table))
def fill_jacobian(y: Array, p: Array, mode: Integers, s: Instant, rows: Array) -> None:
    """Set every row but those along the hose."""
    for i in range(rows.shape[0]):
        for j in range(rows.shape[1]):
            rows[i, j] = 0.0
    liquid_rows(p, s, rows)
    rod_rows(y, p, mode, s, rows)
    if mode[at.M_FOOT] == at.FREE:
        foot_ball_rows(y, p, s, rows)
    if mode[at.M_PISTON] == at.FREE:
        piston_ball_rows(y, p, s, rows)


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
