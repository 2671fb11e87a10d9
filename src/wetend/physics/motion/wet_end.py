r"""The equations of motion of rod, liquid and balls, with their Jacobian.

Contents m of the spaces change by the flows between them; pressures follow from contents and
volumes (:mod:`.nodes`), flows from pressures (:mod:`.passages`). The suction column, the rod and
the balls obey Newton's second law:

.. math::

    \frac{\rho L}{a} \dot Q_s &= p_a - \rho g z - \Delta p_s(Q_s) - p_s \\
    M \dot v &= \pm F (b - s|s|^{k-1}) + (p_1 - p_a) A_b - (p_2 - p_a) A_u \mp F_f - c v \\
    (m + \tfrac12 \rho V) \dot w &= \Delta p\,A_c + F_d(Q/A_t - w) - (m - \rho V)(g + \dot v) - F_s

with s the rod's speed over the drive's free speed and b the share of the drive's force built up.
What a ball displaces as it moves is taken from one space and given to the other.
"""

from __future__ import annotations

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
from wetend.physics.motion.layout import (
    B_AREA,
    B_HOLD,
    B_MASS,
    B_SWIM,
    B_TUBE,
    B_WEIGHT,
    BALL_SIZE,
    BUILT,
    DELIVERED,
    DRAWN,
    FIRST_NODE,
    FOOT_SEAT,
    FREE,
    GAUGE_SUM,
    LOST,
    M1,
    M2,
    M_FOOT,
    M_GUN,
    M_NODES,
    M_PISTON,
    M_ROD,
    M_SLIP,
    M_WAY,
    MS,
    OUTSIDE,
    P_AREA_ABOVE,
    P_AREA_BELOW,
    P_ATMOSPHERE,
    P_BALLS,
    P_BAND,
    P_BUILD_TIME,
    P_CONTROL,
    P_DEAD_ABOVE,
    P_DEAD_BELOW,
    P_DRAG,
    P_DROOP,
    P_FILTER,
    P_FORCE,
    P_FREE_SPEED,
    P_FRICTION,
    P_HEAD_GIVE,
    P_HEAD_VOLUME,
    P_HOSE_CURVE,
    P_INERTIA,
    P_LEAKS,
    P_MASS,
    P_NODE_GIVE,
    P_NODE_VOLUME,
    P_NOZZLE_FAST,
    P_NOZZLE_SLOW,
    P_POWER,
    P_PUSH,
    P_STROKE,
    P_SUCTION_CURVE,
    P_SUCTION_DRAG,
    P_SUCTION_VORTEX,
    P_SWING,
    PACKINGS,
    PISTON_SEAT,
    QS,
    SCORE,
    SLIDING,
    STATIC,
    W1,
    W2,
    Z1,
    Z2,
    V,
    X,
)
from wetend.physics.motion.nodes import node
from wetend.physics.motion.passages import ball_drag, curtain, curve, passage

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

FOOT = P_BALLS
PISTON = P_BALLS + BALL_SIZE


@compiled(types.UniTuple(types.UniTuple(Real, 3), 3)(Reals, Reals))
def spaces(y: Array, p: Array) -> tuple[tuple[float, ...], ...]:
    """Pressure and slopes of suction head, chamber below and chamber above."""
    foot, piston = p[FOOT + B_AREA] * y[Z1], p[PISTON + B_AREA] * y[Z2]
    below = p[P_DEAD_BELOW] + p[P_AREA_BELOW] * y[X] - foot + piston
    above = p[P_DEAD_ABOVE] + p[P_AREA_ABOVE] * (p[P_STROKE] - y[X]) - piston
    return (
        node(p, y[MS], p[P_HEAD_VOLUME] + foot, p[P_HEAD_GIVE]),
        node(p, y[M1], below, 0.0),
        node(p, y[M2], above, 0.0),
    )


@compiled(types.UniTuple(Real, 2)(Reals, Whole, Real))
def leak(p: Array, path: int, drop: float) -> tuple[float, float]:
    """A leak's flow and slope."""
    k = P_LEAKS + 2 * path
    flow, slope, _, _ = passage(drop, p[k], p[k + 1], p[P_POWER])
    return flow, slope


@compiled(types.UniTuple(Real, 3)(Reals, Real, Real))
def foot_flow(p: Array, lift: float, drop: float) -> tuple[float, float, float]:
    """Through the foot valve, with its slopes with pressure and lift."""
    flow, slope, with_lift = curtain(p, FOOT, lift, drop)
    leaked, leak_slope = leak(p, FOOT_SEAT, drop)
    return flow + leaked, slope + leak_slope, with_lift


