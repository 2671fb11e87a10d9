"""Calculators for viscosity and temperature, from two or three readings."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.physics.rheology.temperature import VOGEL_POLE, Method, ThroughTwo, vogel_pole
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import K, KgPerM3, M2PerS, PaS, unit_of
from wetend.units.show import show

_D341_FROM: M2PerS = 2e-6
"""m2/s; below it the form of ASTM D341 used here lacks a term. ASTM D341, as given on
technicaltoolboxes.com, "ASTM D 341 Viscosity - Temperature Relations For Hydrocarbons"."""


class ViscosityTemperature(Noun):
    """Viscosities measured at two temperatures, and what is asked of them."""

    temperature_1: K = Field(ge=200, le=500)
    viscosity_1: PaS = Field(ge=1e-7, le=1e6)
    temperature_2: K = Field(ge=200, le=500)
    viscosity_2: PaS = Field(ge=1e-7, le=1e6)
    temperature: K | None = Field(
        default=None, ge=200, le=500, description=Message("Asks the viscosity")
    )
    wanted: PaS | None = Field(
        default=None, ge=1e-7, le=1e6, description=Message("Asks the temperature")
    )
    method: Method = "andrade"
    temperature_3: K | None = Field(
        default=None, ge=200, le=500, description=Message("A third point makes vogel exact")
    )
    viscosity_3: PaS | None = Field(default=None, ge=1e-7, le=1e6)
    density: KgPerM3 | None = Field(
        default=None, ge=100, le=10000, description=Message("Needed for d341; gives mm2/s too")
    )

    @model_validator(mode="after")
    def _asks_something(self) -> Self:
        if self.temperature is None and self.wanted is None:
            raise ValueError(
                Message("give the temperature to ask the viscosity, or the viscosity wanted")
            )
        if (self.temperature_3 is None) != (self.viscosity_3 is None):
            raise ValueError(Message("give the third temperature together with its viscosity"))
        return self


def _line(given: ViscosityTemperature) -> tuple[ThroughTwo, float]:
    """The line through the readings, and what divides a dynamic viscosity into its unit."""
    first, second = (
        (given.temperature_1, given.viscosity_1), (given.temperature_2, given.viscosity_2)
    )  # fmt: skip
    if given.method == "d341":
        if given.density is None:
            sentence = Message("The form of ASTM D341 is for mm2/s; give the density too.")
            raise BadInput(sentence, (Problem("density", sentence),))
        by = given.density
        line = ThroughTwo("d341", (first[0], first[1] / by), (second[0], second[1] / by))
        return line, by
    pole = VOGEL_POLE
    if given.method == "vogel" and given.temperature_3 and given.viscosity_3:
        pole = vogel_pole((first, second, (given.temperature_3, given.viscosity_3)))
    return ThroughTwo(given.method, first, second, pole), 1.0


def _below_d341(kinematic: list[M2PerS]) -> tuple[str, ...]:
    low = [v for v in kinematic if v < _D341_FROM]
    if not low:
        return ()
    unit = unit_of(M2PerS)
    sentence = Message(
        "{show} is below {d341_from}, where this form of ASTM D341 no longer holds: "
        "take andrade, or readings nearer.",
        show=show(min(low), unit),
        d341_from=show(_D341_FROM, unit),
    )
    return (sentence,)


def _cautions(given: ViscosityTemperature, asked: list[K]) -> tuple[str, ...]:
    found = []
    known = [given.temperature_1, given.temperature_2]
    if any(not min(known) - 30 <= t <= max(known) + 30 for t in asked):
        found.append(Message("More than 30 K from the readings: take another reading nearer."))
    if abs(known[0] - known[1]) < 5:
        found.append(
            Message("The readings are less than 5 K apart; a small error in one is magnified.")
        )
    if given.temperature_3 is not None and given.method != "vogel":
        found.append(Message("The third point is used by vogel only; it was not used."))
    if given.method == "vogel" and given.temperature_3 is None:
        found.append(
            Message("The pole of Vogel's law is taken as -95 °C; give a third point to fit it.")
        )
    if (
        given.viscosity_1 > 0
        and (given.viscosity_1 - given.viscosity_2) * (known[0] - known[1]) > 0
    ):
        found.append(Message("The warmer reading is the thicker: curing, or a mistake?"))
    return tuple(found)


def _viscosity_temperature(given: ViscosityTemperature) -> Outcome:
    line, by = _line(given)
    values: dict[str, float] = {}
    asked, met = [], [given.viscosity_1, given.viscosity_2]
    if given.temperature is not None:
        values["viscosity"] = line.viscosity(given.temperature) * by
        if given.density is not None:
            values["kinematic_viscosity"] = values["viscosity"] / given.density
        asked.append(given.temperature)
        met.append(values["viscosity"])
    if given.wanted is not None:
        values["temperature_needed"] = line.temperature(given.wanted / by)
        asked.append(values["temperature_needed"])
        met.append(given.wanted)
    cautions = _cautions(given, asked)
    if given.method == "d341":
        cautions += _below_d341([viscosity / by for viscosity in met])
    return Outcome(values, cautions)


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="viscosity-temperature",
        title=Message("Viscosity through readings at two temperatures"),
        inputs=ViscosityTemperature,
        outputs={
            "viscosity": Output(unit_of(PaS), Message("Viscosity at the temperature asked")),
            "kinematic_viscosity": Output(unit_of(M2PerS), Message("The same over the density")),
            "temperature_needed": Output(
                unit_of(K), Message("Temperature for the viscosity wanted")
            ),
        },
        compute=_viscosity_temperature,
        formula="andrade: ln mu = A + B/T; vogel: ln mu = A + B/(T - C), C = 178.15 K or from a "
        "third point; d341: log log(nu + 0.7) = A - B log T, nu in mm2/s",
        source="Andrade, Philosophical Magazine 17 (1934) 497; Vogel, Physikalische Zeitschrift 22 "
        "(1921) 645; pole of -95 degC: Cameron, Basic Lubrication Theory (1971); all from memory; "
        "ASTM D341, its form and range as given on technicaltoolboxes.com",
        validity=Message(
            "Between the readings and some 30 K beyond, far from freezing and curing; d341 for "
            "petroleum liquids above 2 mm2/s."
        ),
        warns=(caution("heating"),),
        example={
            "temperature_1": "10 degC",
            "viscosity_1": "800 mPa*s",
            "temperature_2": "25 degC",
            "viscosity_2": "430 mPa*s",
            "temperature": "18 degC",
            "method": "andrade",
            "wanted": "350 mPa*s",
        },
    ),
)
"""The calculators of this family."""
