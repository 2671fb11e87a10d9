r"""One cycle of a spraying pump: the hose's content carried from stroke to stroke.

The hose holds m, a volume of liquid at atmospheric pressure. While the rod works by area A,

.. math::

    \frac{dm}{dx} = A' - \frac{q(p) + Q(h)}{v}, \qquad
    p A = F (b - v^2/v_0^2) - c v - F_f, \qquad h = p - R_f (A v - q)

with p in the pump, h at the gauge, q the leaks, Q what outlet and nozzle take, and A' the area less
what the valve's ball takes back. Everything on the right follows from v, so each step is one root
in v. While the rod stands, m falls by leaks and nozzle alone. At the start of the down-stroke the
rod goes quickly over what is empty, squeezed or lost to the closing ball, and draws as much back
from the hose. The content is that of aerated liquid in a hose that swells, as in
:mod:`wetend.physics.motion.passages`.

Steps are those of the backward differentiation formula of second order in x, which is stable
however little the hose holds: then each stroke finds its own pressure at once. With much, both
share one. Source: balance of force and volume; C. W. Gear's formula, any textbook. The pressure
that comes back after a cycle is found by the secant.

Each function takes numbers or arrays alike: plain it runs many pumps at once, compiled one.
"""

from __future__ import annotations

import numpy as np

from wetend.jit.kinds import Flag, Real, inner, reals
from wetend.physics.cycle.given import (
    ATMOSPHERE,
    BULK_MODULUS,
    CYCLED,
    EMPTY,
    FREE_AIR,
    GAS,
    ONE_CYCLE,
    Cycled,
    Given,
    OneCycle,
    Sums,
    Way,
)
from wetend.physics.cycle.passages import all_below, content, taken, where
from wetend.physics.cycle.steps import rest, work

_LOCKED, _BUILT = 0.9, 0.1
"""Shares of the reversal in which the rod is held, and in which the force builds up."""
_MOST_DROP = 0.95
_CYCLES = 9
_RETURNED = 0.02
"""Change of pressure, of what it is, over which a cycle's figures go in a straight line."""


@inner(Real(CYCLED, Real, Real), fused=True)
def _lag(g: Cycled, needed: Given, passed: Given) -> Given:
    """Time lost while the force builds up, beyond what has passed.

    With the share r of the force that is needed and s = exp(-t/tau) / (1 - r) at time t,
    what is lost is tau (ln s + 2 - 2 ln 2) where s is above 1, else
    2 tau (1 - y - ln(2 / (1 + y))) with y the root of 1 - s.
    """
    tau = _BUILT * g.reversal + 1e-9
    left = np.minimum(np.maximum(1.0 - needed / g.force, 0.02), 1.0)
    s = np.exp(-np.minimum(passed / tau, 50.0)) / left
    y = np.sqrt(np.maximum(1.0 - s, 0.0))
    lost = np.log(np.maximum(s, 1.0)) + 2.0 * (1.0 - y - np.log(2.0 / (1.0 + y)))
    return tau * lost


@inner(reals(2)(CYCLED, Real, Real), fused=True)
def _drop(g: Cycled, pressure: Given, up: Given) -> tuple[Given, Given]:
    """Share of the down-stroke that goes quickly, and how long that takes.

    ``up`` is the time that the up-stroke worked.
    """
    bore = g.upper + g.rod
    swept = bore * g.stroke
    held = _LOCKED * g.reversal
    squeezed = g.room * np.maximum(pressure, 0.0) / BULK_MODULUS
    drawn = FREE_AIR * g.room * (GAS / np.maximum(GAS - g.sucked, 0.1 * GAS) - 1.0)
    airy = FREE_AIR * g.room + np.maximum(drawn - held / up, 0.0)
    push = np.maximum(pressure, 0.0) * g.upper - g.friction
    fastest = np.sqrt(np.maximum(g.force + push, 0.01 * g.force) / g.bend)
    brought = g.intake * (up + held) / swept
    lacking = np.maximum(1.0 - brought - np.minimum(g.held_back, 0.7 * brought), 0.0)
    lacking = lacking / (1.0 + g.intake / (bore * fastest))
    share = np.minimum(g.empty + lacking + squeezed + airy + g.late, _MOST_DROP)
    time = share * g.stroke / fastest
    tau = _BUILT * g.reversal + 1e-9
    built = 1.0 - tau / np.maximum(time, 1e-9) * (1.0 - np.exp(-np.minimum(time / tau, 50.0)))
    against = 0.5 * np.maximum(pressure, 0.0) * bore * squeezed / np.maximum(share, 1e-9)
    left = np.maximum(built * g.force + push - against, 0.02 * g.force)
    return share, share * g.stroke * np.sqrt(g.bend / left)


@inner(Real(CYCLED, Real, Real), fused=True)
def _joined(g: Cycled, room: Given, pressure: Given) -> Given:
    """Content of the hose at a pressure with a room that joins it, full of liquid at least."""
    zero = 0.0 * pressure
    full = np.maximum(pressure, 0.0)
    added = content(g, room, full)[0] - content(g, zero, full)[0]
    return content(g, zero, pressure)[0] + added


