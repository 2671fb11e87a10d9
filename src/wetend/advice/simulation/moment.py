"""Where in the stroke a fault shows, found in the run of its pump and of a sound one.

The two are compared where their rods stand at the same share of the same stroke, since a faulty
pump's strokes last longer or shorter. What to look at follows from what the fault's record says it
does: a gap lets liquid past where it is, a drop leaves the space below the piston without pressure;
for any other, what differs most.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from wetend.advice.faults.record import Drop, Fault, Gap
from wetend.advice.simulation.film import CHANNELS, Film, Seen
from wetend.units.message import Message
from wetend.units.quantity import Ratio, S
from wetend.units.show import show

_MIDST = (0.3, 0.4, 0.5, 0.6, 0.7)
_EARLY = (0.03, 0.06, 0.1)
_TURNS = (*_EARLY, 0.9, 0.97)
"""Places of a stroke, as shares of its way."""
_PRESSURES: tuple[Seen, ...] = ("gauge", "gun", "above", "below")
_FLOWS: tuple[Seen, ...] = ("nozzle", "outlet")
_LEAST = 0.05
"""Difference, against the greatest of its kind, that shows in the midst of a stroke."""
_GAPS: dict[str, tuple[bool, Seen]] = {
    "foot": (False, "foot_flow"), "piston": (True, "piston_flow"), "rod": (True, "rod_leak"),
    "outside": (True, "outside"),
}  # fmt: skip
"""By where a gap is: the stroke that loses by it (up: true), and what flows through it."""
_BACK: Collection[Seen] = ("foot_flow", "piston_flow")
"""Flows that are counted upwards, and lost downwards."""


@dataclass(frozen=True)
class Moment:
    """One place of one stroke, in two runs."""

    up: bool
    share: Ratio
    """Of the stroke's way that is done."""
    this_time: S
    sound_time: S
    key: Seen
    """What shows the fault there."""
    this: float
    """Its value in this pump, SI."""
    sound: float
    """The same in the sound pump."""

    @property
    def stroke(self) -> str:
        """The moment in words."""
        share = round(100 * self.share)
        return (
            Message("Going up, {share} % of the way", share=share) if self.up
            else Message("Going down, {share} % of the way", share=share)
        )  # fmt: skip

    @property
    def sentence(self) -> str:
        """What is seen there, in one sentence."""
        unit, back = CHANNELS[self.key].unit, self.key in _BACK
        this, sound = (max(-v, 0.0) if back else v for v in (self.this, self.sound))
        said = {"moment": self.stroke, "this": show(this, unit), "sound": show(sound, unit)}
        if self.key == "foot_flow":
            return Message(
                "{moment}: {this} runs back past the foot-valve ball, in the sound pump {sound}.",
                **said,
            )
        if self.key == "piston_flow":
            return Message(
                "{moment}: {this} runs down past the piston, in the sound pump {sound}.", **said
            )
        return Message(
            "{moment}: {what} is {this}, in the sound pump {sound}.",
            what=CHANNELS[self.key].title, **said,
        )  # fmt: skip


def passing(film: Film, *, up: bool, share: Ratio) -> S:
    """When the rod passes a share of a film's first stroke up, or of the stroke down after it.

    >>> t = np.array([0.0, 1.0, 2.0])
    >>> film = Film(t, {"place": np.array([0.0, 0.08, 0.0])})
    >>> passing(film, up=True, share=0.25), passing(film, up=False, share=0.25)
    (0.25, 1.25)
    """
    place, top = film["place"], int(np.argmax(film["place"]))
    low, high = float(place.min()), float(place.max())
    if up:
        way = np.maximum.accumulate(place[: top + 1])
        return float(np.interp(low + share * (high - low), way, film.t[: top + 1]))
    way = np.maximum.accumulate(high - place[top:])
    return float(np.interp(share * (high - low), way, film.t[top:]))


def _moments(
    this: Film, sound: Film, *, ups: Iterable[bool], shares: Iterable[Ratio], keys: Iterable[Seen]
) -> Iterator[Moment]:
    shares, keys = tuple(shares), tuple(keys)
    for up in ups:
        for share in shares:
            here_at, there_at = (passing(film, up=up, share=share) for film in (this, sound))
            here, there = this.at(here_at), sound.at(there_at)
            for key in keys:
                yield Moment(up, share, here_at, there_at, key, here[key], there[key])


def _differing(moments: Iterable[Moment], films: tuple[Film, Film]) -> tuple[float, Moment]:
    """The moment whose difference is the greatest, against the greatest value of its kind."""

    def most(keys: tuple[Seen, ...]) -> float:
        return max(float(np.abs(film[key]).max()) for film in films for key in keys) or 1.0

    pressure, flow = most(_PRESSURES), most(_FLOWS)
    scored = (
        (abs(m.this - m.sound) / (pressure if m.key in _PRESSURES else flow), m) for m in moments
    )
    return max(scored, key=lambda each: each[0])


def telling_moment(fault: Fault, this: Film, sound: Film) -> Moment:
    """The moment at which a fault shows; each film is one cycle from its bottom turn.

    Args:
        fault: that is in this pump.
        this: its run.
        sound: that of a sound pump.
    """
    effect, films = fault.causes[0].effect, (this, sound)
    if isinstance(effect, Gap):
        up, key = _GAPS[effect.place]
        found = _moments(*films, ups=(up,), shares=_MIDST, keys=(key,))
        return _differing(found, films)[1]
    if isinstance(effect, Drop):
        found = _moments(*films, ups=(False,), shares=_EARLY, keys=("below",))
        return _differing(found, films)[1]
    keys = (*_PRESSURES, *_FLOWS)
    midst = _moments(*films, ups=(True, False), shares=_MIDST, keys=keys)
    score, moment = _differing(midst, films)
    if score >= _LEAST:
        return moment
    return _differing(_moments(*films, ups=(True, False), shares=_TURNS, keys=keys), films)[1]
