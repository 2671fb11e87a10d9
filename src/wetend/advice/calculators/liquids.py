"""Calculators for liquids: flow cups, hoses, nozzles and films."""

from __future__ import annotations

import math
from typing import Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import FlowLaw
from wetend.advice.safety.hazards import caution
from wetend.materials.cups import Cup, CupName, find_cup
from wetend.physics.film import (
    practical_coverage,
    theoretical_coverage,
    volume_needed,
    wet_film,
)
from wetend.physics.hose import hose_loss
from wetend.physics.nozzle import jet_speed, nozzle_shear_rate, orifice_flow
from wetend.physics.rheology.cups import cup_spread, drain_time, in_range, kinematic_viscosity
from wetend.physics.rheology.friction import TURBULENT_FROM, Friction, fanning_friction
from wetend.physics.rheology.law import Turbulent
from wetend.physics.rheology.laws import LAWS, law_of
from wetend.physics.rheology.liquid import Liquid
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import (
    M2,
    M3,
    KgPerM3,
    M,
    M2PerM3,
    M2PerS,
    M3PerS,
    MFine,
    MLong,
    MPerS,
    Pa,
    PaS,
    Percent,
    PerS,
    Ratio,
    S,
    unit_of,
)
from wetend.units.show import show

_SKIN_PRESSURE = 7e5
"""Pa; least pressure said to breach intact skin, about 100 psi (hand-surgery reviews)."""


class CupViscosity(Noun):
    """A flow cup and the time it took to empty."""

    cup: CupName = Field(description=Message("Which cup, by standard and hole"))
    time: S = Field(
        ge=0.1, le=10000, description=Message("From release to the first break of the stream")
    )
    density: KgPerM3 | None = Field(
        default=None, ge=100, le=10000, description=Message("Gives the dynamic viscosity too")
    )
    temperature_doubt: Ratio = Field(
        default=2.0,
        ge=0,
        le=30,
        description=Message("Kelvin; how well the coating's warmth was known"),
    )
    other_cup: CupName | None = Field(
        default=None, description=Message("Asks how long the same coating takes from this cup")
    )


def _cup_cautions(time: S, cup: Cup) -> tuple[str, ...]:
    found = []
    if not in_range(time, cup):
        found.append(
            Message(
                "{time:g} s is outside {shortest:g} to {longest:g} s, where the formula of "
                "the {title} holds; use the next cup.",
                time=time,
                shortest=cup.shortest,
                longest=cup.longest,
                title=cup.title,
            )
        )
    if cup.standard == "ASTM D4212":
        found.append(
            Message(
                "Published tables for Zahn cups disagree by 14 to 50 %, cups differ from one "
                "another, and ASTM D4212 gives a reproducibility of 33 % of the mean: use "
                "the figure to repeat your own work with your own cup only."
            )
        )
    return tuple(found)


def _cup_viscosity(given: CupViscosity) -> Outcome:
    cup = find_cup(given.cup)
    kinematic = kinematic_viscosity(given.time, cup)
    values = {
        "kinematic_viscosity": kinematic,
        "spread": cup_spread(given.time, cup, temperature_doubt=given.temperature_doubt),
    }
    if given.density is not None:
        values["viscosity"] = kinematic * given.density
    cautions = _cup_cautions(given.time, cup)
    if given.other_cup is not None:
        other = find_cup(given.other_cup)
        values["other_time"] = drain_time(kinematic, other)
        cautions += tuple(
            c for c in _cup_cautions(values["other_time"], other) if c not in cautions
        )
    holds = Message(
        "{title} ({standard}): {shortest:g} to {longest:g} s, newtonian.",
        title=cup.title,
        standard=cup.standard,
        shortest=cup.shortest,
        longest=cup.longest,
    )
    return Outcome(values, cautions, holds)


class HoseLoss(FlowLaw):
    """A liquid by its flow law, and the hose it runs through."""

    flow: M3PerS = Field(
        ge=0, le=10, description=Message("Zero gives the pressure that starts it moving")
    )
    bore: M = Field(ge=1e-5, le=1)
    length: MLong = Field(ge=1e-5, le=100000)
    turbulent: Turbulent = Field(
        default="dodge-metzner",
        description=Message("Law of turbulent friction; the other is for Bingham"),
    )

    @model_validator(mode="after")
    def _law_of_the_other(self) -> Self:
        if self.turbulent == "darby-melson" and not (
            self.turbulent in LAWS[self.law].turbulent and self.liquid().yield_stress > 0
        ):
            raise ValueError(
                Message("the law of Darby and Melson is for a bingham liquid with a yield")
            )
        return self


def _regime(friction: Friction) -> str:
    reynolds = float(friction.reynolds)
    if reynolds <= float(friction.critical):
        return "laminar"
    return "turbulent" if reynolds >= TURBULENT_FROM else Message("between laminar and turbulent")