@inner(ONE_CYCLE(CYCLED, Real), fused=True)
def once_round(g: Cycled, pressure: Given) -> OneCycle:
    """A cycle from the bottom, the hose at this pressure (over the atmosphere)."""
    zero = 0.0 * pressure
    bore = g.upper + g.rod
    pull = g.sucked * bore + g.friction
    rising = Way(
        g.upper, g.upper - g.late_up * bore, g.force - pull, g.piston_slow, g.piston_fast, g.above
    )
    push = g.through * bore + g.friction
    falling = Way(g.rod, g.rod, g.force - push, g.foot_slow, g.foot_fast, g.below)
    locked = _LOCKED * g.reversal
    start = Sums(_joined(g, g.above, pressure), zero, zero, zero)
    needed = np.maximum(pressure, 0.0) * g.upper + pull
    held, time, pressed, delivered, pressure = rest(
        g, g.above, start, pressure, locked + _lag(g, needed, zero)
    )
    start = Sums(held, time, pressed, delivered)
    up, pressed, delivered, pressure = work(g, rising, start, pressure, g.stroke)
    start = Sums(content(g, zero, pressure)[0], zero, pressed, delivered)
    held, time, pressed, delivered, pressure = rest(g, zero, start, pressure, locked)
    share, quick = _drop(g, pressure, np.maximum(up - start.time - locked, 1e-9))
    lag = _lag(g, np.maximum(pressure, 0.0) * g.rod + push, quick)
    held = np.maximum(held - share * g.stroke * g.upper, 0.01 * g.volume)
    start = Sums(held, time, pressed, delivered)
    held, time, pressed, delivered, pressure = rest(g, zero, start, pressure, quick + lag)
    start = Sums(_joined(g, g.below, pressure), time, pressed, delivered)
    down, pressed, delivered, pressure = work(g, falling, start, pressure, (1.0 - share) * g.stroke)
    return OneCycle(pressure, up, down, pressed / (up + down), delivered, share)


@inner(Real(CYCLED, ONE_CYCLE, Real), fused=True)
def _first_slope(g: Cycled, cycle: OneCycle, pressure: Given) -> Given:
    """By how much less than a change of pressure comes back after a cycle, about."""
    time = cycle.up_time + cycle.down_time
    give, flow = content(g, g.above, pressure)[1], taken(g, pressure)[1]
    area = 0.5 * (g.upper + g.rod)
    drive = 4.0 * g.bend * g.stroke / time + g.drag + g.filter * area * area
    return np.exp(-np.minimum(time * (flow + area * area / drive) / give, 50.0)) - 1.0


@inner(ONE_CYCLE(ONE_CYCLE, ONE_CYCLE, Real), fused=True)
def _between(one: OneCycle, other: OneCycle, share: Given) -> OneCycle:
    """A cycle on a straight line through two."""
    return OneCycle(
        other.end + share * (other.end - one.end),
        other.up_time + share * (other.up_time - one.up_time),
        other.down_time + share * (other.down_time - one.down_time),
        other.gauge + share * (other.gauge - one.gauge),
        other.volume + share * (other.volume - one.volume),
        other.drop + share * (other.drop - one.drop),
    )


@inner(ONE_CYCLE(Flag, ONE_CYCLE, ONE_CYCLE), fused=True)
def _either(flag: Given, one: OneCycle, other: OneCycle) -> OneCycle:
    """One cycle or the other, by whether something holds."""
    return OneCycle(
        where(flag, one.end, other.end), where(flag, one.up_time, other.up_time),
        where(flag, one.down_time, other.down_time), where(flag, one.gauge, other.gauge),
        where(flag, one.volume, other.volume), where(flag, one.drop, other.drop),
    )  # fmt: skip


@inner(ONE_CYCLE(CYCLED), fused=True)
def settled(g: Cycled) -> OneCycle:
    """The cycle that ends with the pressure it began with."""
    most = g.force / np.minimum(g.upper, g.rod)
    pressure = g.guess
    cycle = once_round(g, pressure)
    found = cycle
    off = cycle.end - pressure
    slope = np.minimum(_first_slope(g, cycle, pressure), -1e-4)
    wanting = pressure > -ATMOSPHERE
    for _ in range(_CYCLES):
        new = pressure - off / slope
        new = np.minimum(np.maximum(new, 0.3 * pressure + 0.7 * EMPTY), 0.5 * (most + pressure))
        before, cycle = cycle, once_round(g, new)
        after = cycle.end - new
        moved = new - pressure
        far = np.abs(moved) > 1e-4 * (pressure + ATMOSPHERE)
        moved = where(far, moved, 1.0)
        secant = np.minimum(np.maximum((after - off) / moved, -1.5), -1e-4)
        slope = where(far, secant, slope)
        pressure, off = new, after
        share = where(far, -off / (slope * moved), 0.0)
        share = np.minimum(np.maximum(share, -2.0), 2.0)
        found = _either(wanting, _between(before, cycle, share), found)
        left = np.abs(off) + _RETURNED * slope * (pressure + ATMOSPHERE)
        wanting = wanting & (left > 0.0)
        if all_below(where(wanting, 1.0, 0.0), 0.5 + 0.0 * pressure):
            break
    return found