@compiled(types.UniTuple(Real, 3)(Reals, Real, Real))
def piston_flow(p: Array, lift: float, drop: float) -> tuple[float, float, float]:
    """Through and past the piston, with its slopes with pressure and lift."""
    flow, slope, with_lift = curtain(p, PISTON, lift, drop)
    for path in (PISTON_SEAT, PACKINGS, SCORE):
        leaked, leak_slope = leak(p, path, drop)
        flow += leaked
        slope += leak_slope
    return flow, slope, with_lift


@compiled(types.UniTuple(Real, 3)(Reals, Whole, Real, Real, Real))
def ball_force(
    p: Array, ball: int, drop: float, flow: float, speed: float
) -> tuple[float, float, float]:
    """Upward force on a ball, and its slopes with pressure and with the liquid's relative speed."""
    drag, slope = ball_drag(p, ball, flow / p[ball + B_TUBE] - speed)
    still = p[ball + B_WEIGHT] + p[ball + B_HOLD]
    return drop * p[ball + B_AREA] + drag - still, p[ball + B_AREA], slope


@compiled(types.UniTuple(Real, 2)(Reals, Reals, Wholes, Real, Real))
def rod_force(
    y: Array, p: Array, mode: Integers, below: float, above: float
) -> tuple[float, float]:
    """Upward force on the rod, friction of the packings left out, and its slope with speed."""
    way = mode[M_WAY]
    s = way * y[V] / p[P_FREE_SPEED]
    power = p[P_DROOP]
    size = abs(s)
    if power == 2.0:
        steep = size
    else:
        steep = size ** (power - 1.0)
    drive = way * p[P_FORCE] * (y[BUILT] - s * steep)
    slope = -p[P_FORCE] * power * steep / p[P_FREE_SPEED] - p[P_DRAG]
    air = p[P_ATMOSPHERE]
    liquid = (below - air) * p[P_AREA_BELOW] - (above - air) * p[P_AREA_ABOVE]
    return drive + liquid - p[P_DRAG] * y[V], slope


@compiled(types.UniTuple(Real, 2)(Reals, Real))
def drive_target(p: Array, gauge: float) -> tuple[float, float]:
    """Share of its force that the drive builds up towards, and its slope with the gauge.

    1, but for a drive that watches the pressure: that one lets go over a band above its setting.
    """
    if p[P_CONTROL] <= 0.0:
        return 1.0, 0.0
    share = 1.0 - (gauge - p[P_CONTROL]) / p[P_BAND]
    if share >= 1.0:
        return 1.0, 0.0
    if share <= 0.0:
        return 0.0, 0.0
    return share, -1.0 / p[P_BAND]


