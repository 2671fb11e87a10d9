"""Pressures, flows and forces that belong to a state, each with its slopes; what gauges show."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import (
    Nothing,
    Real,
    Reals,
    Table,
    Whole,
    Wholes,
    WholeTable,
    compiled,
    inlined,
    inner,
    numbers,
    reals,
)
from wetend.physics.motion import layout as at
from wetend.physics.motion.passages import ball_drag, curtain, curve, node, passage

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


FOOT = at.P_BALLS
PISTON = at.P_BALLS + at.BALL_SIZE


class Instant(NamedTuple):
    """Absolute pressures and flows, up to the outlet's first node.

    ``ps``, ``p1``, ``p2``, ``h``: suction head, chamber below, chamber above, first node; ``_m``
    and ``_v`` their slopes with content and volume. ``qf``, ``qp``, ``qt``, ``qe``, ``qo``: through
    the foot valve, the piston, the static packings, the filter and to the outside; ``_p`` and
    ``_z`` their slopes with pressure and with lift.
    """

    ps: float
    ps_m: float
    ps_v: float
    p1: float
    p1_m: float
    p1_v: float
    p2: float
    p2_m: float
    p2_v: float
    h: float
    h_m: float
    qf: float
    qf_p: float
    qf_z: float
    qp: float
    qp_p: float
    qp_z: float
    qt: float
    qt_p: float
    qe: float
    qo: float
    qo_p: float
    loss: float
    loss_q: float


INSTANT = numbers(Instant)


@inlined(reals(2)(Reals, Whole, Real))
def leak(p: Array, path: int, drop: float) -> tuple[float, float]:
    """A leak's flow and slope."""
    k = at.P_LEAKS + 2 * path
    flow, slope, _, _ = passage(drop, p[k], p[k + 1], p[at.P_POWER])
    return flow, slope


@inlined(reals(3)(Reals, Real, Real))
def foot_flow(p: Array, lift: float, drop: float) -> tuple[float, float, float]:
    """Through the foot valve, with its slopes with pressure and lift."""
    flow, slope, with_lift = curtain(p, FOOT, lift, drop)
    leaked, leak_slope = leak(p, at.FOOT_SEAT, drop)
    return flow + leaked, slope + leak_slope, with_lift


@inlined(reals(3)(Reals, Real, Real))
def piston_flow(p: Array, lift: float, drop: float) -> tuple[float, float, float]:
    """Through and past the piston, with its slopes with pressure and lift."""
    flow, slope, with_lift = curtain(p, PISTON, lift, drop)
    for path in (at.PISTON_SEAT, at.PACKINGS, at.SCORE):
        leaked, leak_slope = leak(p, path, drop)
        flow += leaked
        slope += leak_slope
    return flow, slope, with_lift


@inlined(reals(2)(Reals, Real))
def suction_loss(p: Array, flow: float) -> tuple[float, float]:
    """Pressure lost on the way to the foot valve, and its slope with flow."""
    loss, slope = curve(p, at.P_SUCTION_CURVE, flow)
    vortex = p[at.P_SUCTION_VORTEX] * abs(flow)
    steady = p[at.P_SUCTION_DRAG]
    return loss + (steady + vortex) * flow, slope + steady + 2.0 * vortex


@inlined(reals(9)(Reals, Reals))
def spaces(y: Array, p: Array) -> tuple[float, ...]:
    """Pressure, slope with content and with volume of head, chamber below and chamber above."""
    foot, piston = p[FOOT + at.B_AREA] * y[at.Z1], p[PISTON + at.B_AREA] * y[at.Z2]
    below = p[at.P_DEAD_BELOW] + p[at.P_AREA_BELOW] * y[at.X] - foot + piston
    above = p[at.P_DEAD_ABOVE] + p[at.P_AREA_ABOVE] * (p[at.P_STROKE] - y[at.X]) - piston
    ps, ps_m, ps_v = node(p, y[at.MS], p[at.P_HEAD_VOLUME] + foot, p[at.P_HEAD_GIVE])
    p1, p1_m, p1_v = node(p, y[at.M1], below, 0.0)
    p2, p2_m, p2_v = node(p, y[at.M2], above, 0.0)
    return ps, ps_m, ps_v, p1, p1_m, p1_v, p2, p2_m, p2_v


