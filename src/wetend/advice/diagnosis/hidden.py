"""A pump with a hidden state: drawn from the prior or set, and what it shows when it runs.

Shown by the model in time (:mod:`wetend.physics.motion`), not by the steady model that infers.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import chances, combinations_of_causes
from wetend.advice.diagnosis.drops import gone_before_it_meets, slowed, suction_motion
from wetend.advice.diagnosis.lumps import carried_away
from wetend.advice.diagnosis.observables import SimulatedStrokes, Sizes, play, sights
from wetend.advice.diagnosis.prior import LUMP, NUISANCES, SIZES, Setting
from wetend.advice.faults.changes import SPREAD
from wetend.advice.faults.record import Cause, Fault, Key
from wetend.advice.faults.tables import CAUSES, DROPS, FAULTS
from wetend.advice.pump_physics import Motion
from wetend.advice.simulation.parameters import motion_parameters
from wetend.advice.simulation.run import SETTLING, summarise
from wetend.errors import NoAnswer
from wetend.physics.motion.simulate import Trace, simulate
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.message import Message

Array = NDArray[np.float64]

CYCLES = 4
_STANDS = 0.1
"""Share of its mean speed under which the rod is seen to stand."""


@dataclass(frozen=True, eq=False)
class HiddenPump:
    """A pump whose state only we know."""

    pump: Pump
    coating: Coating
    causes: tuple[Cause, ...]
    z: Array
    """The standard normal numbers of its state, a row."""

    @classmethod
    def drawn(
        cls, pump: Pump, coating: Coating, rng: np.random.Generator, *,
        causes: Collection[Cause] | None = None, known: int = len(CAUSES),
    ) -> HiddenPump:  # fmt: skip
        """A pump from the prior, its faults drawn too unless they are set.

        Args:
            pump: as described.
            coating: as described.
            rng: draws the same pump whenever it begins the same.
            causes: what is wrong with it.
            known: so many of the causes, the first ones, are drawn from; what came later is not
                there, so that who drew from fewer draws the same again.
        """
        drawn = np.clip(rng.standard_normal(NUISANCES + known + 1), -2.5, 2.5)
        z = np.zeros((1, SIZES))
        z[0, : NUISANCES + known], z[0, LUMP] = drawn[:-1], drawn[-1]
        if causes is None:
            rows, chance = combinations_of_causes(), chances(coating)
            among = np.flatnonzero(~rows[:, known:].any(axis=1))
            row = rows[rng.choice(among, p=chance[among] / chance[among].sum())]
            causes = [cause for cause in CAUSES if row[cause]]
        return cls(pump, coating, tuple(sorted(causes)), z)

    @cached_property
    def setting(self) -> Setting:
        """Pump and coating, at the coating's own temperature."""
        return Setting(self.pump, self.coating, None, self.coating.temperature)

    @property
    def present(self) -> NDArray[np.bool_]:
        """Which causes are there, a row."""
        return np.array([[cause in self.causes for cause in CAUSES]])

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What is wrong with it."""
        return tuple(fault for fault in FAULTS if set(fault.causes) & set(self.causes))

    def after(self, keys: Collection[str]) -> HiddenPump:
        """The pump once these things have been read, what the checks carried away gone."""
        gone = carried_away(self.z[:, LUMP], self.present, keys)[0]
        left = tuple(cause for cause in self.causes if not gone[cause])
        if left == self.causes:
            return self
        return self._left.setdefault(left, replace(self, causes=left))

    @cached_property
    def _left(self) -> dict[tuple[Cause, ...], HiddenPump]:
        """Itself with fewer causes, each kept, as it takes long to play."""
        return {}

    def size(self, cause: Cause) -> float:
        """How big a cause is, over its middle size."""
        return float(np.exp(SPREAD * self.z[0, NUISANCES + cause])) if cause in self.causes else 0.0

    @cached_property
    def steadily(self) -> SimulatedStrokes:
        """What the steady model makes of it."""
        return play(self.setting, self.z, self.present)

    @property
    def motion(self) -> Motion:
        """Its state for the model in time."""
        return self._motion(DROPS)

    def _motion(self, drops: Collection[Cause]) -> Motion:
        """Its state for the model in time, with these of the causes that let the rod drop."""
        condition = self.setting.condition(self.z, self.present)
        whole = replace(condition, filling=1.0)
        return suction_motion(self.pump, whole, {cause: self.size(cause) for cause in drops})

    def _drop(self, motion: Motion) -> float:
        """Share of the down-stroke dropped by the pump in another state, played in time."""
        parameters = motion_parameters(self.pump, self.setting.liquid, motion)
        return dropped(simulate(parameters, cycles=CYCLES + SETTLING))

    def _sizes(self, drop: float, pause: float) -> Sizes:
        """What there is to see; what a good suction and a good nozzle change is played too."""
        motion, cured = self.motion, 0.0
        lasting = [cause for cause in DROPS if not DROPS[cause].cured_by_full_pail]
        if (DROPS.keys() - lasting) & set(self.causes):
            cured = max(drop - self._drop(self._motion(lasting)), 0.0)
        area = float(np.ravel(motion.steady.nozzle)[0])
        return Sizes(
            np.array([drop]), np.array([pause]), np.array([cured]), np.array([np.log(area)])
        )

    @cached_property
    def in_time(self) -> dict[Key, float]:
        """What it shows, played in time; sights as the chance to see them.

        Raises:
            NoAnswer: the sums can't be carried to the end, or the rod does not come round.
        """
        motion = self.motion
        parameters = motion_parameters(self.pump, self.setting.liquid, motion)
        trace = simulate(parameters, cycles=CYCLES + SETTLING)
        seen = summarise(parameters, trace)
        if seen.up_time is None or seen.down_time is None or not seen.flow or not seen.cycle_rate:
            raise NoAnswer(Message("This pump does not stroke."))
        supply = self.steadily.reads["supply_pressure"]
        drop, pause = dropped(trace), stood(trace)
        shown: dict[Key, float] = {
            "up_time": seen.up_time,
            "down_time": seen.down_time,
            "rhythm": seen.up_time / seen.down_time,
            "spray_pressure": seen.gauge,
            "stall_pressure": 0.5 * (seen.stall_up + seen.stall_down),
            "creep_up": seen.creep_up,
            "creep_down": seen.creep_down,
            "supply_pressure": float(supply[0]),
            "flow": seen.flow,
            "cycle_rate": seen.cycle_rate,
            "cycle_volume": seen.flow / seen.cycle_rate,
            "drop": drop,
            "slow_drop": self._drop(replace(motion, steady=slowed(motion.steady))),
            "turn_pause": pause,
        }
        told = sights(self.z, self.present, self._sizes(drop, pause), share=self.steadily.share)
        return shown | {key: float(chance[0]) for key, chance in told.items()}


def dropped(trace: Trace) -> float:
    """Mean share of the down-stroke that the rod drops before it meets shut valve and liquid."""
    downs = [s for s in trace.strokes[2 * SETTLING :] if not s.up]
    return float(np.mean([gone_before_it_meets(trace, s) for s in downs])) if downs else 0.0


def stood(trace: Trace) -> float:
    """Mean time that the rod stands at a turn, s."""
    strokes = trace.strokes[2 * SETTLING :]
    inside = (trace.t[1:] > strokes[0].start) & (trace.t[1:] <= strokes[-1].end)
    steps, speed = np.diff(trace.t)[inside], np.abs(trace.v[1:])[inside]
    mean = float(steps @ speed) / float(steps.sum())
    return float(steps[speed < _STANDS * mean].sum()) / len(strokes)
