"""Calculators for the suction side and the displacement: does the pump fill, and does it slip?"""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.physics.displacement import displacement, ideal_flow, slip
from wetend.physics.suction import (
    ATMOSPHERE,
    greatest_lift,
    npsh_available,
    suction_pressure,
    vapour_margin,
)
from wetend.units.noun import Noun
from wetend.units.quantity import (
    CycleRate,
    KgPerM3,
    M,
    M3PerS,
    MLong,
    MPerS,
    Pa,
    PaLow,
    Percent,
    unit_of,
)

_STARVED = 2e4
"""Pa; margin below which a thick coating fills late. Common practice, no source."""


class SuctionMargin(Noun):
    """What the suction line asks for, and what the air gives."""

    density: KgPerM3 = Field(gt=100, le=10000)
    lift: MLong = Field(ge=-50, le=50, description="Foot valve above the liquid; negative: below")
    loss: Pa = Field(default=0.0, ge=0, le=1e7, description="Lost in the suction line and strainer")
    acceleration: Pa = Field(
        default=0.0, ge=0, le=1e7, description="To speed up the column at each reversal"
    )
    speed: MPerS = Field(default=0.0, ge=0, le=20, description="In the suction line")
    vapour_pressure: PaLow = Field(ge=0, le=1e6)
    atmospheric: Pa = Field(default=ATMOSPHERE, gt=0, le=2e5, description="About 1 % less per 85 m")


def _suction_margin(given: SuctionMargin) -> Outcome:
    pressure = suction_pressure(
        given.density, given.lift, loss=given.loss, acceleration=given.acceleration,
        speed=given.speed, atmospheric=given.atmospheric,
    )  # fmt: skip
    margin = vapour_margin(pressure, given.vapour_pressure)
    highest = greatest_lift(
        given.density, given.vapour_pressure, loss=given.loss, acceleration=given.acceleration,
        atmospheric=given.atmospheric,
    )  # fmt: skip
    cautions = []
    if margin <= 0:
        cautions.append("The liquid boils or parts: lower the lift, widen the line, or feed it.")
    elif margin < _STARVED:
        cautions.append("Little is left: a thick coating will fill the cylinder late.")
    head = npsh_available(pressure, given.vapour_pressure, given.density, speed=given.speed)
    return Outcome(
        {"pressure": pressure, "margin": margin, "npsh": head, "greatest_lift": highest},
        tuple(cautions),
    )


class PumpSlip(Noun):
    """A pump's size and speed, and what was caught in the bucket."""

    bore: M = Field(gt=0, le=1)
    stroke: M = Field(gt=0, le=5)
    cycle_rate: CycleRate = Field(gt=0, le=50, description="Up and down is one cycle")
    flow: M3PerS = Field(gt=0, le=10, description="Caught in the bucket over the time")

    @model_validator(mode="after")
    def _flow_possible(self) -> Self:
        ideal = ideal_flow(displacement(self.bore, self.stroke, action="single"), self.cycle_rate)
        if self.flow > 2.0 * ideal:
            raise ValueError("the flow is over twice what this pump can displace; read it again")
        return self


def _pump_slip(given: PumpSlip) -> Outcome:
    volume = displacement(given.bore, given.stroke, action="single")
    ideal = ideal_flow(volume, given.cycle_rate)
    lost = slip(given.flow, ideal)
    cautions = []
    if lost < 0:
        cautions.append("More than the displacement was caught: time and catch again.")
    return Outcome({"ideal_flow": ideal, "slip": lost}, tuple(cautions))


_CATCH = (
    "Catch at low pressure with the nozzle off, gun and pail bonded and earthed; never reach into "
    "the stream. The maker's manual and the safety data sheet come first."
)

CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="suction-margin",
        title="Pressure left at the foot valve",
        inputs=SuctionMargin,
        outputs={
            "pressure": Output(unit_of(Pa), "Absolute pressure at the foot valve"),
            "margin": Output(unit_of(Pa), "Left above the vapour pressure"),
            "npsh": Output(unit_of(MLong), "Net positive suction head"),
            "greatest_lift": Output(unit_of(MLong), "Highest lift that still draws"),
        },
        compute=_suction_margin,
        formula="p = pa - rho g z - losses - rho V^2/2; margin = p - pv; "
        "NPSH = margin/(rho g) + V^2/(2g)",
        source="Abulencia and Theodore 2009, ex. 22.10; Munson, Young and Okiishi, 5th ed., "
        "ex. 12.3 (both as transcribed in the FOSSEE Python Textbook Companions)",
        validity="Steady flow; no air drawn in. Air leaks starve a pump long before vapour does.",
        example={"density": "1.42 kg/L", "lift": "0.5 m", "loss": "0.08 bar",
                 "vapour_pressure": "1098 Pa"},
    ),
    Calculator(
        name="pump-slip",
        title="Slip from the bucket test",
        inputs=PumpSlip,
        outputs={
            "ideal_flow": Output(unit_of(M3PerS), "Flow without slip"),
            "slip": Output(unit_of(Percent), "Share slipped back"),
        },
        compute=_pump_slip,
        formula="Q_ideal = pi/4 D^2 S f; slip = 1 - Q/Q_ideal",
        source="Sarkar, Fluid Mechanics and Hydraulic Machines, 1999, ex. 9.4, as transcribed in "
        "the FOSSEE Python Textbook Companions",
        validity="A wet end with a valve in its piston: one bore times stroke a cycle. A well "
        "packed pump slips 3 to 5 %.",
        cautions=(_CATCH,),
        example={"bore": "38 mm", "stroke": "80 mm", "cycle_rate": "40 cycles/min",
                 "flow": "3.5 L/min"},
    ),
)  # fmt: skip
"""The calculators of this family."""
