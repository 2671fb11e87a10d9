"""What a fault is: one record holds all that the rest of the tool knows of it.

Nothing else lists faults. What diagnosis, simulation, practice, stores and pages need of them is
read off these records (:mod:`wetend.advice.faults.tables`). Chances, sizes and times are our own,
from common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray

from wetend.advice.pump_physics import Condition, Motion
from wetend.advice.reasons import Named
from wetend.physics.stroke.gap import GapPath
from wetend.pump.description import Pump
from wetend.pump.parts import PartName
from wetend.pump.readings import Sight
from wetend.pump.usage import LifePart
from wetend.units.quantity import M3PerS, Minutes, Pa, Ratio, Unit

Array = NDArray[np.float64]
Goal = Literal["foot-valve", "piston", "static-packings"]
"""How far the wet end is opened."""
Key = Literal[
    "up_time", "down_time", "spray_pressure", "stall_pressure", "creep_up", "creep_down",
    "supply_pressure", "flow", "cycle_rate", "cycle_volume", "rhythm", "drop", "slow_drop",
    "turn_pause", "wet_cup", "early_drop", "slow_turn", "knock", "creep_place", "suction_lifted",
    "fresh_suction", "air_seen", "filter_looked", "nozzle_changed", "outside_looked",
    "solvent_test", "wash", "nozzle_turned",
]  # fmt: skip
"""What can be read off a running pump."""
Change = Callable[[Motion, Pump, float], Motion]
"""How a state in time is altered by a fault of some size (SI, or over its middle size)."""


@dataclass(frozen=True)
class SoundPump:
    """Figures of the sound pump that a fault's effect may be measured by."""

    supply: Pa
    """Rated."""
    gauge: Pa
    flow: M3PerS

    @property
    def resistance(self) -> float:
        """Gauge over flow, Pa s/m^3."""
        return self.gauge / max(self.flow, 1e-9)


@dataclass(frozen=True)
class SizeLaw:
    r"""How big a cause is where it is there: :math:`\min(l + m\,e^{s z}, h)`, z standard normal.

    >>> SizeLaw(0.4, 0.7, least=0.1).sizes(np.array([0.0])).tolist()
    [0.5]
    """

    middle: float
    spread: float
    least: float = 0.0
    most: float = math.inf

    def sizes(self, z: Array) -> Array:
        """Sizes from standard normal numbers."""
        return np.minimum(self.least + self.middle * np.exp(self.spread * z), self.most)


@dataclass(frozen=True)
class Alters:
    """An effect on one figure of the steady condition."""

    name: str
    """A field of :class:`~wetend.advice.pump_physics.Condition`."""
    size: SizeLaw
    change: Callable[[Array, Array, SoundPump], Array]
    """The figure with it, from the figure without it and its sizes."""


@dataclass(frozen=True)
class Gap:
    """An effect that lets liquid past, through a gap of the steady condition."""

    name: str
    """A field of :class:`~wetend.advice.pump_physics.Condition`."""
    path: Callable[[Pump], GapPath]
    place: Literal["foot", "piston", "rod", "outside"]
    """What it is lost from: the down-stroke, the up-stroke, or both. What is lost at one place is
    sized as one, whichever cause it comes from."""
    size: SizeLaw
    """Over what that stroke sweeps, at the rated stall pressure."""
    tight: Ratio = 0.0
    """Middle of what passes where it is not there; 0 is none."""
    tight_spread: float = 1.0
    """Of the logarithm of that."""


@dataclass(frozen=True)
class Drop:
    """An effect that lets the rod drop at the start of the down-stroke; how far is simulated.

    A pump has at most one such cause at a time: each names the others in ``not_with``.
    """

    in_time: Change
    """A state in time with it, its size over the middle one."""
    sizes: tuple[float, ...]
    """Sizes that are simulated, as standard normal numbers."""
    cycles: tuple[int, ...]
    """Cycles simulated for each, spraying; zero: too little to be simulated."""
    slow_cycles: tuple[int, ...] = ()
    """The same at a slow pace; empty where it drops as while spraying."""
    unforeseen: bool = False
    """Whether what a slow pace leaves of it turns on the coating of the day."""
    anyhow: SizeLaw = SizeLaw(0.0, 1.0)
    """Share of the stroke dropped at least by half the pumps that have it, whatever the model in
    time makes of pump and liquid; none by default."""
    cured_by_full_pail: bool = False
    """Whether a full pail and a short suction take it away."""
    cushion: Ratio = 1.0
    """Share of the drop that is felt as a knock."""


Effect = Alters | Gap | Drop


