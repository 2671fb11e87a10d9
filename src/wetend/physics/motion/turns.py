"""What ends a mode of the wet end, and what follows: balls at their stops, the rod, drive, gun."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Real, Reals, Whole, Wholes, compiled, inner
from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import (
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


@inner(Nothing(Reals, Whole, Whole, Real, Real, Reals, Whole))
def ball_guards(
    p: Array, ball: int, where: int, lift: float, force: float, g: Array, place: int
) -> None:
    """Guards of one ball: at its seat (``g[place]``) and at its stop (the next).

    It takes a thousandth of its weight to set it off, so that it does not tremble there.
    """
    least = 1e-3 * (abs(p[ball + at.B_WEIGHT]) + p[ball + at.B_HOLD]) + 1.0 * p[ball + at.B_AREA]
    g[place] = 1.0
    g[place + 1] = 1.0
    slack = 1e-6 * p[ball + at.B_LIFT]
    if where == at.FREE:
        g[place] = lift + slack
        g[place + 1] = p[ball + at.B_LIFT] - lift + slack
    elif where == at.SEATED:
        g[place] = least - force
    else:
        g[place + 1] = least + force + p[ball + at.B_STICK]


@compiled(Nothing(Reals, Reals, Wholes, Reals))
def guards(y: Array, p: Array, mode: Integers, g: Array) -> None:
    """Numbers that stay at zero or above while the mode holds."""
    ps, _, _, p1, _, _, p2, _, _ = spaces(y, p)
    net, _ = rod_force(y, p, mode, p1, p2)
    force = 0.0
    if mode[at.M_FOOT] != at.FREE:
        flow, _, _ = foot_flow(p, y[at.Z1], ps - p1)
        force, _ = ball_force(p, FOOT, ps - p1, flow, y[at.W1])
    ball_guards(p, FOOT, mode[at.M_FOOT], y[at.Z1], force, g, at.G_FOOT_SEAT)
    if mode[at.M_PISTON] != at.FREE:
        flow, _, _ = piston_flow(p, y[at.Z2], p1 - p2)
        force, _ = ball_force(p, PISTON, p1 - p2, flow, y[at.W2])
        if mode[at.M_ROD] == at.SLIDING:
            speeding = (net - mode[at.M_SLIP] * p[at.P_FRICTION]) / p[at.P_MASS]
            force -= p[PISTON + at.B_SWIM] * speeding
    ball_guards(p, PISTON, mode[at.M_PISTON], y[at.Z2], force, g, at.G_PISTON_SEAT)
    g[at.G_ROD] = 1.0
    g[at.G_TURN] = 1.0
    g[at.G_END] = 1.0
    if mode[at.M_ROD] == at.SLIDING:
        g[at.G_ROD] = mode[at.M_SLIP] * y[at.V] + 1e-6 * p[at.P_FREE_SPEED]
        up, down = p[at.P_STROKE] - y[at.X], y[at.X]
        g[at.G_TURN] = up if mode[at.M_WAY] > 0 else down
        if mode[at.M_SLIP] != mode[at.M_WAY]:
            back = down if mode[at.M_WAY] > 0 else up
            g[at.G_END] = back + 1e-5 * p[at.P_STROKE]
    elif mode[at.M_ROD] == at.STUCK:
        slack = 1e-5 * p[at.P_STROKE]
        if y[at.X] <= slack:
            net = max(net, 0.0)
        if y[at.X] >= p[at.P_STROKE] - slack:
            net = min(net, 0.0)
        g[at.G_ROD] = p[at.P_FRICTION] + 1e-5 * p[at.P_FORCE] - abs(net)


@inner(Nothing(Reals, Reals, Wholes))
def settle_rod(y: Array, p: Array, mode: Integers) -> None:
    """A rod that has stopped: held by friction, or off the way the net force goes."""
    y[at.V] = 0.0
    _, _, _, p1, _, _, p2, _, _ = spaces(y, p)
    net, _ = rod_force(y, p, mode, p1, p2)
    if abs(net) <= p[at.P_FRICTION]:
        mode[at.M_ROD] = at.STUCK
        return
    mode[at.M_ROD] = at.SLIDING
    mode[at.M_SLIP] = 1 if net > 0.0 else -1


@inner(Nothing(Reals, Reals, Wholes))
def stop_rod(y: Array, p: Array, mode: Integers) -> None:
    """Stop the rod; a piston ball off its seat goes on at its own speed."""
    kick = y[at.V] * p[PISTON + at.B_SWIM] / p[PISTON + at.B_MASS]
    if mode[at.M_PISTON] == at.AT_STOP and kick < 0.0:
        mode[at.M_PISTON] = at.FREE
    if mode[at.M_PISTON] == at.FREE:
        y[at.W2] += kick
    y[at.V] = 0.0


@inner(Nothing(Reals, Reals, Whole, Real))
def put_ball(y: Array, p: Array, ball: int, lift: float) -> None:
    """Set a ball exactly at a lift, the liquid it displaces moved so that no pressure jumps."""
    if ball == FOOT:
        moved = p[FOOT + at.B_AREA] * (lift - y[at.Z1])
        y[at.MS] += moved
        y[at.M1] -= moved
        y[at.Z1] = lift
        y[at.W1] = 0.0
    else:
        moved = p[PISTON + at.B_AREA] * (lift - y[at.Z2])
        y[at.M1] += moved
        y[at.M2] -= moved
        y[at.Z2] = lift
        y[at.W2] = 0.0


@inner(Nothing(Whole, Whole, Reals, Reals, Wholes))
def meet(which: int, seat: int, y: Array, p: Array, mode: Integers) -> None:
    """A ball meets or leaves its seat or its stop."""
    foot = seat == at.G_FOOT_SEAT
    place = at.M_FOOT if foot else at.M_PISTON
    ball = FOOT if foot else PISTON
    if mode[place] != at.FREE:
        mode[place] = at.FREE
    elif which == seat:
        mode[place] = at.SEATED
        put_ball(y, p, ball, 0.0)
    else:
        mode[place] = at.AT_STOP
        put_ball(y, p, ball, p[ball + at.B_LIFT])


@compiled(Whole(Whole, Real, Reals, Reals, Wholes, Reals))
def react(which: int, t: float, y: Array, p: Array, mode: Integers, clock: Array) -> int:
    """What follows from a guard or from a time on the clock; 1 to stop the run."""
    if which == at.G_FOOT_SEAT or which == at.G_FOOT_STOP:
        meet(which, at.G_FOOT_SEAT, y, p, mode)
    elif which == at.G_PISTON_SEAT or which == at.G_PISTON_STOP:
        meet(which, at.G_PISTON_SEAT, y, p, mode)
    elif which == at.G_ROD:
        settle_rod(y, p, mode)
    elif which == at.G_END:
        stop_rod(y, p, mode)
        mode[at.M_ROD] = at.STUCK
    elif which == at.G_TURN:
        stop_rod(y, p, mode)
        mode[at.M_ROD] = at.LOCKED
        mode[at.M_TRIPS] += 1
        clock[at.C_DWELL] = t + p[at.P_DWELL]
        if mode[at.M_TRIPS] >= mode[at.M_TRIPS_WANTED]:
            return 1
    elif which == -1 - at.C_DWELL:
        clock[at.C_DWELL] = np.inf
        mode[at.M_WAY] = -mode[at.M_WAY]
        mode[at.M_ROD] = at.STUCK
        y[at.BUILT] = 0.0
    elif which == -1 - at.C_GUN:
        if mode[at.M_GUN_KIND] == at.GUN_PULSED:
            clock[at.C_GUN] = t + (p[at.P_PULSE_OFF] if mode[at.M_GUN] != 0 else p[at.P_PULSE_ON])
        else:
            clock[at.C_GUN] = np.inf
        mode[at.M_GUN] = 0 if mode[at.M_GUN] != 0 else at.GUN_OPEN
    return 0
