"""How far the rod drops by what is wrong with the suction: this pump, this liquid, played in time.

Whether a stack built too high lets the rod drop, and at what pace, hangs on the coating: a thick
one carries the ball home in a share of the stroke, in a thin one it falls home at once. What a
blocked strainer costs hangs on what the pump draws. So a few sizes of each are played by the model
in time, once for a pump and a liquid, and the steady model takes the drop from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.changes import SPREAD
from wetend.advice.faults.record import Cause
from wetend.advice.faults.tables import DROPS
from wetend.advice.pump_physics import Condition, Motion
from wetend.advice.simulation.parameters import motion_parameters
from wetend.errors import NoAnswer
from wetend.keeping import MB, kept
from wetend.lazy_import import special
from wetend.physics.motion.simulate import Stroke, Trace, simulate
from wetend.physics.rheology.liquid import Liquid
from wetend.pump.description import Pump
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]
Held = bool | NDArray[np.bool_]

SLOW_PACE = 1.0 / 3.0
"""Pace through the dump valve, over that of spraying."""
MOST: Ratio = 0.9
USUAL_SUPPLY, USUAL_NOZZLE, USUAL_FILTER = 0.96, 1.02, 1.2
"""How a sound pump usually stands, over what is described: supply, nozzle's area, filter's loss."""
_UNFORESEEN = 1.0
"""Spread of how much of a drop is left at a slow pace, as a normal number: whether a late ball is
carried home or falls turns on the coating of the day, and nobody slows a pump to just a third."""
_STICKS_ON: Ratio = 0.5
"""Share of the drop of a ball that sticks, whatever the liquid, that is left at a slow pace."""
_LEAST: Ratio = 0.003
_SURE = 0.03
"""No share of a drop is surer than this to go or stay."""


def gone_before_it_meets(trace: Trace, stroke: Stroke) -> Ratio:
    """Share of a down-stroke gone before the pressure below the piston is half built."""
    inside = np.flatnonzero((trace.t >= stroke.start) & (trace.t <= stroke.end))
    below, travel = trace.below[inside], trace.x[inside]
    if len(inside) < 3 or travel[0] <= travel[-1]:
        return 0.0
    if np.max(below) <= 0:  # it never meets liquid
        return 1.0
    built = np.flatnonzero(below >= 0.5 * np.max(below))
    gone = travel[0] - travel[built[0]]
    return float(np.clip(gone / (travel[0] - travel[-1]), 0.0, 1.0))


def slowed(steady: Condition) -> Condition:
    """The same pump run through its dump valve, opened by so much that it goes at a slow pace."""
    return replace(steady, nozzle=SLOW_PACE * np.asarray(steady.nozzle))


def suction_motion(pump: Pump, steady: Condition, sizes: Mapping[Cause, Ratio]) -> Motion:
    """A pump for the model in time, with causes of these sizes over their middle ones; zero or
    left out is not there.
    """
    motion = Motion(steady=steady)
    for cause, drop in DROPS.items():
        if sizes.get(cause, 0.0) > 0.0:
            motion = drop.in_time(motion, pump, sizes[cause])
    return motion


def _between(z: Array, sizes: tuple[float, ...], drop: Array) -> Array:
    """Drops at any size, their logarithms straight between those played."""
    logs = np.log(drop + _LEAST)
    return np.asarray(np.exp(np.interp(z, sizes, logs)) - _LEAST)


@dataclass(frozen=True, eq=False)
class Drops:
    """Shares of the down-stroke dropped by a pump with a liquid, beyond what it drops sound.

    By cause, at the sizes that are played: spraying, and at a third of that pace.
    """

    quick: Mapping[Cause, Array]
    slow: Mapping[Cause, Array]

    def spraying(self, cause: Cause, z: Array, held: Held = False) -> Array:
        """Shares dropped by causes as big as these standard normal numbers say.

        ``held``: pumps of which the ball is held by what dried on it and lets go where it lets go,
        in any liquid.
        """
        drop = self._simulated(cause, z)
        least = DROPS[cause].anyhow.sizes(z)
        return np.where(held, np.maximum(drop, least), drop)

    def _simulated(self, cause: Cause, z: Array) -> Array:
        return _between(z, DROPS[cause].sizes, self.quick[cause])

    def slowly(self, cause: Cause, z: Array, unforeseen: Array, held: Held = False) -> Array:
        """The same at a slow pace; ``unforeseen`` is a standard normal number a pump."""
        slow = _between(z, DROPS[cause].sizes, self.slow[cause])
        if not DROPS[cause].unforeseen:
            return slow
        quick = self.spraying(cause, z, held)
        slow = slow + _STICKS_ON * (quick - self._simulated(cause, z))
        left = np.clip(slow / np.maximum(quick, 1e-9), _SURE, 1.0 - _SURE)
        return np.asarray(quick * special.ndtr(special.ndtri(left) + _UNFORESEEN * unforeseen))


def _played(pump: Pump, liquid: Liquid, motion: Motion, cycles: int) -> Ratio:
    """Share of the last down-stroke dropped; all of it where the pump does not come round."""
    try:
        trace = simulate(motion_parameters(pump, liquid, motion), cycles=cycles)
    except NoAnswer:
        return 1.0
    downs = [stroke for stroke in trace.strokes if not stroke.up]
    return gone_before_it_meets(trace, downs[-1]) if downs else 1.0


@kept("how far the rod drops", most=8 * MB)
def drops(pump: Pump, liquid: Liquid) -> Drops:
    """How far this pump's rod drops by each cause, played in time.

    Raises:
        UnknownName: a ball's material is not known.
    """
    usual = Condition(
        supply=USUAL_SUPPLY * pump.drive.supply_rated, nozzle=USUAL_NOZZLE, filter=USUAL_FILTER
    )

    def tables(steady: Condition, *, slowly: bool) -> dict[Cause, Array]:
        """A table for each cause that is played at this pace."""

        def at(sizes: Mapping[Cause, Ratio], cycles: int) -> Ratio:
            return _played(pump, liquid, suction_motion(pump, steady, sizes), cycles)

        sound, found = at({}, 1), {}
        for cause, drop in DROPS.items():
            cycles = drop.slow_cycles if slowly else drop.cycles
            if not cycles:
                continue
            lost = [
                at({cause: float(np.exp(SPREAD * z))}, count) if count else sound
                for z, count in zip(drop.sizes, cycles, strict=True)
            ]
            found[cause] = np.clip(np.array(lost) - sound, 0.0, MOST)
            found[cause].flags.writeable = False
        return found

    quick = tables(usual, slowly=False)
    return Drops(quick, quick | tables(slowed(usual), slowly=True))