@compiled(Nothing(Reals, Reals, Wholes, Reals, Table, Flag))
def field(y: Array, p: Array, mode: Integers, dy: Array, jacobian: Array, want: bool) -> None:
    """Slopes of the state in ``dy`` and, if wanted, the Jacobian."""
    nodes = mode[M_NODES]
    sums = FIRST_NODE + nodes
    air = p[P_ATMOSPHERE]
    (ps, ps_m, ps_v), (p1, p1_m, p1_v), (p2, p2_m, p2_v) = spaces(y, p)
    qf, qf_p, qf_z = foot_flow(p, y[Z1], ps - p1)
    qp, qp_p, qp_z = piston_flow(p, y[Z2], p1 - p2)
    qt, qt_p = leak(p, STATIC, p2 - air)
    give = p[P_NODE_GIVE]
    h, h_m, _ = node(p, y[FIRST_NODE], p[P_NODE_VOLUME], give)
    gauge = h
    qe = (p2 - h) * p[P_FILTER]
    qo, qo_p = leak(p, OUTSIDE, h - air)

    loss, loss_q = curve(p, P_SUCTION_CURVE, y[QS])
    vortex = p[P_SUCTION_VORTEX] * abs(y[QS])
    loss += (p[P_SUCTION_DRAG] + vortex) * y[QS]
    loss_q += p[P_SUCTION_DRAG] + 2.0 * vortex
    dy[MS] = y[QS] - qf
    dy[QS] = (p[P_PUSH] - loss - ps - p[P_SWING] * dy[MS]) / p[P_INERTIA]
    dy[M1] = qf - qp
    dy[M2] = qp - qt - qe

    moving = mode[M_ROD] == SLIDING
    force, force_v = rod_force(y, p, mode, p1, p2)
    rod = 0.0
    if moving:
        rod = (force - mode[M_SLIP] * p[P_FRICTION]) / p[P_MASS]
    dy[X] = y[V]
    dy[V] = rod
    target, target_h = drive_target(p, gauge - air)
    dy[BUILT] = (target - y[BUILT]) / p[P_BUILD_TIME]

    dy[Z1] = 0.0
    dy[W1] = 0.0
    f1, f1_p, f1_u = ball_force(p, FOOT, ps - p1, qf, y[W1])
    if mode[M_FOOT] == FREE:
        dy[Z1] = y[W1]
        dy[W1] = f1 / p[FOOT + B_MASS]
    dy[Z2] = 0.0
    dy[W2] = 0.0
    f2, f2_p, f2_u = ball_force(p, PISTON, p1 - p2, qp, y[W2])
    if mode[M_PISTON] == FREE:
        dy[Z2] = y[W2]
        dy[W2] = (f2 - p[PISTON + B_SWIM] * rod) / p[PISTON + B_MASS]

    if want:
        for i in range(sums + 4):
            for j in range(sums + 4):
                jacobian[i, j] = 0.0
        area1, area2 = p[FOOT + B_AREA], p[PISTON + B_AREA]
        below, above = p[P_AREA_BELOW], p[P_AREA_ABOVE]
        # pressures with places and contents
        ps_z1 = ps_v * area1
        p1_x, p1_z1, p1_z2 = p1_v * below, -p1_v * area1, p1_v * area2
        p2_x, p2_z2 = -p2_v * above, -p2_v * area2
        # flows: foot, piston, static packings, outlet
        swing = p[P_SWING]
        jacobian[QS, QS] = -(loss_q + swing) / p[P_INERTIA]
        jacobian[MS, QS] = 1.0
        f_ms, f_m1, f_x = qf_p * ps_m, -qf_p * p1_m, -qf_p * p1_x
        f_z1, f_z2 = qf_z + qf_p * (ps_z1 - p1_z1), -qf_p * p1_z2
        g_m1, g_m2, g_x = qp_p * p1_m, -qp_p * p2_m, qp_p * (p1_x - p2_x)
        g_z1, g_z2 = qp_p * p1_z1, qp_z + qp_p * (p1_z2 - p2_z2)
        jacobian[QS, MS] = (swing * f_ms - ps_m) / p[P_INERTIA]
        jacobian[QS, M1] = swing * f_m1 / p[P_INERTIA]
        jacobian[QS, X] = swing * f_x / p[P_INERTIA]
        jacobian[QS, Z1] = (swing * f_z1 - ps_z1) / p[P_INERTIA]
        jacobian[QS, Z2] = swing * f_z2 / p[P_INERTIA]
        jacobian[MS, MS] = -f_ms
        jacobian[MS, M1] = -f_m1
        jacobian[MS, X] = -f_x
        jacobian[MS, Z1] = -f_z1
        jacobian[MS, Z2] = -f_z2
        jacobian[M1, MS] = f_ms
        jacobian[M1, M1] = f_m1 - g_m1
        jacobian[M1, M2] = -g_m2
        jacobian[M1, X] = f_x - g_x
        jacobian[M1, Z1] = f_z1 - g_z1
        jacobian[M1, Z2] = f_z2 - g_z2
        t_m2, t_x, t_z2 = qt_p * p2_m, qt_p * p2_x, qt_p * p2_z2
        e_m2, e_x, e_z2 = p[P_FILTER] * p2_m, p[P_FILTER] * p2_x, p[P_FILTER] * p2_z2
        e_h = -p[P_FILTER] * h_m
        jacobian[M2, M1] = g_m1
        jacobian[M2, M2] = g_m2 - t_m2 - e_m2
        jacobian[M2, X] = g_x - t_x - e_x
        jacobian[M2, Z1] = g_z1
        jacobian[M2, Z2] = g_z2 - t_z2 - e_z2
        jacobian[M2, FIRST_NODE] = -e_h
        # rod
        jacobian[X, V] = 1.0
        if moving:
            mass = p[P_MASS]
            jacobian[V, M1] = p1_m * below / mass
            jacobian[V, M2] = -p2_m * above / mass
            jacobian[V, X] = (p1_x * below - p2_x * above) / mass
            jacobian[V, Z1] = p1_z1 * below / mass
            jacobian[V, Z2] = (p1_z2 * below - p2_z2 * above) / mass
            jacobian[V, V] = force_v / mass
            jacobian[V, BUILT] = mode[M_WAY] * p[P_FORCE] / mass
        jacobian[BUILT, BUILT] = -1.0 / p[P_BUILD_TIME]
        jacobian[BUILT, FIRST_NODE] = target_h * h_m / p[P_BUILD_TIME]
        # balls
        if mode[M_FOOT] == FREE:
            mass = p[FOOT + B_MASS]
            push = f1_p / mass
            carry = f1_u / (p[FOOT + B_TUBE] * mass)
            jacobian[Z1, W1] = 1.0
            jacobian[W1, W1] = -f1_u / mass
            jacobian[W1, MS] = push * ps_m + carry * f_ms
            jacobian[W1, M1] = -push * p1_m + carry * f_m1
            jacobian[W1, X] = -push * p1_x + carry * f_x
            jacobian[W1, Z1] = push * (ps_z1 - p1_z1) + carry * f_z1
            jacobian[W1, Z2] = -push * p1_z2 + carry * f_z2
        if mode[M_PISTON] == FREE:
            mass = p[PISTON + B_MASS]
            push = f2_p / mass
            carry = f2_u / (p[PISTON + B_TUBE] * mass)
            swim = p[PISTON + B_SWIM] / mass
            jacobian[Z2, W2] = 1.0
            jacobian[W2, W2] = -f2_u / mass
            jacobian[W2, M1] = push * p1_m + carry * g_m1 - swim * jacobian[V, M1]
            jacobian[W2, M2] = -push * p2_m + carry * g_m2 - swim * jacobian[V, M2]
            jacobian[W2, X] = push * (p1_x - p2_x) + carry * g_x - swim * jacobian[V, X]
            jacobian[W2, Z1] = push * p1_z1 + carry * g_z1 - swim * jacobian[V, Z1]
            jacobian[W2, Z2] = push * (p1_z2 - p2_z2) + carry * g_z2 - swim * jacobian[V, Z2]
            jacobian[W2, V] = -swim * jacobian[V, V]
            jacobian[W2, BUILT] = -swim * jacobian[V, BUILT]
        # outlet's first node, and the sums
        jacobian[FIRST_NODE, M2] = e_m2
        jacobian[FIRST_NODE, X] = e_x
        jacobian[FIRST_NODE, Z2] = e_z2
        jacobian[FIRST_NODE, FIRST_NODE] = e_h - qo_p * h_m
        jacobian[sums + DRAWN, QS] = 1.0
        jacobian[sums + LOST, M2] = t_m2
        jacobian[sums + LOST, X] = t_x
        jacobian[sums + LOST, Z2] = t_z2
        jacobian[sums + LOST, FIRST_NODE] = qo_p * h_m
        jacobian[sums + GAUGE_SUM, FIRST_NODE] = h_m

    # along the hose, node by node, to the gun
    inflow = qe - qo
    for i in range(FIRST_NODE, sums - 1):
        after, after_m, _ = node(p, y[i + 1], p[P_NODE_VOLUME], give)
        flow, flow_p = curve(p, P_HOSE_CURVE, (h - after) * (nodes - 1))
        flow_p *= nodes - 1
        dy[i] = inflow - flow
        if want:
            jacobian[i, i] -= flow_p * h_m
            jacobian[i, i + 1] = flow_p * after_m
            jacobian[i + 1, i] = flow_p * h_m
            jacobian[i + 1, i + 1] = -flow_p * after_m
        inflow = flow
        h, h_m = after, after_m
    out, out_p = 0.0, 0.0
    if mode[M_GUN] != 0 and h > air:
        out, out_p, _, _ = passage(h - air, p[P_NOZZLE_SLOW], p[P_NOZZLE_FAST], 1.0)
    dy[sums - 1] = inflow - out
    if want:
        jacobian[sums - 1, sums - 1] -= out_p * h_m
        jacobian[sums + DELIVERED, sums - 1] = out_p * h_m
    dy[sums + DRAWN] = y[QS]
    dy[sums + DELIVERED] = out
    dy[sums + LOST] = qt + qo
    dy[sums + GAUGE_SUM] = gauge - air
