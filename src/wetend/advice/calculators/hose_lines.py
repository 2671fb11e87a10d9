"""Calculators for a line of hoses: pressure loss, and the hose, temperature or nozzle needed."""

from __future__ import annotations

import math
from typing import Annotated, Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import FlowLaw
from wetend.advice.safety.hazards import caution
from wetend.errors import NoAnswer
from wetend.physics.displacement import displacement, ideal_flow
from wetend.physics.lines import (
    FITTINGS,
    Line,
    Piece,
    line_loss,
    longest_last_hose,
    nozzle_to_suit,
    smallest_bore,
    temperature_needed,
)
from wetend.physics.nozzle import wear_growth
from wetend.physics.rheology.temperature import COATING_ACTIVATION, activation_of
from wetend.units.message import Message
from wetend.units.quantity import (
    CycleRate,
    K,
    M,
    M3PerS,
    MLong,
    Pa,
    Percent,
    Ratio,
    unit_of,
)
from wetend.units.stated import stated


class Hoses(FlowLaw):
    """A liquid, and the hoses between pump and gun."""

    bores: tuple[Annotated[M, Field(ge=1e-4, le=1)], ...] = Field(
        min_length=1, max_length=20, description=Message("Of each hose, in the order of the flow")
    )
    lengths: tuple[Annotated[MLong, Field(ge=1e-4, le=1e5)], ...] = Field(
        min_length=1, max_length=20, description=Message("Of each hose")
    )
    rise: MLong = Field(default=0.0, ge=-500, le=500, description=Message("Gun above the pump"))
    elbows: int = Field(
        default=0, ge=0, le=100, description=Message("Square elbows, in the last hose")
    )

    @model_validator(mode="after")
    def _matched(self) -> Self:
        if len(self.bores) != len(self.lengths):
            raise ValueError(Message("give one length for each bore"))
        return self

    def line(self) -> Line:
        """The line as the physics sees it."""
        elbows = (FITTINGS["elbow 90"],) * self.elbows
        last = len(self.bores) - 1
        pieces = tuple(
            Piece(b, n, elbows if i == last else ())
            for i, (b, n) in enumerate(zip(self.bores, self.lengths, strict=True))
        )
        return Line(pieces, self.rise)


class LineLoss(Hoses):
    """A line and what flows through it."""

    flow: M3PerS = Field(ge=0, le=10)
    pressure: Pa | None = Field(
        default=None, ge=1, le=1e9, description=Message("At the pump's outlet")
    )


def _line_loss(given: LineLoss) -> Outcome:
    liquid, line = given.liquid(), given.line()
    values = {
        "pressure_loss": line_loss(liquid, given.flow, line),
        "starting_pressure": line_loss(liquid, 0.0, line),
    }
    cautions = list(given.unused_cautions())
    if given.pressure is not None:
        values["pressure_left"] = given.pressure - values["pressure_loss"]
        if values["pressure_left"] <= 0:
            cautions.append(
                Message("The line loses more than the pump delivers; this flow is not possible.")
            )
    return Outcome(values, tuple(cautions))


class LongestHose(FlowLaw):
    """What a hose may cost, and what flows through it."""

    flow: M3PerS = Field(ge=1e-12, le=10)
    bore: M = Field(ge=1e-4, le=1)
    pressure: Pa = Field(ge=1, le=1e9, description=Message("That the hose may take"))
    rise: MLong = Field(default=0.0, ge=-500, le=500, description=Message("Gun above the pump"))


def _longest_hose(given: LongestHose) -> Outcome:
    length = longest_last_hose(
        given.liquid(), given.flow, Line((), given.rise), given.bore, given.pressure
    )
    return Outcome({"length": length}, given.unused_cautions())


class SmallestBore(FlowLaw):
    """What a hose may cost, and how long it must be."""

    flow: M3PerS = Field(ge=1e-12, le=10)
    length: MLong = Field(ge=1e-4, le=100000)
    pressure: Pa = Field(ge=1, le=1e9, description=Message("That the hose may take"))


