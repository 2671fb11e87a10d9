"""What people say, see and read before anything is opened."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import AliasChoices, Field

from wetend.pump.sign_off import SignOff as SignOff
from wetend.units.message import Message
from wetend.units.noun import Line, Noun, Slug, Text
from wetend.units.quantity import M3, Creep, CycleRate, K, M, MLong, Pa, Percent, S

Sight = Literal[
    "does not run",
    "stops at the turn",
    "does not stop with the gun shut",
    "runs but gives no pressure",
    "down-stroke quick",
    "up-stroke quick",
    "both strokes quick",
    "quick drop at the start of the down-stroke",
    "coating in the wet cup",
    "gauge low while spraying",
    "gauge low at stall",
    "slow both ways",
    "creeps down at stall",
    "creeps up at stall",
    "leak to the outside",
    "fan pulses",
    "fan with tails",
    "knocks at the turn",
    "will not prime",
    "fan tails or pulses",
]
"""What the crew or the technician sees, in the trade's words."""
OLD_SIGHTS: frozenset[Sight] = frozenset({"fan tails or pulses"})
"""No longer offered: it took two things for one. Entries that hold it keep it, and its meaning."""


class VisitStart(Noun):
    """A call to a pump."""

    pump: Slug
    site: Line = ""
    called_by: Line = Field(
        default="",
        title=Message("Called by"),
        description=Message("Crew or site contact, if they agree to be named"),
    )
    reason: Line = Field(default="", title=Message("Reason for the call"))


class Complaint(Noun):
    """What the crew says and what is seen at first."""

    said: Text = Field(default="", title=Message("What the crew says"))
    seen: tuple[Sight, ...] = Field(default=(), title=Message("What is seen"))
    since: Line = Field(default="", title=Message("Since when"))
    coating_in_use: Line = ""


CheckKey = Literal[
    "look", "watch", "strokes", "creep", "creep-place", "gauge-spray", "gauge-stall", "supply",
    "cycles", "bucket", "wet-cup", "early-drop", "changeover", "slow", "suction-lifted",
    "fresh-suction", "air", "filter", "nozzle", "outside", "solvent", "wash", "nozzle-turn",
]  # fmt: skip
"""The running checks by key."""

StrokeTime = Annotated[S, Field(ge=0.01, le=3600)]
"""One stroke's time."""


class CheckReadings(Noun):
    """Running checks. Any may be missing: «could not do» is an answer."""

    up_times: tuple[StrokeTime, ...] = Field(
        default=(),
        max_length=200,
        title=Message("Up-stroke times"),
        description=Message("Seconds for each stroke, spraying"),
    )
    down_times: tuple[StrokeTime, ...] = Field(
        default=(), max_length=200, title=Message("Down-stroke times")
    )
    spray_pressure: Pa | None = Field(
        default=None, ge=0, le=2e8, title=Message("Gauge while spraying")
    )
    stall_pressure: Pa | None = Field(default=None, ge=0, le=2e8, title=Message("Gauge at stall"))
    creep_up: Creep | None = Field(
        default=None,
        ge=0,
        le=1,
        title=Message("Creep at stall, going up"),
        description=Message("Rod travel a minute, gun shut"),
    )
    creep_down: Creep | None = Field(
        default=None, ge=0, le=1, title=Message("Creep at stall, going down")
    )
    supply_pressure: Pa | None = Field(
        default=None, ge=0, le=1e8, title=Message("Supply pressure at the drive")
    )
    wet_cup: Literal["not looked", "clean", "coating in it"] = Field(
        default="not looked", title=Message("Wet cup")
    )
    early_drop: Literal["not looked", "no", "yes"] = Field(
        default="not looked", title=Message("Quick drop at the start of the down-stroke")
    )
    drop: Percent | None = Field(
        default=None,
        ge=0,
        le=1,
        title=Message("Quick drop: how far"),
        description=Message("Share of the stroke, against a rule beside the rod; 0 is none"),
    )
    slow_drop: Percent | None = Field(
        default=None,
        ge=0,
        le=1,
        title=Message("Quick drop, run slowly: how far"),
        description=Message("Through the dump valve at a third of the pace"),
    )
    turn_pause: S | None = Field(
        default=None,
        ge=0,
        le=60,
        title=Message("Pause at each turn"),
        description=Message("To a tenth of a second"),
    )
    bucket_volume: M3 | None = Field(
        default=None, ge=1e-6, le=1, title=Message("Bucket: volume caught")
    )
    bucket_time: S | None = Field(default=None, ge=0.1, le=3600, title=Message("Bucket: time"))
    bucket_cycles: float | None = Field(
        default=None, ge=0.1, le=5000, title=Message("Bucket: cycles counted")
    )
    cycle_rate: CycleRate | None = Field(
        default=None,
        ge=1e-4,
        le=20,
        title=Message("Cycles a minute, spraying"),
        description=Message("Through the nozzle described; one up and one down is a cycle"),
    )
    changeover: Literal["not felt", "even", "slow", "knocks"] = Field(
        default="not felt", title=Message("Changeover at the turns")
    )
    creep_place: Literal["not tried", "the same everywhere", "differs along the stroke"] = Field(
        default="not tried", title=Message("Creep stalled high, half-way and low")
    )
    suction_lifted: Literal["not done", "holds", "runs back"] = Field(
        default="not done", title=Message("Suction lifted out, pump stalled")
    )
    fresh_suction: Literal["not done", "no change", "better"] = Field(
        default="not done", title=Message("Fed from a full pail by a short suction")
    )
    air_seen: Literal["not looked", "no", "yes"] = Field(
        default="not looked", title=Message("Bubbles or froth in what comes back")
    )
    filter_looked: Literal["not looked", "clean", "blocked"] = Field(
        default="not looked", title=Message("Outlet filter looked at")
    )
    nozzle_changed: Literal["not done", "no change", "better"] = Field(
        default="not done", title=Message("A nozzle known to be good fitted")
    )
    nozzle_turned: Literal["not done", "no change", "better"] = Field(
        default="not done", title=Message("Nozzle turned, shot through, turned back")
    )
    wash: Literal["not done", "no change", "better"] = Field(
        default="not done",
        title=Message("Washed fast through the dump valve, stalled again"),
    )
    outside_looked: Literal["not looked", "dry", "wet"] = Field(
        default="not looked", title=Message("Hose, fittings, dump valve")
    )
    solvent_test: Literal["not done", "holds", "weeps"] = Field(
        default="not done", title=Message("Solvent poured on the foot valve's ball")
    )
    could_not: tuple[CheckKey, ...] = Field(
        default=(),
        max_length=30,
        title=Message("Could not do"),
        description=Message("This helps the diagnosis too"),
    )
    temperature: K | None = Field(
        default=None, ge=230, le=370, title=Message("Coating temperature")
    )
    tap_spread: S = Field(
        default=0.1,
        ge=1e-4,
        le=2,
        title=Message("Spread of one tap"),
        description=Message("A thumb on a screen is about 0.1 s"),
    )
    note: Text = ""


