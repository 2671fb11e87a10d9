"""Calculator for what a pump displaces, and how much of it slips back."""

from __future__ import annotations

import math
from typing import Literal, Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.safety.hazards import caution
from wetend.physics.displacement import (
    Action,
    displacement,
    ideal_flow,
    slip,
    volumetric_efficiency,
)
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import CycleRate, M, M3PerS, M3Small, Percent, unit_of

Valves = Literal["piston", "both-ends"]
_ACTION: dict[Valves, Action] = {"piston": "single", "both-ends": "double"}


class Displacement(Noun):
    """A pump's size and speed, and what it delivered."""

    bore: M = Field(ge=1e-4, le=1)
    rod: M = Field(default=0.0, ge=0, le=1, description=Message("Rod diameter"))
    stroke: M = Field(ge=1e-4, le=5)
    rate: CycleRate = Field(ge=1e-4, le=50, description=Message("Up and down is one cycle"))
    delivered: M3PerS | None = Field(
        default=None, ge=1e-12, le=10, description=Message("Caught in the bucket over the time")
    )
    valves: Valves = Field(
        default="piston",
        description=Message(
            "A wet end with a valve in its piston, or a pump that draws in at both ends"
        ),
    )

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.rod >= self.bore:
            raise ValueError(Message("the rod must be thinner than the bore"))
        if self.delivered is not None and self.delivered > 2.0 * self.theoretical():
            raise ValueError(
                Message("the flow is over twice what this pump can displace; read it again")
            )
        return self

    def cycle_volume(self) -> float:
        """Volume displaced in one cycle, m^3."""
        return displacement(self.bore, self.stroke, rod=self.rod, action=_ACTION[self.valves])

    def theoretical(self) -> M3PerS:
        """Flow without slip."""
        return ideal_flow(self.cycle_volume(), self.rate)


def _displacement(given: Displacement) -> Outcome:
    ideal = given.theoretical()
    bore_area, rod_area = (math.pi / 4.0 * d**2 for d in (given.bore, given.rod))
    values = {"theoretical_flow": ideal}
    cautions = []
    if given.valves == "piston" and given.rod > 0:
        values["up_volume"] = (bore_area - rod_area) * given.stroke
        values["down_volume"] = rod_area * given.stroke
    if given.delivered is not None:
        values["volumetric_efficiency"] = volumetric_efficiency(given.delivered, ideal)
        values["slip"] = slip(given.delivered, ideal)
        if values["slip"] < 0:
            cautions.append(Message("More than the displacement was caught: time and catch again."))
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="displacement",
        title=Message("Displacement, and slip from the bucket test"),
        inputs=Displacement,
        outputs={
            "theoretical_flow": Output(unit_of(M3PerS), Message("Flow without slip")),
            "volumetric_efficiency": Output(unit_of(Percent), Message("Share delivered")),
            "slip": Output(unit_of(Percent), Message("Share slipped back")),
            "up_volume": Output(unit_of(M3Small), Message("Delivered by an up-stroke")),
            "down_volume": Output(unit_of(M3Small), Message("Delivered by a down-stroke")),
        },
        compute=_displacement,
        formula="valve in the piston: Q = pi/4 D^2 S f; drawing in at both ends: "
        "Q = pi/4 (2 D^2 - d^2) S f; slip = 1 - delivered/Q",
        source="Sarkar, Fluid Mechanics and Hydraulic Machines, 1999, ex. 9.4, as transcribed in "
        "the FOSSEE Python Textbook Companions; both ends: Hydraulic Institute form after "
        "piping-designer.com, Volume of Fluid Displaced for Pumps",
        validity=Message(
            "A wet end with a valve in its piston delivers one bore times stroke a cycle, whatever "
            "its rod. A well packed pump slips 3 to 5 %."
        ),
        warns=(caution("catching"), caution("fire")),
        example={
            "bore": "38 mm",
            "rod": "27 mm",
            "stroke": "80 mm",
            "rate": "40 cycles/min",
            "delivered": "3.5 L/min",
        },
    ),
)
"""The calculators of this family."""