@inlined(INSTANT(Reals, Reals))
def instant(y: Array, p: Array) -> Instant:
    """Work out all of them."""
    air = p[at.P_ATMOSPHERE]
    ps, ps_m, ps_v, p1, p1_m, p1_v, p2, p2_m, p2_v = spaces(y, p)
    h, h_m, _ = node(p, y[at.FIRST_NODE], p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
    qf, qf_p, qf_z = foot_flow(p, y[at.Z1], ps - p1)
    qp, qp_p, qp_z = piston_flow(p, y[at.Z2], p1 - p2)
    qt, qt_p = leak(p, at.STATIC, p2 - air)
    qo, qo_p = leak(p, at.OUTSIDE, h - air)
    loss, loss_q = suction_loss(p, y[at.QS])
    return Instant(
        ps, ps_m, ps_v, p1, p1_m, p1_v, p2, p2_m, p2_v, h, h_m, qf, qf_p, qf_z, qp, qp_p, qp_z,
        qt, qt_p, (p2 - h) * p[at.P_FILTER], qo, qo_p, loss, loss_q,
    )  # fmt: skip


@inlined(reals(2)(Reals, Whole, Real, Real, Real))
def ball_force(p: Array, ball: int, drop: float, flow: float, speed: float) -> tuple[float, float]:
    """Upward force on a ball, and its slope with the liquid's speed past it."""
    drag, slope = ball_drag(p, ball, flow / p[ball + at.B_TUBE] - speed)
    still = p[ball + at.B_WEIGHT] + p[ball + at.B_HOLD]
    return drop * p[ball + at.B_AREA] + drag - still, slope


@inlined(reals(2)(Reals, Reals, Wholes, Real, Real))
def rod_force(
    y: Array, p: Array, mode: Integers, below: float, above: float
) -> tuple[float, float]:
    """Upward force on the rod, friction of the packings left out, and its slope with speed."""
    way = mode[at.M_WAY]
    s = way * y[at.V] / p[at.P_FREE_SPEED]
    power = p[at.P_DROOP]
    steep = abs(s) if power == 2.0 else abs(s) ** (power - 1.0)
    drive = way * p[at.P_FORCE] * (y[at.BUILT] - s * steep)
    calm = 1.0 + abs(y[at.V]) / p[at.P_EASE_SPEED]
    drag = p[at.P_DRAG] + p[at.P_EASE] / calm
    slope = -p[at.P_FORCE] * power * steep / p[at.P_FREE_SPEED]
    slope -= p[at.P_DRAG] + p[at.P_EASE] / (calm * calm)
    air = p[at.P_ATMOSPHERE]
    liquid = (below - air) * p[at.P_AREA_BELOW] - (above - air) * p[at.P_AREA_ABOVE]
    return drive + liquid - drag * y[at.V], slope


@inlined(reals(2)(Reals, Real))
def drive_target(p: Array, gauge: float) -> tuple[float, float]:
    """Share of its force that the drive builds up towards, and its slope with the gauge.

    1, but for a drive that watches the pressure: that one lets go over a band above its setting.
    """
    if p[at.P_CONTROL] <= 0.0:
        return 1.0, 0.0
    share = 1.0 - (gauge - p[at.P_CONTROL]) / p[at.P_BAND]
    if share >= 1.0:
        return 1.0, 0.0
    if share <= 0.0:
        return 0.0, 0.0
    return share, -1.0 / p[at.P_BAND]


@inlined(reals(2)(Reals, Wholes, Real))
def nozzle_flow(p: Array, mode: Integers, pressure: float) -> tuple[float, float]:
    """What leaves at the gun, and its slope; nothing runs back through a nozzle."""
    drop = pressure - p[at.P_ATMOSPHERE]
    if mode[at.M_GUN] == 0 or drop <= 0.0:
        return 0.0, 0.0
    flow, slope, _, _ = passage(drop, p[at.P_NOZZLE_SLOW], p[at.P_NOZZLE_FAST], 1.0)
    return flow, slope


(O_SUCTION, O_BELOW, O_ABOVE, O_GAUGE, O_GUN, O_FOOT, O_PISTON, O_PAST, O_STATIC, O_OUTSIDE,
 O_OUT, O_NOZZLE, OBSERVED) = range(13)  # fmt: skip
"""Pressures over the atmosphere (Pa): suction head, below and above the piston, gauge, gun. Flows
(m^3/s): foot valve, through and past the piston, of that past packings and score, static packings,
leak to the outside, outlet, nozzle."""


@inner(Nothing(Reals, Reals, Wholes, Reals))
def observe(y: Array, p: Array, mode: Integers, out: Array) -> None:
    """Pressures and flows that belong to a state."""
    s, air = instant(y, p), p[at.P_ATMOSPHERE]
    last = y[at.FIRST_NODE + mode[at.M_NODES] - 1]
    gun, _, _ = node(p, last, p[at.P_NODE_VOLUME], p[at.P_NODE_GIVE])
    out[O_SUCTION], out[O_BELOW], out[O_ABOVE] = s.ps - air, s.p1 - air, s.p2 - air
    out[O_GAUGE], out[O_GUN] = s.h - air, gun - air
    out[O_FOOT], out[O_PISTON], out[O_STATIC], out[O_OUTSIDE] = s.qf, s.qp, s.qt, s.qo
    packings, _ = leak(p, at.PACKINGS, s.p1 - s.p2)
    score, _ = leak(p, at.SCORE, s.p1 - s.p2)
    seat, _ = leak(p, at.PISTON_SEAT, s.p1 - s.p2)
    out[O_PAST] = packings + score + seat
    out[O_OUT] = s.qe
    out[O_NOZZLE], _ = nozzle_flow(p, mode, gun)


@compiled(Nothing(Table, WholeTable, Reals, Table))
def observe_rows(states: Array, modes: Integers, p: Array, out: Array) -> None:
    """Observe every row of a run."""
    for k in range(len(states)):
        observe(states[k], p, modes[k], out[k])
