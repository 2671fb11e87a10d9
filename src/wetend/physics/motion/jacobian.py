"""The Jacobian of the wet end's equations, row by row."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Reals, Table, Wholes, inner
from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import (
    FOOT,
    INSTANT,
    PISTON,
    Instant,
    ball_force,
    drive_target,
    rod_force,
)

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
