"""What the crew saw before anybody measured, as evidence with its own doubt.

A crew says what it noticed: what is plain to see it says more often than not, and what is not there
now and then. What it doesn't say means nothing. Where the technician has looked or measured, that
counts and the crew's word does not. Chances are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.observables import OBSERVABLES, SimulatedStrokes
from wetend.advice.faults.record import Key
from wetend.lazy_import import special
from wetend.pump.readings import Sight
from wetend.units.message import Message

Array = NDArray[np.float64]

FOR_NO_REASON, WHERE_PLAIN = 0.06, 0.6
"""How often a crew says what is not there, and what is plain."""


def _beyond(value: Array, least: float, blur: float) -> Array:
    return np.asarray(special.ndtr((value - least) / blur))


def _over(key: Key, sound: Callable[[Prediction], float]) -> _Plain:
    """Logarithm of a figure over the sound pump's."""

    def plain(played: SimulatedStrokes, prediction: Prediction) -> Array:
        return np.log(np.maximum(played.reads[key], 1e-9) / sound(prediction))

    return plain


def _up_over_down(sound: Prediction) -> float:
    return sound.up_time / sound.down_time


_Plain = Callable[[SimulatedStrokes, Prediction], Array]
_RHYTHM, _PACE = _over("rhythm", _up_over_down), _over("cycle_rate", lambda s: s.cycle_rate)
_SPRAYS = _over("spray_pressure", lambda s: s.spray_pressure)
_STALLS = _over("stall_pressure", lambda s: s.stall_pressure)
_CREEPS = 20e-3 / 60
"""Creep that a crew begins to notice, m/s."""


def _creeps(key: Key) -> _Plain:
    return lambda played, _: np.log(np.maximum(played.reads[key], 1e-9) / _CREEPS)


@dataclass(frozen=True)
class _Noticed:
    """One thing that a crew may say."""

    said: str
    plain: Callable[[SimulatedStrokes, Prediction], Array]
    """Chance that it is plain to see on each pump."""
    read_by: tuple[Key, ...]
    """What the technician reads in its place; the first stands for it."""


NOTICED: dict[Sight, _Noticed] = {
    "down-stroke quick": _Noticed(
        Message("the crew's word: a quick down-stroke"),
        lambda p, s: _beyond(_RHYTHM(p, s), 0.12, 0.06),
        ("rhythm", "down_time"),
    ),
    "up-stroke quick": _Noticed(
        Message("the crew's word: a quick up-stroke"),
        lambda p, s: _beyond(-_RHYTHM(p, s), 0.12, 0.06),
        ("rhythm", "up_time"),
    ),
    "both strokes quick": _Noticed(
        Message("the crew's word: both strokes quick"),
        lambda p, s: _beyond(_PACE(p, s), 0.15, 0.07),
        ("cycle_rate",),
    ),
    "slow both ways": _Noticed(
        Message("the crew's word: slow both ways"),
        lambda p, s: _beyond(-_PACE(p, s), 0.15, 0.07),
        ("cycle_rate",),
    ),
    "quick drop at the start of the down-stroke": _Noticed(
        Message("the crew's word: a quick drop at the start of the down-stroke"),
        lambda p, _: _beyond(p.reads["drop"], 0.08, 0.04),
        ("drop", "early_drop"),
    ),
    "coating in the wet cup": _Noticed(
        Message("the crew's word: coating in the wet cup"),
        lambda p, _: p.reads["wet_cup"],
        ("wet_cup",),
    ),
    "gauge low while spraying": _Noticed(
        Message("the crew's word: gauge low while spraying"),
        lambda p, s: _beyond(-_SPRAYS(p, s), 0.12, 0.05),
        ("spray_pressure",),
    ),
    "gauge low at stall": _Noticed(
        Message("the crew's word: gauge low at stall"),
        lambda p, s: _beyond(-_STALLS(p, s), 0.1, 0.05),
        ("stall_pressure",),
    ),
    "creeps down at stall": _Noticed(
        Message("the crew's word: it creeps down at stall"),
        lambda p, s: _beyond(_creeps("creep_down")(p, s), 0.0, 0.5),
        ("creep_down",),
    ),
    "creeps up at stall": _Noticed(
        Message("the crew's word: it creeps up at stall"),
        lambda p, s: _beyond(_creeps("creep_up")(p, s), 0.0, 0.5),
        ("creep_up",),
    ),
    "leak to the outside": _Noticed(
        Message("the crew's word: a leak to the outside"),
        lambda p, _: np.maximum(p.reads["outside_looked"], p.reads["wet_cup"]),
        ("outside_looked",),
    ),
    "knocks at the turn": _Noticed(
        Message("the crew's word: knocks at the turn"), lambda p, _: p.reads["knock"], ("knock",)
    ),
}
"""What of the crew's sights bears on a running pump; the rest names what to look at first."""


@dataclass(frozen=True)
class CrewSight(Reading):
    """A sight of the crew's."""

    sight: Sight = "down-stroke quick"
    sound: Prediction | None = None

    def log_likelihood(self, played: SimulatedStrokes) -> Array:
        """Logarithm of the chance that a crew says so, for each pump."""
        assert self.sound is not None
        plain = NOTICED[self.sight].plain(played, self.sound)
        return np.asarray(np.log(FOR_NO_REASON + (WHERE_PLAIN - FOR_NO_REASON) * plain))

    def misfit(self, played: SimulatedStrokes) -> Array:
        """Zero: nobody asks the crew to see it again."""
        return np.zeros(len(played.reads["flow"]))


def crew_evidence(
    seen: Sequence[Sight], read: Collection[Key], sound: Prediction
) -> tuple[CrewSight, ...]:
    """What the crew saw and nobody has read since.

    Args:
        seen: the complaint's sights.
        read: what the technician has read.
        sound: what a sound pump shows.
    """
    told = [(sight, NOTICED[sight]) for sight in dict.fromkeys(seen) if sight in NOTICED]
    return tuple(
        CrewSight(
            OBSERVABLES[noticed.read_by[0]], 1.0, 0.0, said=noticed.said, sight=sight, sound=sound
        )
        for sight, noticed in told
        if not set(noticed.read_by) & set(read)
    )
