"""Parts of a wet end: cylinder, rod, valves, packings, stack, and what drives and follows them."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from wetend.units.message import Message
from wetend.units.noun import Line, Noun, Slug
from wetend.units.quantity import (
    K,
    M,
    M3PerPa,
    MFine,
    MLong,
    N,
    NPerM,
    Pa,
    Rad,
    Ratio,
    S,
    SAsHours,
)

PartName = Literal[
    "suction-elbow", "strainer", "foot-housing", "clamp-ring", "shim", "cage", "soft-ring",
    "foot-ball", "foot-seat", "cylinder", "piston", "piston-ball", "piston-seat",
    "moving-packings", "rod", "static-packings", "gland-nut", "wet-cup", "outlet-filter",
    "coupling", "body", "drive",
]  # fmt: skip
"""Every part of a wet end the tool speaks of."""

Guessable = Literal[
    "cylinder", "rod", "foot_valve", "piston_valve", "moving_packings", "static_packings",
    "stack", "drive", "filter", "suction", "hose", "nozzle", "strip",
]  # fmt: skip
"""What of a description may stand as a guess until it is measured; a rating never does."""


class Cylinder(Noun):
    """The sleeve the piston runs in."""

    bore: M = Field(ge=0.005, le=0.5, description=Message("Inside diameter when new"))
    length: M = Field(ge=0.01, le=2.0, description=Message("Length of the sleeve"))
    outside: M = Field(ge=0.005, le=0.7, description=Message("Outside diameter"))
    wear_limit: MFine = Field(ge=1e-7, le=0.005, description=Message("Largest growth of the bore"))
    oval_limit: MFine = Field(ge=1e-7, le=0.005, description=Message("Largest out-of-roundness"))
    taper_limit: MFine = Field(ge=1e-7, le=0.005, description=Message("Largest taper, end to end"))
    score_limit: MFine = Field(
        ge=1e-7, le=0.005, description=Message("Deepest lengthwise score allowed")
    )
    limits_from: Literal["maker", "common practice"] = "common practice"


class Rod(Noun):
    """The hard-chromed piston rod."""

    diameter: M = Field(ge=0.004, le=0.4, description=Message("Diameter when new"))
    length: M = Field(ge=0.01, le=3.0, description=Message("Overall length"))
    packed_from: M = Field(
        ge=0,
        le=3.0,
        description=Message("Start of the travel the packings see, from the lower end"),
    )
    packed_to: M = Field(
        ge=0.001,
        le=3.0,
        description=Message("End of the travel the packings see, from the lower end"),
    )
    wear_limit: MFine = Field(ge=1e-7, le=0.005, description=Message("Largest loss of diameter"))
    scratch_limit: MFine = Field(
        ge=1e-7, le=0.002, description=Message("Deepest scratch allowed in the packed travel")
    )
    limits_from: Literal["maker", "common practice"] = "common practice"

    @model_validator(mode="after")
    def _travel_in_order(self) -> Self:
        if not self.packed_from < self.packed_to <= self.length:
            raise ValueError(Message("packed_from must lie before packed_to, and both on the rod"))
        return self


class Valve(Noun):
    """A ball on a conical seat, with the cage or stop that limits its lift."""

    ball_diameter: M = Field(ge=0.002, le=0.2)
    ball_material: Slug = Field(description=Message("Key in the ball and seat materials table"))
    seat_material: Slug = Field(description=Message("Key in the ball and seat materials table"))
    seat_bore: M = Field(ge=0.001, le=0.2, description=Message("Hole through the seat"))
    seat_half_angle: Rad = Field(ge=0.2, le=1.4, description=Message("Cone's angle from the axis"))
    seat_width: M = Field(
        ge=1e-5, le=0.02, description=Message("Length of the cone face along the slope")
    )
    reversible: bool = Field(
        default=True, description=Message("Has a fresh cone on the other face")
    )
    lift_low: M = Field(ge=1e-5, le=0.05, description=Message("Smallest lift that passes the flow"))
    lift_high: M = Field(
        ge=1e-5, le=0.05, description=Message("Largest lift before the ball closes too late")
    )
    spring_force: N = Field(
        default=0.0, ge=0, le=500, description=Message("Ball spring force on the seat, 0 if none")
    )
    ball_loss_limit: MFine = Field(
        ge=1e-7, le=0.005, description=Message("Largest loss of ball diameter")
    )
    ball_round_limit: MFine = Field(
        ge=1e-7, le=0.005, description=Message("Largest out-of-roundness of a ball")
    )
    band_limit: M = Field(
        ge=1e-5, le=0.02, description=Message("Widest worn band allowed on the cone")
    )
    chip_limit: MFine = Field(
        ge=1e-7, le=0.005, description=Message("Deepest chip or groove allowed across the cone")
    )

    @model_validator(mode="after")
    def _seat_fits_ball(self) -> Self:
        if self.seat_bore >= self.ball_diameter:
            raise ValueError(Message("the hole through the seat must be smaller than the ball"))
        if self.lift_low >= self.lift_high:
            raise ValueError(Message("lift_low must be less than lift_high"))
        return self

    @property
    def lift_middle(self) -> M:
        """Lift in the middle of the range, where a stack built right leaves the ball."""
        return 0.5 * (self.lift_low + self.lift_high)


class Packings(Noun):
    """A set of V-rings; lips face the pressure."""

    rings: int = Field(ge=1, le=20)
    material: Line = "leather and PTFE"
    order: Line = Field(
        default="",
        description=Message("Rings and adapters from below, where they are of several kinds"),
    )
    split: Literal["not described", "yes", "no"] = Field(
        default="not described", description=Message("Rings are split, to go round a rod")
    )
    soak_liquid: Line = Field(
        default="light oil that the coating bears",
        description=Message("For leather rings before fitting; common practice, no source"),
    )
    soak_time: SAsHours = Field(
        default=3600.0,
        ge=0,
        le=172_800,
        description=Message("For leather rings before fitting; common practice, no source"),
    )
    height: M = Field(ge=0.0005, le=0.3, description=Message("Height of the set, free"))
    lips_face: Literal["up", "down"] = Field(
        description=Message("Which way the lips face: to the pressure")
    )
    clearance_limit: MFine = Field(
        ge=1e-7, le=0.003, description=Message("Radial gap at which the set is worn out")
    )
    friction: N = Field(
        ge=0, le=20000, description=Message("Drag on the rod or bore without pressure")
    )
    gland_turn: Rad = Field(
        default=0.0, ge=0, le=12.6, description=Message("Turn of the gland nut after hand-tight")
    )
    free_height_limit: M = Field(
        ge=0.0005, le=0.3, description=Message("Smallest free height to refit")
    )
    stiffness: NPerM | None = Field(
        default=None, ge=1, le=1e12, description=Message("Of the set, axial, where known")
    )
    gland_thread: M | None = Field(
        default=None, ge=0.001, le=1, description=Message("Gland nut's thread, nominal diameter")
    )
    gland_pitch: M | None = Field(
        default=None, ge=1e-4, le=0.02, description=Message("Gland nut's pitch")
    )

    @property
    def leather(self) -> bool:
        """Whether some of its rings are leather, which is soaked before it is fitted."""
        return "leather" in self.material.lower()


class StackPart(Noun):
    """One ring, seat or cage between the housing's floor and the cylinder's end."""

    name: Slug
    kind: Literal["seat", "soft-ring", "cage", "shim", "spacer"]
    title: Line = ""
    height: M = Field(
        ge=1e-5, le=0.2, description=Message("Height when new (free height of a soft ring)")
    )
    height_spread: MFine = Field(
        default=20e-6,
        ge=0,
        le=0.002,
        description=Message("Standard uncertainty of the height if not measured"),
    )
    outside: M = Field(ge=0.001, le=0.4)
    inside: M = Field(ge=0, le=0.4)
    stiffness: NPerM | None = Field(
        default=None, ge=1, le=1e12, description=Message("Of a soft ring, axial")
    )
    squeeze_low: Ratio = Field(
        default=0.05, ge=0, le=0.99, description=Message("Smallest squeeze of a soft ring")
    )
    squeeze_high: Ratio = Field(
        default=0.25, ge=0.001, le=0.99, description=Message("Largest squeeze of a soft ring")
    )
    bounds_lift: bool = Field(default=False, description=Message("Counts towards the ball's lift"))


class Stack(Noun):
    """What the foot-valve housing clamps, in order from the housing's floor upwards.

    Turning the housing home closes the gap ``depth - sum(heights)``; the elbow ends where the
    turning stops. A clamp-ring housing turns freely, and its elbow is set by hand before clamping.
    """

    parts: tuple[StackPart, ...] = Field(min_length=2, max_length=20)
    held_by: Literal["thread", "clamp-ring"]
    pitch: M = Field(
        ge=1e-4, le=0.02, description=Message("Pitch of the housing or clamp-ring thread")
    )
    starts: int = Field(default=1, ge=1, le=6)
    hand: Literal["right", "left"] = "right"
    thread_diameter: M = Field(
        ge=0.001, le=0.5, description=Message("Nominal diameter of that thread")
    )
    depth: M = Field(
        ge=0.001,
        le=0.5,
        description=Message(
            "From housing floor to where the cylinder's end stands at the datum turn"
        ),
    )
    depth_spread: MFine = Field(default=20e-6, ge=0, le=0.002)
    datum: Rad = Field(
        default=0.0,
        ge=0,
        le=6.2832,
        description=Message("Elbow direction at the datum turn, clockwise from 12 seen from below"),
    )
    target: Rad = Field(
        default=0.0,
        ge=0,
        le=6.2832,
        description=Message("Direction wanted, clockwise from 12 seen from below"),
    )
    target_within: Rad = Field(
        default=math.radians(15),
        ge=0.001,
        le=3.15,
        description=Message("Tolerance of the elbow direction"),
    )
    shim_sizes: tuple[Annotated[M, Field(ge=1e-6, le=0.1)], ...] = Field(
        default=(), max_length=12, description=Message("Shims the maker supplies")
    )
    cage_floor: M = Field(
        ge=1e-5,
        le=0.1,
        description=Message("Height of the cage's stop above the seat-side face of the cage"),
    )
    clamp_low: N = Field(ge=1, le=2e6, description=Message("Smallest clamping force on the stack"))
    clamp_high: N = Field(ge=1, le=2e6, description=Message("Largest clamping force on the stack"))
    friction: Ratio = Field(
        default=0.12, ge=0.001, le=0.99, description=Message("Greased thread and face")
    )

    @model_validator(mode="after")
    def _distinct(self) -> Self:
        names = [p.name for p in self.parts]
        if len(set(names)) != len(names):
            raise ValueError(Message("every stack part needs a name of its own"))
        if any(p.kind == "soft-ring" and p.stiffness is None for p in self.parts):
            raise ValueError(Message("a soft ring needs its stiffness"))
        return self


DriveKind = Literal["air", "hydraulic", "electric", "engine"]
"""What moves the drive: an engine is a petrol or diesel one, by oil or by belt."""


class Drive(Noun):
    """What pulls and pushes the rod."""

    kind: DriveKind
    supply_rated: Pa = Field(
        ge=1000, le=1e8, description=Message("Supply pressure the drive is rated for")
    )
    ratio: Ratio = Field(
        ge=0.01, le=500, description=Message("Outlet stall pressure over supply pressure")
    )
    free_speed: S = Field(ge=0.01, le=60, description=Message("Time for one stroke without load"))
    reversal: S = Field(
        default=0.05, ge=0, le=5, description=Message("Pause at each end of the stroke")
    )
    friction: N = Field(
        default=0.0, ge=0, le=1e5, description=Message("Drive and rod friction without pressure")
    )
    supply_name: Line = "compressed air"


class Filter(Noun):
    """The outlet filter."""

    opening: MFine = Field(ge=1e-6, le=0.005)
    clean_loss: Pa = Field(ge=0, le=1e7, description=Message("Loss at the rated flow when clean"))
    rated_pressure: Pa = Field(ge=1e4, le=2e8)


class HoseLength(Noun):
    """One length of hose."""

    bore: M = Field(ge=0.001, le=0.2)
    length: MLong = Field(ge=0.01, le=500)
    rated_pressure: Pa = Field(ge=1e4, le=2e8)
    growth: M3PerPa = Field(
        default=0.0,
        ge=0,
        le=1e-6,
        description=Message("Compliance: volume gained per pressure, whole length"),
    )


class Nozzle(Noun):
    """The spray nozzle, described by the orifice of equal flow."""

    orifice: M = Field(
        ge=0.00005, le=0.01, description=Message("Diameter of the round hole of equal flow")
    )
    fan: Rad = Field(default=math.radians(50), ge=0, le=3.0, description=Message("Fan angle"))
    discharge_coefficient: Ratio = Field(default=0.85, ge=0.2, le=1.0)
    rated_pressure: Pa = Field(default=5e7, ge=1e4, le=2e8)
    reversible: bool = Field(
        default=True, description=Message("Reversible in its holder, to clear a lump")
    )


class Suction(Noun):
    """The suction line."""

    bore: M = Field(ge=0.001, le=0.3)
    length: MLong = Field(ge=0.001, le=30)
    lift: MLong = Field(
        default=0.0, ge=-5, le=10, description=Message("Height of the pump inlet above the liquid")
    )


class Limits(Noun):
    """What the pump as a whole must not exceed."""

    outlet_pressure: Pa = Field(
        ge=1e4, le=2e8, description=Message("Highest outlet pressure of the wet end")
    )
    cycle_rate_high: Ratio = Field(
        default=1.0,
        ge=0.001,
        le=10,
        description=Message("Cycles a second above which the pump is too small"),
    )
    temperature_high: K = Field(default=333.15, ge=200, le=500)