def _reynolds(liquid: Liquid, speed: MPerS, bore: M, friction: Friction) -> float:
    """With the (plastic) viscosity where that is the custom, else that of Metzner and Reed."""
    if law_of(liquid).plastic_reynolds:
        return liquid.density * speed * bore / liquid.consistency
    return float(friction.reynolds)


def _hose_cautions(given: HoseLoss, liquid: Liquid, regime: str) -> tuple[str, ...]:
    found = list(given.unused_cautions())
    if given.flow == 0 and liquid.yield_stress > 0:
        found.append(Message("At no flow: the pressure that just starts this liquid moving."))
    if regime == "between laminar and turbulent":
        found.append(
            Message("The flow flickers between laminar and turbulent; the loss may be a third off.")
        )
    if regime != "laminar" and liquid.index > 1:
        found.append(
            Message("Turbulent friction was never measured for liquids that thicken with shear.")
        )
    if regime != "laminar":
        found += given.limits("turbulence")
    if regime != "laminar" and "darby-melson" in law_of(liquid).turbulent and liquid.yield_stress:
        other: Turbulent = "darby-melson" if given.turbulent == "dodge-metzner" else "dodge-metzner"
        loss = float(hose_loss(liquid, given.flow, given.bore, given.length, turbulent=other))
        found.append(
            Message(
                "Published laws of turbulent Bingham flow differ: {other} gives {loss}.",
                other=other,
                loss=show(loss, unit_of(Pa)),
            )
        )
    return tuple(found)


def _hose_loss(given: HoseLoss) -> Outcome:
    liquid = given.liquid()
    speed = 4.0 * given.flow / (math.pi * given.bore**2)
    friction = fanning_friction(liquid, speed, given.bore, turbulent=given.turbulent)
    loss = 4.0 * float(friction.wall_stress) * given.length / given.bore
    regime = _regime(friction)
    return Outcome(
        {
            "pressure_loss": loss,
            "reynolds": _reynolds(liquid, speed, given.bore, friction),
            "speed": speed,
            "regime": regime,
        },
        _hose_cautions(given, liquid, regime),
    )


class NozzleFlow(Noun):
    """A nozzle by the round hole of equal flow, and what drives liquid through it."""

    orifice: M = Field(
        ge=1e-6, le=0.5, description=Message("Diameter of the round hole of equal flow")
    )
    pressure: Pa = Field(ge=0, le=1e9, description=Message("At the nozzle, not at the pump"))
    density: KgPerM3 = Field(ge=100, le=10000)
    discharge_coefficient: Ratio = Field(default=0.85, ge=0.01, le=1)
    viscosity: PaS | None = Field(
        default=None,
        ge=1e-7,
        le=1e4,
        description=Message("At the nozzle's shear rate; blank neglects it"),
    )
    land: M = Field(
        default=0.0, ge=0, le=0.5, description=Message("Length of the hole, with viscosity")
    )


def _nozzle_flow(given: NozzleFlow) -> Outcome:
    flow = float(
        orifice_flow(
            given.pressure, given.orifice, density=given.density,
            discharge_coefficient=given.discharge_coefficient,
            viscosity=given.viscosity or 0.0, land=given.land,
        )
    )  # fmt: skip
    through_skin = given.pressure >= _SKIN_PRESSURE
    values = {
        "flow": flow,
        "jet_speed": jet_speed(given.pressure, given.density),
        "shear_rate": nozzle_shear_rate(flow, given.orifice),
    }
    return Outcome(values, warns=(caution("injection"),) if through_skin else ())


class Coverage(Noun):
    """A film to lay and what the coating holds."""

    dry_film: MFine = Field(ge=1e-7, le=0.1)
    volume_solids: Percent = Field(
        ge=0.001, le=1, description=Message("From the data sheet, by volume")
    )
    loss: Percent = Field(
        default=0.0,
        ge=0,
        le=0.99,
        description=Message("Lost of what is sprayed; airless about 30 %"),
    )
    thinner: Percent = Field(
        default=0.0, ge=0, le=5, description=Message("Volume added, over volume of coating")
    )
    area: M2 | None = Field(
        default=None, ge=1e-4, le=1e7, description=Message("Asks how much to bring")
    )


