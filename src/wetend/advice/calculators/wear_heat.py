"""Calculators for nozzle wear and heated hoses."""

from __future__ import annotations

import math
from typing import Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import FlowLaw
from wetend.advice.safety.hazards import caution
from wetend.physics.lines import Piece, heated_loss, temperature_along
from wetend.physics.nozzle import pressure_after_wear, wear_growth
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import (
    M3,
    K,
    M,
    M3PerS,
    MLong,
    Pa,
    Percent,
    Ratio,
    unit_of,
)


class NozzleWear(Noun):
    """A nozzle's flow when new and now, at one pressure."""

    flow_new: M3PerS = Field(
        ge=1e-9, le=10, description=Message("Bucket and watch, or the nozzle's chart")
    )
    flow_now: M3PerS = Field(ge=1e-9, le=10, description=Message("At the same pressure"))
    volume: M3 | None = Field(
        default=None, ge=1e-6, le=1e6, description=Message("Sprayed between the two")
    )
    growth_limit: Percent = Field(
        default=0.12,
        ge=0.001,
        le=2,
        description=Message("Of the equal hole, at which you change it"),
    )

    @model_validator(mode="after")
    def _one_nozzle(self) -> Self:
        if not 0.5 < self.flow_now / self.flow_new < 20:
            raise ValueError(
                Message("the flows differ too much for one nozzle; measure them again")
            )
        return self


def _nozzle_wear(given: NozzleWear) -> Outcome:
    growth = wear_growth(given.flow_now, given.flow_new)
    values = {
        "growth": growth,
        "more_coating": given.flow_now / given.flow_new - 1.0,
        "pressure_left": pressure_after_wear(growth),
    }
    cautions = []
    if growth < 0:
        cautions.append(Message("It passes less than when new: blocked, or another pressure."))
    elif given.volume is not None and growth > 1e-4:
        values["volume_left"] = max(given.volume * (given.growth_limit / growth - 1.0), 0.0)
    if growth >= given.growth_limit:
        cautions.append(
            Message("Past its limit: it throws coating away and pulls the pressure down.")
        )
    return Outcome(values, tuple(cautions))


class HeatedHose(FlowLaw):
    """A coating at one temperature, and a hose that warms or cools it."""

    measured_at: K = Field(ge=230, le=420, description=Message("Temperature of the flow law given"))
    inlet: K = Field(ge=230, le=420, description=Message("Of the coating entering the hose"))
    surroundings: K = Field(ge=230, le=420, description=Message("Heated jacket, or the weather"))
    flow: M3PerS = Field(ge=1e-9, le=10)
    bore: M = Field(ge=1e-3, le=1)
    length: MLong = Field(ge=0.01, le=10000)
    transfer: Ratio = Field(
        default=60.0,
        ge=0.01,
        le=5000,
        description=Message("W/(m2 K) on the bore; bare hose 5, jacket 60"),
    )
    heat_capacity: Ratio = Field(default=2000.0, ge=200, le=10000, description=Message("J/(kg K)"))


def _heated_hose(given: HeatedHose) -> Outcome:
    liquid, piece = given.liquid(), Piece(given.bore, given.length)
    outlet = temperature_along(
        given.inlet, given.surroundings, length=given.length, bore=given.bore, flow=given.flow,
        density=given.density, transfer=given.transfer, heat_capacity=given.heat_capacity,
    )  # fmt: skip

    def loss(surroundings: K) -> Pa:
        return heated_loss(
            liquid, given.flow, piece, reference=given.measured_at, inlet=given.inlet,
            surroundings=surroundings, transfer=given.transfer,
            heat_capacity=given.heat_capacity,
        )  # fmt: skip

    values = {"outlet": outlet, "pressure_loss": loss(given.surroundings),
              "without_change": loss(given.inlet)}  # fmt: skip
    cautions = list(given.unused_cautions())
    if max(abs(outlet - given.measured_at), abs(given.inlet - given.measured_at)) > 30:
        cautions.append(Message("More than 30 K from where it was measured: measure again nearer."))
    if not all(math.isfinite(v) for v in values.values()):
        cautions.append(Message("The coating is too cold for a pressure to be calculated."))
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="nozzle-wear",
        title=Message("Wear of a nozzle, and what it costs"),
        inputs=NozzleWear,
        outputs={
            "growth": Output(unit_of(Percent), Message("Growth of the equal hole")),
            "more_coating": Output(unit_of(Percent), Message("More coating at the same pressure")),
            "pressure_left": Output(unit_of(Percent), Message("Pressure left at the same flow")),
            "volume_left": Output(unit_of(M3), Message("Volume left before the limit")),
        },
        compute=_nozzle_wear,
        formula="growth = sqrt(Q/Q0) - 1; pressure left = (1 + growth)^-4; volume left = "
        "V (limit/growth - 1)",
        source="Torricelli's law; even growth with the volume is common practice, no source",
        validity=Message(
            "Both flows at one pressure with one coating; a chipped nozzle wears faster."
        ),
        warns=(caution("stored-pressure"),),
        example={"flow_new": "2.0 L/min", "flow_now": "2.3 L/min", "volume": "600 L"},
    ),
    Calculator(
        name="heated-hose",
        title=Message("Temperature and pressure along a heated or cold hose"),
        inputs=HeatedHose,
        outputs={
            "outlet": Output(unit_of(K), Message("Coating at the far end")),
            "pressure_loss": Output(unit_of(Pa), Message("Pressure lost")),
            "without_change": Output(
                unit_of(Pa), Message("Pressure lost at the inlet temperature")
            ),
        },
        compute=_heated_hose,
        formula="T = Ts + (T0 - Ts) exp(-U pi D x/(rho c Q)); dp = int dp/dx(T(x)) dx",
        source="Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, eq. 8.46 of the 6th "
        "ed., from memory; viscosity by Andrade; transfer and heat capacity: common practice, no "
        "source",
        validity=Message(
            "Even surroundings; the section well mixed, so a thick cold film at the wall "
            "is left out."
        ),
        warns=(caution("heating"),),
        cautions=(Message("A coating left standing in a heated hose cures there: flush it."),),
        example={
            "law": "newtonian",
            "viscosity": "1.2 Pa*s",
            "density": "1.4 kg/L",
            "measured_at": "20 degC",
            "inlet": "20 degC",
            "surroundings": "45 degC",
            "flow": "1.8 L/min",
            "bore": "9.5 mm",
            "length": "30 m",
        },
    ),
)
"""The calculators of this family."""
