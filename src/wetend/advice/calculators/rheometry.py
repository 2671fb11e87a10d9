"""Calculators for how a coating flows: from viscometer readings, when warmed, when thinned."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.safety.hazards import caution
from wetend.physics.rheology.fit import Fit, choose, fit
from wetend.physics.rheology.laws import LAWS
from wetend.physics.rheology.temperature import COATING_ACTIVATION, activation_of, andrade_factor
from wetend.physics.rheology.thinning import thinned_viscosity, thinner_needed
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.quantity import K, PaLow, PaS, PaSN, Percent, PerS, Ratio, unit_of

if TYPE_CHECKING:
    _LawToFit = str
else:
    _LawToFit = Literal[("best", *(law.name for law in LAWS.values() if law.fitted))]

_THINNING = Message(
    "Thin only with the data sheet's thinner and within its share; the safety "
    "data sheet and local limits on solvent come first."
)


class RheologyFit(Noun):
    """Viscometer readings, and the flow law to fit."""

    rates: tuple[Annotated[PerS, Field(ge=1e-6, le=1e8)], ...] = Field(
        min_length=1, max_length=200, description=Message("Rates of shear")
    )
    stresses: tuple[Annotated[PaLow, Field(ge=1e-6, le=1e8)], ...] = Field(
        min_length=1, max_length=200, description=Message("Stress at each rate")
    )
    law: _LawToFit = Field(
        default="best",
        description=Message(
            "The best lets the readings choose from the first four; it needs five or more"
        ),
    )
    confidence: Percent = Field(
        default=0.95, ge=0.5, le=0.999, description=Message("Of the intervals")
    )


def _fitted(given: RheologyFit) -> tuple[Fit, str]:
    """The fit asked for, and how the readings weigh the laws."""
    if given.law != "best":
        return fit(given.rates, given.stresses, given.law, confidence=given.confidence), ""
    choice = choose(given.rates, given.stresses, confidence=given.confidence)
    weighed = zip(choice.fits, choice.weights, strict=True)
    return choice.best, joined(
        ", ", (Message("{law} {w:.0%}", law=f.liquid.law, w=w) for f, w in weighed)
    )


def _rheology_fit(given: RheologyFit) -> Outcome:
    found, evidence = _fitted(given)
    cautions = []
    if found.spread > 0.1:
        cautions.append(Message("The law misses the readings by more than a tenth; try another."))
    if max(given.rates) < 10 * min(given.rates):
        cautions.append(
            Message("The rates span less than ten to one; outside them the law is a guess.")
        )
    if not found.intervals:
        cautions.append(Message("As many parameters as readings: no interval can be calculated."))
    liquid = found.liquid
    values: dict[str, float | str] = {
        "law": liquid.law, "yield_stress": liquid.yield_stress,
        "consistency": liquid.consistency, "index": liquid.index, "spread": found.spread,
    }  # fmt: skip
    for name, interval in found.intervals.items():
        values[f"{name}_low"], values[f"{name}_high"] = interval.low, interval.high
    if evidence:
        values["evidence"] = evidence
    return Outcome(values, tuple(cautions))


class WarmViscosity(Noun):
    """A viscosity at one temperature, and the temperature it is wanted at."""

    viscosity: PaS = Field(ge=1e-7, le=1e6)
    measured_at: K = Field(ge=230, le=420)
    wanted_at: K = Field(ge=230, le=420)
    second_viscosity: PaS | None = Field(
        default=None,
        ge=1e-7,
        le=1e6,
        description=Message("Measured at another temperature; sharpens it"),
    )
    second_at: K | None = Field(default=None, ge=230, le=420)


def _warm_viscosity(given: WarmViscosity) -> Outcome:
    cautions = []
    activation = COATING_ACTIVATION
    if given.second_viscosity is not None and given.second_at is not None:
        activation = activation_of(
            (given.measured_at, given.viscosity), (given.second_at, given.second_viscosity)
        )
    else:
        cautions.append(
            Message(
                "A usual solvent-borne coating is assumed, about 4 % a kelvin; half to twice "
                "that occurs. Give a second reading to do better."
            )
        )
    if abs(given.wanted_at - given.measured_at) > 30:
        cautions.append(Message("More than 30 K from the reading: take another reading nearer."))
    factor = andrade_factor(given.wanted_at, given.measured_at, activation)
    return Outcome({"viscosity": given.viscosity * factor, "factor": factor}, tuple(cautions))


class Thinning(Noun):
    """A coating, its thinner, and how much is added or how thin it should be."""

    viscosity: PaS = Field(ge=1e-7, le=1e6)
    thinner_viscosity: PaS = Field(default=0.0007, ge=1e-7, le=1)
    thinner: Percent = Field(
        default=0.1, ge=0, le=2, description=Message("Volume added, over volume of coating")
    )
    wanted: PaS | None = Field(
        default=None, ge=1e-7, le=1e6, description=Message("Asks how much to add")
    )


def _thinning(given: Thinning) -> Outcome:
    after = thinned_viscosity(given.viscosity, given.thinner_viscosity, given.thinner)
    values = {"viscosity": after}
    cautions = []
    if given.wanted is not None and given.wanted > given.thinner_viscosity:
        values["thinner_needed"] = thinner_needed(
            given.viscosity, given.thinner_viscosity, given.wanted
        )
    elif given.wanted is not None:
        cautions.append(
            Message("No amount of thinner makes a coating thinner than the thinner itself.")
        )
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="rheology-fit",
        title=Message("Flow law from viscometer readings"),
        inputs=RheologyFit,
        outputs={
            "law": Output(None, Message("Flow law")),
            "yield_stress": Output(unit_of(PaLow), Message("Yield stress")),
            "consistency": Output(unit_of(PaSN), Message("Consistency, or (plastic) viscosity")),
            "index": Output(unit_of(Ratio), Message("Flow index")),
            "spread": Output(unit_of(Percent), Message("Residual of the fit, over the stress")),
            "yield_stress_low": Output(unit_of(PaLow), Message("Yield stress, least")),
            "yield_stress_high": Output(unit_of(PaLow), Message("Yield stress, most")),
            "consistency_low": Output(unit_of(PaSN), Message("Consistency, least")),
            "consistency_high": Output(unit_of(PaSN), Message("Consistency, most")),
            "index_low": Output(unit_of(Ratio), Message("Flow index, least")),
            "index_high": Output(unit_of(Ratio), Message("Flow index, most")),
            "evidence": Output(None, Message("Weight of each law by the readings")),
        },
        compute=_rheology_fit,
        formula="tau = tau_y + K rate^n; newtonian: tau_y = 0, n = 1; power-law: tau_y = 0; "
        "bingham: n = 1; least squares of ln tau; choice by AICc = N ln s^2 + 2k + 2k(k+1)/(N-k-1)",
        source="Coulson and Richardson, Chemical Engineering vol. 1, 6th ed., ex. 3.10, as "
        "transcribed in the FOSSEE Python Textbook Companions; criterion: Hurvich and Tsai, "
        "Biometrika 76 (1989) 297, from memory",
        validity=Message(
            "Inside the rates measured. A hose shears at 10 to 1,000 /s, a nozzle at more than "
            "100,000 /s. Intervals: even scatter, more readings than parameters."
        ),
        example={
            "rates": "1, 3, 10, 30, 100, 300, 1000",
            "stresses": "18.5, 24.6, 38.1, 62.0, 115, 211, 422",
        },
    ),
    Calculator(
        name="warm-viscosity",
        title=Message("Viscosity at another temperature"),
        inputs=WarmViscosity,
        outputs={
            "viscosity": Output(unit_of(PaS), Message("Viscosity at the temperature wanted")),
            "factor": Output(unit_of(Ratio), Message("Over the first viscosity")),
        },
        compute=_warm_viscosity,
        formula="mu = mu0 exp(B (1/T - 1/T0))",
        source="E. N. da C. Andrade, Philosophical Magazine 17 (1934) 497, from memory; B of a "
        "usual coating: common practice, no source",
        validity=Message("Within about 30 K of the reading, far from freezing and curing."),
        warns=(caution("heating"),),
        example={"viscosity": "800 mPa*s", "measured_at": "10 degC", "wanted_at": "25 degC"},
    ),
    Calculator(
        name="thinning",
        title=Message("Viscosity after thinning"),
        inputs=Thinning,
        outputs={
            "viscosity": Output(unit_of(PaS), Message("Viscosity after thinning")),
            "thinner_needed": Output(
                unit_of(Percent), Message("Thinner to add for the viscosity wanted")
            ),
        },
        compute=_thinning,
        formula="ln mu = (ln mu1 + R ln mu2) / (1 + R)",
        source="Logarithmic rule of Arrhenius (1887), from memory",
        validity=Message(
            "A first guess: real coatings fall by half to twice as much. Stir and measure."
        ),
        cautions=(_THINNING,),
        example={"viscosity": "800 mPa*s", "thinner": "5 %", "wanted": "400 mPa*s"},
    ),
)
"""The calculators of this family."""
