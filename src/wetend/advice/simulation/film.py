"""Samples of a simulated run, thinned to the instants needed for drawing and animation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetend.units import quantity
from wetend.units.message import Message
from wetend.units.quantity import Unit, unit_of

Array = NDArray[np.float64]
Seen = Literal[
    "place", "foot_lift", "piston_lift", "suction", "below", "above", "gauge", "gun", "drawn",
    "foot_flow", "piston_flow", "outlet", "nozzle", "rod_leak", "outside",
]  # fmt: skip
"""What is followed: see :data:`CHANNELS`."""


@dataclass(frozen=True)
class Channel:
    """One recorded quantity."""

    key: Seen
    title: str
    unit: Unit


CHANNELS: dict[Seen, Channel] = {
    c.key: c
    for c in (
        Channel("place", Message("rod above its lowest place"), unit_of(quantity.M)),
        Channel("foot_lift", Message("foot-valve ball's lift"), unit_of(quantity.M)),
        Channel("piston_lift", Message("piston-valve ball's lift"), unit_of(quantity.M)),
        Channel("suction", Message("pressure under the foot valve"), unit_of(quantity.Pa)),
        Channel("below", Message("pressure below the piston"), unit_of(quantity.Pa)),
        Channel("above", Message("pressure above the piston"), unit_of(quantity.Pa)),
        Channel("gauge", Message("gauge at the outlet"), unit_of(quantity.Pa)),
        Channel("gun", Message("pressure at the gun"), unit_of(quantity.Pa)),
        Channel("drawn", Message("flow in the suction tube"), unit_of(quantity.M3PerS)),
        Channel("foot_flow", Message("flow up past the foot ball"), unit_of(quantity.M3PerS)),
        Channel("piston_flow", Message("flow up past the piston"), unit_of(quantity.M3PerS)),
        Channel("outlet", Message("flow out of the pump"), unit_of(quantity.M3PerS)),
        Channel("nozzle", Message("flow out of the nozzle"), unit_of(quantity.M3PerS)),
        Channel("rod_leak", Message("leak past the static packings"), unit_of(quantity.LeakFlow)),
        Channel("outside", Message("leak to the outside"), unit_of(quantity.LeakFlow)),
    )
}
"""Everything followed, by key; pressures are over the atmosphere."""


@dataclass(frozen=True, eq=False)
class Film:
    """Instants of a run: times from zero (s) and, for each, everything followed (SI)."""

    t: Array
    values: Mapping[Seen, Array]

    def __getitem__(self, key: Seen) -> Array:
        return self.values[key]

    @property
    def length(self) -> float:
        """Seconds it lasts."""
        return float(self.t[-1])

    def at(self, time: float) -> dict[Seen, float]:
        """Everything followed at one time, straight between instants; held beyond the ends."""
        return {key: float(np.interp(time, self.t, row)) for key, row in self.values.items()}


def cut(film: Film, start: float, end: float) -> Film:
    """The stretch between two times, its own clock starting at zero.

    Beyond the ends of the film what stood there is held.

    >>> film = Film(np.array([0.0, 1.0, 2.0]), {"place": np.array([0.0, 1.0, 4.0])})
    >>> cut(film, 0.5, 1.5)["place"]
    array([0.5, 1. , 2.5])
    """
    inside = film.t[(film.t > start) & (film.t < end)]
    times = np.concatenate(([start], inside, [end]))
    return Film(times - start, {k: np.interp(times, film.t, v) for k, v in film.values.items()})


_TELLING: tuple[Seen, ...] = ("place", "foot_lift", "piston_lift", "below", "above", "gauge")


def thinned(film: Film, instants: int) -> Film:
    """So many instants, close together where much happens.

    They are spread evenly over time and the sum of all changes, each against its own range.

    >>> t = np.linspace(0, 1, 1001)
    >>> step = np.where(t < 0.5, 0.0, 1.0)
    >>> film = Film(t, dict.fromkeys(("place", "foot_lift", "piston_lift", "below", "above",
    ...                               "gauge"), step))
    >>> few = thinned(film, 41)
    >>> len(few.t), int(((few.t > 0.495) & (few.t < 0.505)).sum()) > 15
    (41, True)
    """
    if len(film.t) < 2 or film.length <= 0:
        return film
    travelled = np.diff(film.t) / film.length
    for key in _TELLING:
        row = film[key]
        travelled = travelled + 0.25 * np.abs(np.diff(row)) / max(float(np.ptp(row)), 1e-12)
    way = np.concatenate(([0.0], np.cumsum(travelled)))
    times = np.interp(np.linspace(0.0, way[-1], instants), way, film.t)
    return Film(times, {k: np.interp(times, film.t, v) for k, v in film.values.items()})


@dataclass(frozen=True)
class Instant:
    """A moment worth looking at."""

    name: str
    time: float


def _crossing(film: Film, key: Seen, level: float, start: float) -> float | None:
    """First time after ``start`` at which something passes a level, either way."""
    row = film[key] - level
    later = np.flatnonzero((film.t[1:] > start) & (np.sign(row[:-1]) != np.sign(row[1:])))
    if not len(later):
        return None
    k = int(later[0])
    span = float(row[k + 1] - row[k])
    share = -float(row[k]) / span if span else 1.0
    return float(film.t[k] + min(max(share, 0.0), 1.0) * (film.t[k + 1] - film.t[k]))


_CREPT = 1e-4
"""Metres the rod must have gone to count as creeping."""


def _standing(film: Film, time: float) -> str:
    """What a rod that does not come round does at a time."""
    gone = film.at(time)["place"] - float(film["place"][0])
    if abs(gone) < _CREPT:
        return "standing" if time > 0 else "start"
    return Message("crept up") if gone > 0 else Message("crept down")


def key_instants(film: Film) -> tuple[Instant, ...]:
    """Six moments of a cycle, in order; moments evenly apart where the rod doesn't come round."""
    place, end = film["place"], film.length
    top = float(place.max())
    reach = top - float(place.min())
    first = _crossing(film, "place", top - 0.02 * reach, 0.0)
    half = top - 0.5 * reach
    up = _crossing(film, "place", half, 0.0)
    down = _crossing(film, "place", half, first or 0.0)
    opens = _crossing(film, "foot_lift", 0.5 * float(film["foot_lift"].max()), 0.0)
    shut = _crossing(film, "foot_lift", 0.1 * float(film["foot_lift"].max()), first or 0.0)
    found = (
        (Message("bottom turn"), 0.0),
        (Message("foot opens"), opens),
        (Message("half-way up"), up),
        (Message("top turn"), first),
        (Message("foot shuts"), shut),
        (Message("half-way down"), down),
    )
    known = [Instant(name, time) for name, time in found if time is not None]
    if first is None or len(known) < len(found):
        known = [Instant(_standing(film, k / 5 * end), k / 5 * end) for k in range(6)]
    return tuple(sorted(known, key=lambda each: each.time))
