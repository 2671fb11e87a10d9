"""A whole pump as people describe it, in a form or a TOML file."""

from __future__ import annotations

import math
from typing import Self

from pydantic import Field, model_validator

from wetend.pump.parts import (
    Cylinder,
    Drive,
    Filter,
    Guessable,
    HoseLength,
    Limits,
    Nozzle,
    Packings,
    Rod,
    Stack,
    Suction,
    Valve,
)
from wetend.pump.strip_graph import StripGraph
from wetend.units.message import Message
from wetend.units.noun import Known, Line, Name, Noun, Slug
from wetend.units.quantity import M2, M3, Kg, M


class Pump(Noun):
    """A piston spray pump: its wet end, its drive and what stands after the outlet."""

    key: Slug
    name: Name
    build: Line = Field(default="", description=Message("What kind of pump, in a few words"))
    site: Line = ""
    aluminium: Known = Field(
        default="not known",
        title=Message("Aluminium parts touched by the coating"),
        description=Message(
            "Pump, filter, gun or fittings; a chlorinated solvent is then never used"
        ),
    )
    mass: Kg | None = Field(
        default=None,
        ge=0.1,
        le=2000,
        title=Message("Weight of the wet end"),
        description=Message("Weighed, or from the manual; blank: estimated from its sizes"),
    )
    stroke: M = Field(ge=0.005, le=1.0)
    cylinder: Cylinder
    rod: Rod
    foot_valve: Valve
    piston_valve: Valve
    moving_packings: Packings
    static_packings: Packings
    stack: Stack
    drive: Drive
    filter: Filter
    suction: Suction
    hose: tuple[HoseLength, ...] = Field(min_length=1, max_length=10)
    nozzle: Nozzle
    limits: Limits
    strip: StripGraph
    guessed: tuple[Guessable, ...] = Field(
        default=(),
        max_length=13,
        title=Message("Guessed, not measured"),
        description=Message("Scaled from a similar pump; results that use it say so"),
    )

    @model_validator(mode="after")
    def _rod_in_bore(self) -> Self:
        if self.rod.diameter >= self.cylinder.bore:
            raise ValueError(Message("the rod must be thinner than the bore"))
        if self.foot_valve.ball_diameter >= self.cylinder.bore * 2:
            raise ValueError(Message("the foot-valve ball is too big for this bore"))
        return self

    @property
    def bore_area(self) -> M2:
        """Area of the bore, A_b."""
        return math.pi / 4 * self.cylinder.bore**2

    @property
    def rod_area(self) -> M2:
        """Area of the rod, A_r: what the down-stroke delivers by."""
        return math.pi / 4 * self.rod.diameter**2

    @property
    def upper_area(self) -> M2:
        """Area of the annulus above the piston, A_u: what the up-stroke delivers by."""
        return self.bore_area - self.rod_area

    @property
    def displacement(self) -> M3:
        """Volume delivered a cycle with no loss, A_b times the stroke."""
        return self.bore_area * self.stroke
