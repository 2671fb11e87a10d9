"""What ends a mode of the wet end, and what follows: balls at their stops, the rod, drive, gun."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.physics.motion.compiled import Nothing, Real, Reals, Whole, Wholes, compiled
from wetend.physics.motion.layout import (
    AT_STOP,
    B_LIFT,
    B_MASS,
    B_STICK,
    B_SWIM,
    BUILT,
    C_DWELL,
    C_GUN,
    DELIVERED,
    DRAWN,
    FIRST_NODE,
    FREE,
    G_END,
    G_FOOT_SEAT,
    G_FOOT_STOP,
    G_PISTON_SEAT,
    G_PISTON_STOP,
    G_ROD,
    G_TURN,
    GAUGE_SUM,
    GUN_OPEN,
    GUN_PULSED,
    LOCKED,
    LOST,
    M1,
    M2,
    M_FOOT,
    M_GUN,
    M_GUN_KIND,
    M_PISTON,
    M_ROD,
    M_SLIP,
    M_TRIPS,
    M_TRIPS_WANTED,
    M_WAY,
    MS,
    P_AREA_BELOW,
    P_DWELL,
    P_FREE_SPEED,
    P_FRICTION,
    P_NODE_GIVE,
    P_NODE_VOLUME,
    P_PULSE_OFF,
    P_PULSE_ON,
    P_STROKE,
    QS,
    SEATED,
    SLIDING,
    STUCK,
    W1,
    W2,
    Z1,
    Z2,
    V,
    X,
)
from wetend.physics.motion.nodes import node
from wetend.physics.motion.wet_end import (
    FOOT,
    PISTON,
    ball_force,
    foot_flow,
    piston_flow,
    rod_force,
    spaces,
)

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@compiled(Nothing(Reals, Whole, Whole, Real, Real, Reals, Whole))
def ball_guards(
    p: Array, ball: int, where: int, lift: float, force: float, g: Array, place: int
) -> None:
    """Guards of one ball: at its seat (``g[place]``) and at its stop (the next)."""
    g[place] = 1.0
    g[place + 1] = 1.0
    if where == FREE:
        g[place] = lift
        g[place + 1] = p[ball + B_LIFT] - lift
    elif where == SEATED:
        g[place] = -force
    else:
        g[place + 1] = force + p[ball + B_STICK]


@compiled(Nothing(Reals, Reals, Wholes, Reals))
def guards(y: Array, p: Array, mode: Integers, g: Array) -> None:
    """Numbers that stay at nought or above while the mode holds."""
    (ps, _, _), (p1, _, _), (p2, _, _) = spaces(y, p)
    force = 0.0
    if mode[M_FOOT] != FREE:
        flow, _, _ = foot_flow(p, y[Z1], ps - p1)
        force, _, _ = ball_force(p, FOOT, ps - p1, flow, y[W1])
    ball_guards(p, FOOT, mode[M_FOOT], y[Z1], force, g, G_FOOT_SEAT)
    if mode[M_PISTON] != FREE:
        flow, _, _ = piston_flow(p, y[Z2], p1 - p2)
        force, _, _ = ball_force(p, PISTON, p1 - p2, flow, y[W2])
    ball_guards(p, PISTON, mode[M_PISTON], y[Z2], force, g, G_PISTON_SEAT)
    g[G_ROD] = 1.0
    g[G_TURN] = 1.0
    g[G_END] = 1.0
    if mode[M_ROD] == SLIDING:
        g[G_ROD] = mode[M_SLIP] * y[V]
        up, down = p[P_STROKE] - y[X], y[X]
        g[G_TURN] = up if mode[M_WAY] > 0 else down
        g[G_END] = (down if mode[M_WAY] > 0 else up) + 1e-9
    elif mode[M_ROD] == STUCK:
        net, _ = rod_force(y, p, mode, p1, p2)
        if y[X] <= 0.0:
            net = max(net, 0.0)
        if y[X] >= p[P_STROKE]:
            net = min(net, 0.0)
        g[G_ROD] = p[P_FRICTION] * (1.0 + 1e-12) + 1e-9 - abs(net)


@compiled(Nothing(Reals, Reals, Wholes))
def settle_rod(y: Array, p: Array, mode: Integers) -> None:
    """A rod that has stopped: held by friction, or off the way the net force goes."""
    y[V] = 0.0
    (_, _, _), (p1, _, _), (p2, _, _) = spaces(y, p)
    net, _ = rod_force(y, p, mode, p1, p2)
    if abs(net) <= p[P_FRICTION]:
        mode[M_ROD] = STUCK
        return
    mode[M_ROD] = SLIDING
    mode[M_SLIP] = 1 if net > 0.0 else -1


@compiled(Nothing(Reals, Reals, Wholes))
def stop_rod(y: Array, p: Array, mode: Integers) -> None:
    """Stop the rod at an end; a piston ball off its seat keeps its own speed."""
    y[X] = p[P_STROKE] if y[X] > 0.5 * p[P_STROKE] else 0.0
    if mode[M_PISTON] == FREE:
        y[W2] += y[V] * p[PISTON + B_SWIM] / p[PISTON + B_MASS]
    y[V] = 0.0


@compiled(Nothing(Whole, Whole, Reals, Reals, Wholes))
def meet(which: int, seat: int, y: Array, p: Array, mode: Integers) -> None:
    """A ball meets or leaves its seat or its stop."""
    foot = seat == G_FOOT_SEAT
    place, lift, speed = (M_FOOT, Z1, W1) if foot else (M_PISTON, Z2, W2)
    ball = FOOT if foot else PISTON
    y[speed] = 0.0
    if mode[place] != FREE:
        mode[place] = FREE
    elif which == seat:
        mode[place] = SEATED
        y[lift] = 0.0
    else:
        mode[place] = AT_STOP
        y[lift] = p[ball + B_LIFT]


@compiled(Whole(Whole, Real, Reals, Reals, Wholes, Reals))
def react(which: int, t: float, y: Array, p: Array, mode: Integers, clock: Array) -> int:
    """What follows from a guard or from a time on the clock; 1 to stop the run."""
    if which == G_FOOT_SEAT or which == G_FOOT_STOP:
        meet(which, G_FOOT_SEAT, y, p, mode)
    elif which == G_PISTON_SEAT or which == G_PISTON_STOP:
        meet(which, G_PISTON_SEAT, y, p, mode)
    elif which == G_ROD:
        settle_rod(y, p, mode)
    elif which == G_END:
        stop_rod(y, p, mode)
        mode[M_ROD] = STUCK
    elif which == G_TURN:
        stop_rod(y, p, mode)
        mode[M_ROD] = LOCKED
        mode[M_TRIPS] += 1
        clock[C_DWELL] = t + p[P_DWELL]
        if mode[M_TRIPS] >= mode[M_TRIPS_WANTED]:
            return 1
    elif which == -1 - C_DWELL:
        clock[C_DWELL] = np.inf
        mode[M_WAY] = -mode[M_WAY]
        mode[M_ROD] = STUCK
        y[BUILT] = 0.0
    elif which == -1 - C_GUN:
        if mode[M_GUN_KIND] == GUN_PULSED:
            clock[C_GUN] = t + (p[P_PULSE_OFF] if mode[M_GUN] != 0 else p[P_PULSE_ON])
        else:
            clock[C_GUN] = np.inf
        mode[M_GUN] = 0 if mode[M_GUN] != 0 else GUN_OPEN
    return 0


@compiled(Nothing(Reals, Reals, Reals))
def weigh(y: Array, p: Array, weights: Array) -> None:
    """How large an error of each state counts as 1 at a tolerance of 1.

    Pressures count against themselves and an atmosphere, places against the travel, speeds against
    themselves and a tenth of the drive's free speed.
    """
    n = y.shape[0]
    (ps, ps_m, _), (p1, p1_m, _), (p2, p2_m, _) = spaces(y, p)
    speed = 0.1 * p[P_FREE_SPEED]
    sweep = p[P_AREA_BELOW] * p[P_STROKE]
    weights[QS] = abs(y[QS]) + p[P_AREA_BELOW] * speed
    weights[MS] = min((ps + 1e5) / ps_m, 0.02 * y[MS])
    weights[M1] = min((p1 + 1e5) / p1_m, 0.02 * y[M1])
    weights[M2] = min((p2 + 1e5) / p2_m, 0.02 * y[M2])
    weights[Z1] = p[FOOT + B_LIFT]
    weights[W1] = abs(y[W1]) + 0.1
    weights[Z2] = p[PISTON + B_LIFT]
    weights[W2] = abs(y[W2]) + 0.1
    weights[X] = p[P_STROKE]
    weights[V] = abs(y[V]) + speed
    weights[BUILT] = 1.0
    sums = n - 4
    for i in range(FIRST_NODE, sums):
        h, h_m, _ = node(p, y[i], p[P_NODE_VOLUME], p[P_NODE_GIVE])
        weights[i] = min((h + 1e5) / h_m, 0.02 * y[i])
    weights[sums + DRAWN] = sweep
    weights[sums + DELIVERED] = sweep
    weights[sums + LOST] = sweep
    weights[sums + GAUGE_SUM] = 1e5 + abs(y[sums + GAUGE_SUM])
