r"""Outside leakage from the rod's creep both ways, and the volume a moving rod takes up.

These pumps have no outlet valve: what is lost outside comes from the pump whichever way it is
stalled. With the rod held up by its drive the annulus follows, with it held down the rod,

.. math:: q_{up} = v_{up} A_u, \qquad q_{down} = v_{down} A_r.

Each is the outside leak and that way's own valve (piston valve and packings up, foot valve down),
so the smaller of the two is the most that can be lost outside; where both are alike, one leak that
works both ways is the plain cause. Volume balance; common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.units.quantity import M2, LeakFlow, M, M3PerPa, Pa, S

SURE = 2.0
"""Standard uncertainties that two figures must differ by to be called different (about 95 %)."""


@dataclass(frozen=True)
class Flow:
    """A flow with its standard uncertainty."""

    value: LeakFlow
    spread: LeakFlow

    @property
    def seen(self) -> bool:
        """Whether it stands clear of zero."""
        return self.value > SURE * self.spread


@dataclass(frozen=True)
class BothWays:
    """What the rod's creep shows each way."""

    up: Flow
    down: Flow
    pressures: float
    """Relative standard uncertainty of their comparison: the two ways stall at different pressure
    where A_u and A_r differ."""

    @property
    def apart(self) -> Flow:
        """Difference of the two, without sign."""
        mean = (self.up.value + self.down.value) / 2
        spread = math.sqrt(
            self.up.spread**2 + self.down.spread**2 + (self.pressures * mean) ** 2
        )  # fmt: skip
        return Flow(abs(self.up.value - self.down.value), spread)

    @property
    def alike(self) -> bool:
        """Whether both lose the same, as far as the readings can tell, and something at all."""
        return self.up.seen and self.down.seen and not self.apart.seen

    @property
    def most(self) -> Flow:
        """The smaller: the most that can be lost outside."""
        return min(self.up, self.down, key=lambda flow: flow.value)

    @property
    def shared(self) -> Flow:
        """Mean weighted by uncertainty: the outside leak, where both are alike."""
        one, two = (1 / max(f.spread, 1e-15) ** 2 for f in (self.up, self.down))
        value = (one * self.up.value + two * self.down.value) / (one + two)
        return Flow(value, math.hypot(1 / math.sqrt(one + two), self.pressures * value / 2))


def flow_of(moved: M, time: S, area: M2, *, rule: M, watch: S) -> Flow:
    """Flow that a rod's creep stands for, with the spread of rule and watch.

    Args:
        moved: travel of the rod, m.
        time: in which it moved, s.
        area: A_u going up, A_r going down, m^2.
        rule: standard uncertainty of the travel, m.
        watch: standard uncertainty of the time, s.

    >>> flow_of(0.006, 60.0, 5e-4, rule=1e-3, watch=1.0).value
    5e-08
    """
    speed = moved / time
    return Flow(speed * area, area * math.hypot(rule / time, speed * watch / time))


def both_ways(up: Flow, down: Flow, *, annulus: M2, rod: M2) -> BothWays:
    """The two flows set side by side.

    The same drive force stalls at pressures as A_r to A_u; the leak follows that pressure somewhere
    between its root and itself, so their difference counts as a spread.
    """
    return BothWays(up, down, abs(math.log(annulus / rod)) / math.sqrt(3))


def travel_cost(area: M2, travel: M, compliance: M3PerPa) -> Pa:
    r"""Pressure that a shut line loses when the rod moves.

    .. math:: \Delta p = \frac{A\, x}{C}

    Going up the pump's whole room grows by the rod's share, A = A_r; going down, with the foot
    valve passing, the annulus opens, A = A_u. C is what hoses and liquid take up per pressure.
    Volume balance; common practice, no source.

    >>> round(travel_cost(5.7e-4, 0.04, 7.8e-12) / 1e5, 1)
    29.2
    """
    return area * travel / compliance