Goal = Literal["foot-valve", "piston", "static-packings", "whole"]
"""How far a strip opens."""


class ToolBag(Noun):
    """Where the strip happens and what is to hand."""

    place: Literal["site", "bench"] = "site"
    vice: bool = Field(default=False, title=Message("A vice is to hand"))
    tools: tuple[Slug, ...] = Field(default=(), max_length=60)
    goal: Goal = Field(default="whole", title=Message("How far to open"))
    also: tuple[Goal, ...] = Field(
        default=(), max_length=4, title=Message("Also in the same strip")
    )

    @property
    def goals(self) -> tuple[Goal, ...]:
        """Everything to open, each once."""
        return tuple(dict.fromkeys((self.goal, *self.also)))


class StripProgress(Noun):
    """Operations marked done, in the order done, and marks withdrawn.

    An entry says what changed; folded, ``done`` is all that stands done.
    """

    done: tuple[Slug, ...] = Field(default=(), max_length=40)
    undone: tuple[Slug, ...] = Field(default=(), max_length=40)
    anew: bool = Field(default=False, title=Message("Opened again: all marks cleared"))
    """Reassembled and opened again: earlier marks of strip and rebuild no longer count."""


class RebuildProgress(Noun):
    """Steps of the rebuild marked done, in the order done, and marks withdrawn; as the strip's."""

    done: tuple[Slug, ...] = Field(default=(), max_length=60)
    undone: tuple[Slug, ...] = Field(default=(), max_length=60)


class SetUpRequest(Noun):
    """What hand-over needs to know to compute the settings."""

    typed_as: ClassVar[Mapping[str, tuple[str, str]]] = {
        "litres_since_repack": ("pumped_since_repack", "L")
    }

    hose_lift: MLong = Field(default=0.0, ge=-50, le=200, title=Message("Gun above the pump"))
    guns: int = Field(default=1, ge=1, le=6, title=Message("Guns at once"))
    spray_pressure: Pa | None = Field(
        default=None,
        ge=1e4,
        le=1e8,
        title=Message("Pressure wanted at the nozzle"),
        description=Message("Blank: the middle of the data sheet's range"),
    )
    temperature: K | None = Field(
        default=None, ge=230, le=370, title=Message("Coating temperature on site")
    )
    nozzle_orifice: M | None = Field(
        default=None, ge=0.00005, le=0.01, title=Message("Nozzle orifice, if different")
    )
    pumped_since_repack: M3 | None = Field(
        default=None, ge=0, le=1e4, title=Message("Pumped since the last repack"),
        validation_alias=AliasChoices("pumped_since_repack", "litres_since_repack"),
    )  # fmt: skip


class Caption(Noun):
    """What is said of a photo."""

    caption: Line = Field(default="", title=Message("What it shows"))
    stage: Line = ""


class Photo(Noun):
    """A photo kept under its hash."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    media: Literal["image/jpeg", "image/png", "image/webp"]
    caption: Line = ""
    stage: Line = ""
    location_kept: bool = False
    """Whether it was asked for that its file goes on saying where it was taken."""
    in_place_of: str = Field(default="", pattern=r"^([0-9a-f]{64})?$")
    """Hash of the same picture's file before its location was removed, which is kept no more."""


class Note(Noun):
    """A free remark at a stage."""

    stage: Line = ""
    text: Text = Field(title=Message("The remark"))