@dataclass(frozen=True)
class Shown:
    """How a cause is seen by itself."""

    by: Literal["share", "size"]
    """Share of the stroke lost to it, or its size over the middle one."""
    middle: float
    """Of which, the logarithm of the chance to miss it falls by one."""


@dataclass(frozen=True)
class MotionFault:
    """A fault that can be put into the pump in motion, and what its size is (SI)."""

    name: str
    title: str
    size: str
    """What the size means."""
    unit: Unit
    most: float
    typical: float
    change: Change


@dataclass(frozen=True, eq=False)
class Cause(int, Named):
    """One way for a fault to come about. It is the number of its column, and all that is known."""

    number: int
    """Its column in rows of causes, and its bit in codes of practice: the next free one for a new
    cause, and never another afterwards."""
    id: str
    chance: Ratio
    """That a pump someone was called to has it, with a moderately abrasive coating."""
    effect: Effect
    motion: tuple[MotionFault, ...]
    """As what it can be put into the pump in motion, the usual one first."""
    worn: bool = False
    """Whether an abrasive coating makes it likelier."""
    words: str = ""
    """What it is called among several causes of one fault."""
    parts: tuple[PartName, ...] = ()
    """Parts to mark in the section; none where it is outside the wet end."""
    not_with: tuple[str, ...] = ()
    """Ids of causes of other faults that are never there at once with it; one of them says so."""
    shows: Mapping[Key, Shown] = field(default_factory=dict)
    """What is seen of it by itself, besides what strokes, gauge and creep show."""
    carried_away: Mapping[Key, Ratio] = field(default_factory=dict)
    """By what is read of a check that may clear it, in how many pumps it is a lump that goes."""

    def __new__(cls, number: int, *_: object, **__: object) -> Self:
        """An integer, so that it indexes its column."""
        return int.__new__(cls, number)

    @property
    def called(self) -> str:
        """Its id."""
        return self.id

    def __str__(self) -> str:
        return self.id

    __repr__ = __str__
    __hash__ = int.__hash__


@dataclass(frozen=True)
class Mending:
    """The job that puts a fault right; several faults may share one."""

    number: int
    """Its bit in sets of jobs, and its number in codes of practice: as with causes."""
    title: str
    work_minutes: Minutes
    """In minutes: looking, cleaning, fitting; strip and rebuild not counted."""
    goal: Goal | None = None
    """How far the wet end is opened for it."""


@dataclass(frozen=True)
class Sign:
    """A sight of the crew's that points to a fault."""

    place: int
    """Among the faults that this sight points to: 1 is named first."""
    why: str


@dataclass(frozen=True)
class Extent:
    """The size of a fault that is neither leak nor drop."""

    what: str
    unit: Unit
    of: Callable[[Condition, SoundPump], Array]


@dataclass(frozen=True)
class Lump:
    """A fault that may be a lump, and go by a check with nothing opened."""

    carried: str
    """What the check did, after «It was»."""
    truth: str
    """What it was, where the truth of an exercise is shown."""


@dataclass(frozen=True, eq=False)
class Fault(Named):
    """A fault told apart by the running checks, and everything known of it."""

    id: str
    title: str
    """What it is called, everywhere."""
    short: str
    """In a word or two, to stand against another."""
    causes: tuple[Cause, ...]
    """The first stands for all where one has to."""
    mending: Mending
    open_first: str
    """What to open, or where to look (common practice)."""
    signs: Mapping[Sight, Sign]
    """What the crew sees of it, by the trade's symptom table (common practice, no source)."""
    wants: tuple[tuple[Ratio, tuple[str, ...]], ...]
    """Which parts it wants, how often: keys of things to carry; none is cleaning or setting."""
    inside: bool = False
    """Whether the wet end has to be opened for it."""
    life_parts: tuple[LifePart, ...] = ()
    """Parts followed through their lives that make it when they fail."""
    size: Extent | None = None
    """``None`` for a leak or a drop, which are sized by themselves."""
    leaks_by: Gap | None = None
    """Through which gap a leak of a given size is put in, where it is a seal."""
    lump: Lump | None = None
    both_ways: str = ""
    """What is to be said where its ways of coming about read alike."""
    rebuilt_lately: bool = False
    """Whether it is likelier just after the wet end was apart."""
    played_as: str = ""
    """The name by which it is put into the pump in motion; blank: that of its first cause."""

    @property
    def called(self) -> str:
        """Its title."""
        return self.title

    @property
    def motion_name(self) -> str:
        """The name by which it is put into the pump in motion."""
        return self.played_as or self.causes[0].motion[0].name

    def __str__(self) -> str:
        return self.title

    def __repr__(self) -> str:
        return f"<{self.title}>"
