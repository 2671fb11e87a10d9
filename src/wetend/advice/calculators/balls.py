"""Calculators for a valve's ball: its fall, its opening, its way back to the seat."""

from __future__ import annotations

from typing import Self

from pydantic import Field, model_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.physics.falls import fall_time
from wetend.physics.valves import (
    Seat,
    contact_diameter,
    fall_speed,
    floating_rise,
    opening_loss,
    seat_opening,
)
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import M2, KgPerM3, M, M3PerS, MPerS, N, Pa, PaS, Rad, Ratio, S, unit_of


class BallFall(Noun):
    """A ball in a still liquid."""

    diameter: M = Field(ge=1e-6, le=1, description=Message("Of the ball"))
    ball_density: KgPerM3 = Field(ge=100, le=25000)
    liquid_density: KgPerM3 = Field(ge=0.5, le=15000)
    viscosity: PaS = Field(ge=1e-7, le=1e5)
    tube_diameter: M | None = Field(
        default=None, ge=1e-6, le=10, description=Message("Round the ball; blank: far walls")
    )
    spring_force: N = Field(default=0.0, ge=0, le=1e4, description=Message("Of a ball spring"))
    lift: M | None = Field(
        default=None, ge=1e-7, le=1, description=Message("Asks the time to the seat")
    )

    @model_validator(mode="after")
    def _fits_and_falls(self) -> Self:
        if self.tube_diameter is not None and self.tube_diameter <= self.diameter:
            raise ValueError(Message("the ball must be smaller than the tube it falls in"))
        if self.ball_density <= self.liquid_density and self.spring_force <= 0:
            raise ValueError(
                Message("this ball floats in this liquid and no spring brings it back")
            )
        return self


def _ball_fall(given: BallFall) -> Outcome:
    speed = fall_speed(
        given.diameter, given.ball_density - given.liquid_density, density=given.liquid_density,
        viscosity=given.viscosity, tube=given.tube_diameter, spring=given.spring_force,
    )  # fmt: skip
    reynolds = given.liquid_density * speed * given.diameter / given.viscosity
    values = {"velocity": speed, "reynolds": reynolds}
    if given.lift is not None:
        values["time"] = fall_time(
            given.lift, given.diameter, ball_density=given.ball_density,
            density=given.liquid_density, viscosity=given.viscosity, tube=given.tube_diameter,
            spring=given.spring_force,
        )  # fmt: skip
    cautions = []
    if reynolds > 2e5:
        cautions.append(Message("Past the drag crisis, where the drag law does not hold."))
    if given.tube_diameter and reynolds > 1 and given.diameter > 0.3 * given.tube_diameter:
        cautions.append(
            Message("The wall's share holds for slow flow; the true fall is slower than this.")
        )
    return Outcome(values, tuple(cautions))


class ValveOpening(Noun):
    """A ball on its cone, how far it may rise, and what flows."""

    ball_diameter: M = Field(ge=1e-4, le=0.5)
    half_angle: Rad = Field(ge=0.1, le=1.5, description=Message("Of the cone, from its axis"))
    seat_bore: M = Field(ge=1e-5, le=0.5, description=Message("Hole through the seat"))
    seat_width: M = Field(ge=1e-6, le=0.5, description=Message("Of the cone, along its slope"))
    lift: M = Field(ge=1e-7, le=0.5, description=Message("From seat to stop"))
    flow: M3PerS | None = Field(default=None, ge=1e-9, le=10)
    density: KgPerM3 = Field(default=1300.0, ge=100, le=10000)
    pull: N = Field(
        default=0.0,
        ge=0,
        le=1e5,
        description=Message("Weight of the ball in the liquid, and its spring"),
    )
    discharge_coefficient: Ratio = Field(default=0.7, ge=0.1, le=1)

    @model_validator(mode="after")
    def _ball_on_seat(self) -> Self:
        if self.ball_diameter <= self.seat_bore:
            raise ValueError(Message("the ball is no larger than the hole through the seat"))
        return self


def _valve_opening(given: ValveOpening) -> Outcome:
    seat = Seat(given.ball_diameter, given.half_angle, given.seat_bore, given.seat_width)
    area = seat_opening(seat, given.lift)
    values = {"area": area}
    cautions = []
    circle = contact_diameter(given.ball_diameter, given.half_angle)
    if circle < given.seat_bore:
        cautions.append(Message("The ball sits on the edge of the seat's hole, not on its cone."))
    if given.flow is not None:
        how = {"density": given.density, "discharge": given.discharge_coefficient}
        values["rise"] = floating_rise(seat, given.flow, pull=given.pull, lift=given.lift, **how)
        open_now = seat_opening(seat, values["rise"])
        values["pressure_loss"] = opening_loss(given.flow, open_now, **how)
        if values["rise"] < given.lift:
            cautions.append(
                Message("The flow does not carry the ball to its stop: a lighter spring opens.")
            )
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="ball-fall",
        title=Message("Sinking speed of a ball to its seat"),
        inputs=BallFall,
        outputs={
            "velocity": Output(unit_of(MPerS), Message("Steady speed")),
            "reynolds": Output(unit_of(Ratio), Message("Reynolds number of the ball")),
            "time": Output(unit_of(S), Message("Time to the seat, from rest")),
        },
        compute=_ball_fall,
        formula="pi/6 d^3 (rho_b - rho) g + F_s = pi/8 C_D rho v^2 d^2 + 3 pi mu d v (K - 1); "
        "C_D = 24/Re (1 + 0.27 Re)^0.43 + 0.47 (1 - exp(-0.04 Re^0.38)); added mass rho pi d^3/12",
        source="Drag: Cheng, Powder Technology 189 (2009) 395; wall: Bungay and Brenner, Int. J. "
        "Multiphase Flow 1 (1973) 25, coefficients from memory",
        validity=Message(
            "Newtonian liquid at rest, Re below 2e5; the wall's share for slow flow on the axis of "
            "a long tube."
        ),
        example={
            "diameter": "22 mm",
            "ball_density": "7.8 kg/L",
            "liquid_density": "1.3 kg/L",
            "viscosity": "800 mPa*s",
            "tube_diameter": "30 mm",
            "lift": "3 mm",
        },
    ),
    Calculator(
        name="valve-opening",
        title=Message("Flow area and loss of a ball on its seat"),
        inputs=ValveOpening,
        outputs={
            "area": Output(unit_of(M2), Message("Flow area at the full lift")),
            "rise": Output(unit_of(M), Message("Where the flow holds the ball")),
            "pressure_loss": Output(unit_of(Pa), Message("Pressure lost through the valve")),
        },
        compute=_valve_opening,
        formula="A = min over the cone of pi r (L - R^2/L), at most the seat's hole; "
        "dp = rho/2 (Q/(Cd A))^2; pull = dp (pi/4 dc^2 - 2 Cd A cos a)",
        source="Plane geometry; force: Merritt, Hydraulic Control Systems (1967), section 5-6, "
        "from memory; a discharge coefficient of 0.7 is common practice, no source",
        validity=Message(
            "Turbulent flow through the valve; thick coatings lose more and carry the ball higher."
        ),
        example={
            "ball_diameter": "22 mm",
            "half_angle": "45 deg",
            "seat_bore": "14 mm",
            "seat_width": "4 mm",
            "lift": "3 mm",
            "flow": "4 L/min",
            "density": "1.3 kg/L",
            "pull": "5 N",
        },
    ),
)
"""The calculators of this family."""
