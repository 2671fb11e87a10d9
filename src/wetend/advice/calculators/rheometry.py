"""Calculators for how a coating flows: from viscometer readings, when warmed, when thinned."""

from __future__ import annotations

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.physics.rheology.fit import fit
from wetend.physics.rheology.liquid import Law
from wetend.physics.rheology.temperature import COATING_ACTIVATION, activation_of, andrade_factor
from wetend.physics.rheology.thinning import thinned_viscosity, thinner_needed
from wetend.units.noun import Noun
from wetend.units.quantity import K, PaLow, PaS, PaSN, Percent, PerS, Ratio, unit_of

_WARMING = (
    "Warm a coating only as its data sheet allows, by a heater made for it: solvent vapour burns, "
    "and a two-pack coating cures faster."
)
_THINNING = (
    "Thin only with the data sheet's thinner and within its share; the safety data sheet and local "
    "limits on solvent come first."
)


class FlowLawFit(Noun):
    """Viscometer readings, and the flow law to fit."""

    rates: tuple[PerS, ...] = Field(min_length=1, max_length=200, description="Rates of shear")
    stresses: tuple[PaLow, ...] = Field(
        min_length=1, max_length=200, description="Stress at each rate"
    )
    law: Law = "herschel-bulkley"


def _flow_law_fit(given: FlowLawFit) -> Outcome:
    found = fit(given.rates, given.stresses, given.law)
    cautions = []
    if found.spread > 0.1:
        cautions.append("The law misses the readings by more than a tenth; try another.")
    if max(given.rates) < 10 * min(given.rates):
        cautions.append("The rates span less than ten to one; outside them the law is a guess.")
    liquid = found.liquid
    values = {
        "yield_stress": liquid.yield_stress, "consistency": liquid.consistency,
        "index": liquid.index, "spread": found.spread,
    }  # fmt: skip
    return Outcome(values, tuple(cautions))


class WarmViscosity(Noun):
    """A viscosity at one temperature, and the temperature it is wanted at."""

    viscosity: PaS = Field(gt=0, le=1e6)
    measured_at: K = Field(gt=230, le=420)
    wanted_at: K = Field(gt=230, le=420)
    second_viscosity: PaS | None = Field(
        default=None, gt=0, le=1e6, description="Measured at another temperature; sharpens it"
    )
    second_at: K | None = Field(default=None, gt=230, le=420)


def _warm_viscosity(given: WarmViscosity) -> Outcome:
    cautions = []
    activation = COATING_ACTIVATION
    if given.second_viscosity is not None and given.second_at is not None:
        activation = activation_of(
            (given.measured_at, given.viscosity), (given.second_at, given.second_viscosity)
        )
    else:
        cautions.append(
            "A usual solvent-borne coating is assumed, about 4 % a kelvin; half as much to twice "
            "as much is met. Give a second reading to do better."
        )
    if abs(given.wanted_at - given.measured_at) > 30:
        cautions.append("More than 30 K from the reading: take another reading nearer.")
    factor = andrade_factor(given.wanted_at, given.measured_at, activation)
    return Outcome({"viscosity": given.viscosity * factor, "factor": factor}, tuple(cautions))


class Thinning(Noun):
    """A coating, its thinner, and how much is added or how thin it should be."""

    viscosity: PaS = Field(gt=0, le=1e6)
    thinner_viscosity: PaS = Field(default=0.0007, gt=0, le=1)
    thinner: Percent = Field(
        default=0.1, ge=0, le=2, description="Volume added, over volume of coating"
    )
    wanted: PaS | None = Field(default=None, gt=0, le=1e6, description="Asks how much to add")


def _thinning(given: Thinning) -> Outcome:
    after = thinned_viscosity(given.viscosity, given.thinner_viscosity, given.thinner)
    values = {"viscosity": after}
    cautions = []
    if given.wanted is not None and given.wanted > given.thinner_viscosity:
        values["thinner_needed"] = thinner_needed(
            given.viscosity, given.thinner_viscosity, given.wanted
        )
    elif given.wanted is not None:
        cautions.append("No amount of thinner makes a coating thinner than the thinner itself.")
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="flow-law-fit",
        title="Flow law from viscometer readings",
        inputs=FlowLawFit,
        outputs={
            "yield_stress": Output(unit_of(PaLow), "Yield stress"),
            "consistency": Output(unit_of(PaSN), "Consistency, or (plastic) viscosity"),
            "index": Output(unit_of(Ratio), "Flow index"),
            "spread": Output(unit_of(Percent), "What the fit leaves, of the stress"),
        },
        compute=_flow_law_fit,
        formula="tau = tau_y + K rate^n; newtonian: tau_y = 0, n = 1; power-law: tau_y = 0; "
        "bingham: n = 1; least relative squares",
        source="Coulson and Richardson, Chemical Engineering vol. 1, 6th ed., ex. 3.10, as "
        "transcribed in the FOSSEE Python Textbook Companions",
        validity="Inside the rates measured. A hose shears at 10 to 1,000 /s, a nozzle at more "
        "than 100,000 /s.",
        example={"rates": "1, 10, 100, 1000", "stresses": "18.5, 38, 115, 420",
                 "law": "herschel-bulkley"},
    ),
    Calculator(
        name="warm-viscosity",
        title="Viscosity at another temperature",
        inputs=WarmViscosity,
        outputs={
            "viscosity": Output(unit_of(PaS), "Viscosity at the temperature wanted"),
            "factor": Output(unit_of(Ratio), "Of what it was"),
        },
        compute=_warm_viscosity,
        formula="mu = mu0 exp(B (1/T - 1/T0))",
        source="E. N. da C. Andrade, Philosophical Magazine 17 (1934) 497, from memory; B of a "
        "usual coating: common practice, no source",
        validity="Within about 30 K of the reading, far from freezing and curing.",
        cautions=(_WARMING,),
        example={"viscosity": "800 mPa*s", "measured_at": "10 degC", "wanted_at": "25 degC"},
    ),
    Calculator(
        name="thinning",
        title="Viscosity after thinning",
        inputs=Thinning,
        outputs={
            "viscosity": Output(unit_of(PaS), "Viscosity after thinning"),
            "thinner_needed": Output(unit_of(Percent), "Thinner to add for the viscosity wanted"),
        },
        compute=_thinning,
        formula="ln mu = (ln mu1 + R ln mu2) / (1 + R)",
        source="Logarithmic rule of Arrhenius (1887), from memory",
        validity="A first guess: real coatings fall by half to twice as much. Stir and measure.",
        cautions=(_THINNING,),
        example={"viscosity": "800 mPa*s", "thinner": "5 %", "wanted": "400 mPa*s"},
    ),
)  # fmt: skip
"""The calculators of this family."""