def _smallest_bore(given: SmallestBore) -> Outcome:
    bore = smallest_bore(given.liquid(), given.flow, given.length, given.pressure)
    return Outcome({"bore": bore}, given.unused_cautions())


class WarmthNeeded(Hoses):
    """A line, what it may cost, and the coating's thickness at one temperature or two."""

    flow: M3PerS = Field(ge=1e-12, le=10)
    pressure: Pa = Field(ge=1, le=1e9, description=Message("That the line may take"))
    measured_at: K = Field(ge=230, le=420, description=Message("Temperature of the flow law given"))
    cup_ratio: Ratio | None = Field(
        default=None,
        ge=0.01,
        le=0.999,
        description=Message("Viscosity ten kelvin warmer, over that given"),
    )


def _warmth_needed(given: WarmthNeeded) -> Outcome:
    cautions = list(given.unused_cautions())
    activation = COATING_ACTIVATION
    if given.cup_ratio is not None:
        activation = activation_of(
            (given.measured_at, 1.0), (given.measured_at + 10.0, given.cup_ratio)
        )
    else:
        cautions.append(
            Message(
                "A usual solvent-borne coating is assumed, about 4 % a kelvin; half to twice "
                "that occurs."
            )
        )
    found = temperature_needed(
        given.liquid(), given.flow, given.line(), given.pressure,
        reference=given.measured_at, activation=activation,
    )  # fmt: skip
    if found == given.measured_at:
        cautions.append(Message("It is warm enough as it is."))
    elif found - given.measured_at > 30:
        cautions.append(Message("More than 30 K from where it was measured: measure again nearer."))
    return Outcome({"temperature": found}, tuple(cautions))


class NozzleToSuit(Hoses):
    """A pump, the pressure it holds, and the line to the gun."""

    pump_bore: M = Field(ge=1e-4, le=1)
    stroke: M = Field(ge=1e-4, le=5)
    rate: CycleRate = Field(ge=1e-4, le=50, description=Message("Most it may run at, spraying"))
    slip: Percent = Field(default=0.05, ge=0, le=0.99, description=Message("Share that slips back"))
    pressure: Pa = Field(ge=1, le=1e9, description=Message("At the pump's outlet, spraying"))
    spray_pressure: Pa | None = Field(
        default=None, ge=1, le=1e9, description=Message("Least the coating needs at the nozzle")
    )
    discharge_coefficient: Ratio = Field(default=0.85, ge=0.1, le=1)


def _nozzle_to_suit(given: NozzleToSuit) -> Outcome:
    volume = displacement(given.pump_bore, given.stroke, action="single")
    flow = ideal_flow(volume, given.rate) * (1.0 - given.slip)
    size, left = nozzle_to_suit(
        given.liquid(), flow, given.pressure, given.line(),
        discharge_coefficient=given.discharge_coefficient,
    )  # fmt: skip
    if not 0 < size < math.inf:
        raise NoAnswer(Message("No nozzle can be calculated for so small a pump."))
    values = {"orifice": size, "flow": flow, "nozzle_pressure": left}
    cautions = list(given.unused_cautions())
    if given.spray_pressure is not None:
        if left < given.spray_pressure:
            cautions.append(
                Message("Less than the coating needs is left: a smaller nozzle, or less line.")
            )
        else:
            values["wear_allowed"] = wear_growth(math.sqrt(left / given.spray_pressure), 1.0)
    return Outcome(values, tuple(cautions))


_LOSS_SOURCE = Message(
    "Hoses as hose-loss; fittings: Hooper, Chemical Engineering, 24 August 1981, "
    "p. 96, as held in the fluids library; steps: Borda and Carnot"
)
_LIQUID = {
    "law": "power-law",
    "density": Message("{density}", density=stated("1.42 kg/L")),
    "consistency": "3.2 Pa*s^n",
    "index": "0.72",
}
_TWO = {
    **_LIQUID,
    "bores": Message("{length}, {length_2}", length=stated("12.7 mm"), length_2=stated("9.5 mm")),
    "lengths": "15 m, 15 m",
}

CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="line-loss",
        title=Message("Pressure lost along several hoses"),
        inputs=LineLoss,
        outputs={
            "pressure_loss": Output(unit_of(Pa), Message("Pressure lost, rise included")),
            "starting_pressure": Output(unit_of(Pa), Message("Pressure before anything moves")),
            "pressure_left": Output(unit_of(Pa), Message("Left at the far end")),
        },
        compute=_line_loss,
        formula="dp = sum of hoses + sum zeta rho V^2/2 + rho g z; zeta = K1/Re + K (1 + 1/D_in)",
        source=_LOSS_SOURCE,
        validity=Message("Steady flow of an even liquid at one temperature."),
        warns=(caution("weakest-part"),),
        example={**_TWO, "rise": "8 m", "elbows": "2", "flow": "2 L/min", "pressure": "250 bar"},
    ),
    Calculator(
        name="longest-hose",
        title=Message("Longest hose for the pressure available"),
        inputs=LongestHose,
        outputs={"length": Output(unit_of(MLong), Message("Longest hose"))},
        compute=_longest_hose,
        formula="L = (dp - rho g z) / (dp/L of hose-loss)",
        source=_LOSS_SOURCE,
        validity=Message("As hose-loss."),
        warns=(caution("weakest-part"),),
        example={**_LIQUID, "flow": "2 L/min", "bore": "9.5 mm", "pressure": "60 bar"},
    ),
    Calculator(
        name="smallest-bore",
        title=Message("Smallest hose for the pressure available"),
        inputs=SmallestBore,
        outputs={"bore": Output(unit_of(M), Message("Smallest bore"))},
        compute=_smallest_bore,
        formula="hose-loss solved for the bore",
        source=_LOSS_SOURCE,
        validity=Message("As hose-loss; take the next larger hose there is."),
        warns=(caution("weakest-part"),),
        example={**_LIQUID, "flow": "2 L/min", "length": "30 m", "pressure": "40 bar"},
    ),
    Calculator(
        name="warmth-needed",
        title=Message("How warm the coating must be for the line"),
        inputs=WarmthNeeded,
        outputs={"temperature": Output(unit_of(K), Message("Warm it to"))},
        compute=_warmth_needed,
        formula="line-loss with every stress times exp(B (1/T - 1/T0)), solved for T",
        source=_LOSS_SOURCE + "; Andrade, Philosophical Magazine 17 (1934) 497, from memory",
        validity=Message(
            "Within about 30 K of the reading, far from freezing and curing; the whole line at "
            "that temperature."
        ),
        warns=(caution("heating"),),
        example={**_TWO, "flow": "2 L/min", "pressure": "30 bar", "measured_at": "8 degC"},
    ),
    Calculator(
        name="nozzle-to-suit",
        title=Message("Largest nozzle the pump can feed"),
        inputs=NozzleToSuit,
        outputs={
            "orifice": Output(unit_of(M), Message("Round hole of equal flow")),
            "flow": Output(unit_of(M3PerS), Message("Flow the pump delivers")),
            "nozzle_pressure": Output(unit_of(Pa), Message("Pressure left at the nozzle")),
            "wear_allowed": Output(
                unit_of(Percent), Message("Growth of the hole until the pressure is too low")
            ),
        },
        compute=_nozzle_to_suit,
        formula="Q = pi/4 D^2 S f (1 - slip); p_nozzle = p - line-loss(Q); "
        "d = sqrt(4 Q / (pi Cd) sqrt(rho / (2 p_nozzle))); growth: (p/p_min)^(1/4) - 1",
        source=_LOSS_SOURCE + "; nozzle as nozzle-flow",
        validity=Message(
            "The pump's whole flow through one nozzle; a nozzle a size smaller lets it rest."
        ),
        warns=(caution("weakest-part"), caution("stored-pressure")),
        example={
            **_TWO,
            "pump_bore": "38 mm",
            "stroke": "80 mm",
            "rate": "40 cycles/min",
            "pressure": "250 bar",
            "spray_pressure": "120 bar",
        },
    ),
)
"""The calculators of this family."""