def _coverage(given: Coverage) -> Outcome:
    cautions = []
    if given.loss == 0:
        cautions.append(
            Message("No loss is counted: airless spraying usually loses about 30 %, more in wind.")
        )
    if given.thinner > 0:
        cautions.append(
            Message(
                "Thin only within the data sheet; coverage is of the coating as bought, not "
                "as thinned."
            )
        )
    film = given.dry_film, given.volume_solids
    values = {
        "theoretical_coverage": theoretical_coverage(*film),
        "practical_coverage": practical_coverage(*film, given.loss),
        "wet_film": wet_film(*film, given.thinner),
    }
    if given.area is not None:
        values["volume"] = volume_needed(given.area, *film, given.loss)
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="cup-viscosity",
        title=Message("Viscosity from a flow cup"),
        inputs=CupViscosity,
        outputs={
            "kinematic_viscosity": Output(unit_of(M2PerS), Message("Kinematic viscosity")),
            "viscosity": Output(
                unit_of(PaS), Message("Dynamic viscosity, if the density is given")
            ),
            "spread": Output(
                unit_of(Percent), Message("Standard uncertainty: cup, watch and warmth")
            ),
            "other_time": Output(unit_of(S), Message("The same coating from the other cup")),
        },
        compute=_cup_viscosity,
        formula="nu = a (t - t0) - b / t",
        source="Coefficients of ISO 2431, ASTM D1200, ASTM D4212 and DIN 53211 as printed by a "
        "supplier of viscosity standards (Zahn, Ford 1 and 2) and in a public script (Ford 3 to "
        "5, ISO, DIN); the texts of the standards were not seen",
        validity=Message(
            "Newtonian liquid between the cup's shortest and longest time, at its test temperature."
        ),
        cautions=(
            Message("Bring cup and coating to one known temperature: a kelvin is worth about 4 %."),
            Message(
                "A coating with a yield stress has no one viscosity; compare it by one cup only."
            ),
        ),
        example={"cup": "ford-4", "time": "80 s"},
    ),
    Calculator(
        name="hose-loss",
        title=Message("Pressure lost along a hose"),
        inputs=HoseLoss,
        outputs={
            "pressure_loss": Output(unit_of(Pa), Message("Pressure lost")),
            "reynolds": Output(unit_of(Ratio), Message("Reynolds number")),
            "speed": Output(unit_of(MPerS), Message("Mean speed")),
            "regime": Output(None, Message("Kind of flow")),
        },
        compute=_hose_loss,
        formula="dp = 4 tau_w L / D; laminar: tau_w from 8V/D by the flow law; turbulent: "
        "1/sqrt f = (4/n^0.75) log10(Re f^(1-n/2)) - 0.4/n^1.2, tau_w = f rho V^2 / 2",
        source="Hagen-Poiseuille, Buckingham-Reiner, Rabinowitsch-Mooney (exact); Metzner and Reed "
        "1955, Dodge and Metzner 1959, Ryan and Johnson 1959, Darby and Melson 1981, from memory",
        validity=Message(
            "Level, smooth, round hose; steady flow of an even liquid. Reynolds number: with the "
            "(plastic) viscosity for newtonian and bingham, of Metzner and Reed for the others."
        ),
        cautions=(Message("Fittings, height and a blocked filter come on top."),),
        example={
            "law": "power-law",
            "flow": "2 L/min",
            "bore": "9.5 mm",
            "length": "30 m",
            "density": "1.42 kg/L",
            "consistency": "3.2 Pa*s^n",
            "index": "0.72",
        },
    ),
    Calculator(
        name="nozzle-flow",
        title=Message("Flow through a nozzle"),
        inputs=NozzleFlow,
        outputs={
            "flow": Output(unit_of(M3PerS), Message("Flow")),
            "jet_speed": Output(unit_of(MPerS), Message("Speed of the jet without losses")),
            "shear_rate": Output(unit_of(PerS), Message("Nominal shear rate in the nozzle")),
        },
        compute=_nozzle_flow,
        formula="dp = rho/2 (Q / (Cd A))^2 + mu Q / r^3 (3 + 8 l / (pi r))",
        source="Coulson and Richardson, Chemical Engineering vol. 1, 6th ed., example 6.1; viscous "
        "term: Sampson 1891, Dagan and others 1982, from memory",
        validity=Message(
            "Nozzle taken as a round hole of equal flow. No published coefficient for airless "
            "nozzles was found: calibrate yours with a bucket and a watch."
        ),
        example={
            "orifice": "21 thou",
            "pressure": "200 bar",
            "density": "1.2 kg/L",
            "discharge_coefficient": "0.85",
        },
    ),
    Calculator(
        name="coverage",
        title=Message("Coverage and wet film"),
        inputs=Coverage,
        outputs={
            "theoretical_coverage": Output(unit_of(M2PerM3), Message("Coverage without loss")),
            "practical_coverage": Output(unit_of(M2PerM3), Message("Coverage with the loss")),
            "wet_film": Output(unit_of(MFine), Message("Wet film to lay")),
            "volume": Output(unit_of(M3), Message("Coating for the area, as bought")),
        },
        compute=_coverage,
        formula="theoretical = VS / DFT; practical = theoretical (1 - loss); "
        "wet film = DFT (1 + thinner) / VS; volume = area / practical",
        source="Spreading-rate examples of scribd.com documents 343849341 and 290710110; wet film "
        "with thinner from memory",
        validity=Message("Smooth surface; a rough profile takes more."),
        example={"dry_film": "125 um", "volume_solids": "65 %", "loss": "30 %", "thinner": "5 %"},
    ),
)
"""The calculators of this family."""
