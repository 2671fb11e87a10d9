"""Calculators for the suction side."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.physics.suction import (
    ACCELERATION_CONSTANT,
    COMPRESSIBILITY_FACTOR,
    acceleration_head,
    atmosphere_at,
    greatest_lift,
    npsh_available,
    static_head,
    suction_pressure,
    vapour_margin,
)
from wetend.units.constants import GRAVITY
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import (
    CycleRate,
    KgPerM3,
    MLong,
    MPerS,
    Pa,
    PaLow,
    S,
    unit_of,
)

_STARVED = 2e4
"""Pa; margin below which a thick coating fills late. Common practice, no source."""


class SuctionMargin(Noun):
    """What the suction line asks for, and what the air gives."""

    density: KgPerM3 = Field(ge=100, le=10000)
    lift: MLong = Field(
        ge=-50, le=50, description=Message("Foot valve above the liquid; negative: below")
    )
    loss: Pa = Field(
        default=0.0, ge=0, le=1e7, description=Message("Lost in the suction line and strainer")
    )
    acceleration: Pa = Field(
        default=0.0, ge=0, le=1e7, description=Message("To speed up the column at each reversal")
    )
    speed: MPerS = Field(default=0.0, ge=0, le=20, description=Message("In the suction line"))
    vapour_pressure: PaLow = Field(ge=0, le=1e6)
    atmospheric: Pa | None = Field(
        default=None,
        ge=1000,
        le=2e5,
        description=Message("Of the day; blank: standard at the altitude"),
    )
    altitude: MLong = Field(
        default=0.0, ge=-500, le=6000, description=Message("Of the site, above the sea")
    )
    npsh_required: MLong | None = Field(
        default=None,
        ge=0,
        le=50,
        description=Message("Net positive suction head the maker asks for"),
    )


def _suction_margin(given: SuctionMargin) -> Outcome:
    atmospheric = atmosphere_at(given.altitude) if given.atmospheric is None else given.atmospheric
    pressure = suction_pressure(
        given.density, given.lift, loss=given.loss, acceleration=given.acceleration,
        speed=given.speed, atmospheric=atmospheric,
    )  # fmt: skip
    margin = vapour_margin(pressure, given.vapour_pressure)
    # the head a maker asks for takes the speed's share in, the vapour pressure alone does not
    needed = max(given.npsh_required or 0.0, given.speed**2 / (2 * GRAVITY))
    highest = greatest_lift(
        given.density, given.vapour_pressure, loss=given.loss, acceleration=given.acceleration,
        head_needed=needed, atmospheric=atmospheric,
    )  # fmt: skip
    cautions = []
    if margin <= 0:
        cautions.append(
            Message("The liquid boils or parts: lower the lift, widen the line, or feed it.")
        )
    elif margin < _STARVED:
        cautions.append(Message("Little is left: a thick coating will fill the cylinder late."))
    head = npsh_available(pressure, given.vapour_pressure, given.density, speed=given.speed)
    values = {"pressure": pressure, "margin": margin, "npsh": head, "greatest_lift": highest}
    if given.npsh_required is not None:
        values["npsh_margin"] = head - given.npsh_required
        if values["npsh_margin"] < 0:
            cautions.append(
                Message("Less head than the maker requires: suction-remedy shows what helps.")
            )
    return Outcome(values, tuple(cautions))


PumpKind = Literal[
    "simplex single-acting", "simplex double-acting", "duplex single-acting",
    "duplex double-acting", "triplex", "quintuplex", "septuplex", "nonuplex",
]  # fmt: skip
LiquidKind = Literal[
    "water without air", "water, amine, glycol", "most hydrocarbons", "hot oil, ethane"
]


class AccelerationHead(Noun):
    """A suction line and the pump that makes its column start and stop."""

    length: MLong = Field(ge=0.001, le=1000, description=Message("Of the suction line"))
    speed: MPerS = Field(ge=1e-6, le=20, description=Message("Mean speed in the line"))
    rate: CycleRate = Field(ge=1e-4, le=50, description=Message("Up and down is one cycle"))
    pump: PumpKind = Field(
        default="simplex double-acting",
        description=Message("Crank-driven; sets the constant C"),
    )
    liquid: LiquidKind = Field(
        default="most hydrocarbons", description=Message("Sets the factor k")
    )
    reversal_time: S | None = Field(
        default=None, ge=1e-4, le=10,
        description=Message("For an air, hydraulic or electric drive: time to reach its speed"),
    )  # fmt: skip
    density: KgPerM3 | None = Field(
        default=None, ge=100, le=10000, description=Message("Gives pressures")
    )


def _acceleration_head(given: AccelerationHead) -> Outcome:
    head = acceleration_head(
        given.length, given.speed, given.rate,
        constant=ACCELERATION_CONSTANT[given.pump], factor=COMPRESSIBILITY_FACTOR[given.liquid],
    )  # fmt: skip
    values = {"head": head}
    cautions = []
    if given.reversal_time is None:
        cautions.append(
            Message(
                "Crank motion: on an air, hydraulic or electric drive give the reversal time "
                "instead."
            )
        )
    else:
        values["reversal_head"] = given.length * given.speed / (GRAVITY * given.reversal_time)
    if given.density is not None:
        for name in ("head", "reversal_head"):
            if name in values:
                kind = name.removesuffix("head") + "pressure"
                values[kind] = static_head(given.density, values[name])
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="suction-margin",
        title=Message("Pressure left at the foot valve"),
        inputs=SuctionMargin,
        outputs={
            "pressure": Output(unit_of(Pa), Message("Absolute pressure at the foot valve")),
            "margin": Output(unit_of(Pa), Message("Left above the vapour pressure")),
            "npsh": Output(unit_of(MLong), Message("Net positive suction head available")),
            "npsh_margin": Output(unit_of(MLong), Message("Available less required")),
            "greatest_lift": Output(
                unit_of(MLong),
                Message("Highest lift that still draws and leaves the head required"),
            ),
        },
        compute=_suction_margin,
        formula="p = pa - rho g z - losses - rho V^2/2; margin = p - pv; "
        "NPSH = margin/(rho g) + V^2/(2g); highest lift: NPSH = the head asked for, and margin 0; "
        "standard air: pa = 101325 (1 - 2.25577e-5 h)^5.25588",
        source="Abulencia and Theodore 2009, ex. 22.10; Munson, Young and Okiishi, 5th ed., "
        "ex. 12.3 (both as transcribed in the FOSSEE Python Textbook Companions); standard "
        "atmosphere: ISO 2533, form from memory",
        validity=Message(
            "Steady flow; no air drawn in. Air leaks starve a pump long before vapour does."
        ),
        example={
            "density": "1.42 kg/L",
            "lift": "0.5 m",
            "loss": "0.08 bar",
            "vapour_pressure": "1098 Pa",
        },
    ),
    Calculator(
        name="acceleration-head",
        title=Message("Head to speed up the column in the suction line"),
        inputs=AccelerationHead,
        outputs={
            "head": Output(unit_of(MLong), Message("Acceleration head of a crank-driven pump")),
            "reversal_head": Output(unit_of(MLong), Message("Head while the drive reverses")),
            "pressure": Output(unit_of(Pa), Message("The acceleration head as a pressure")),
            "reversal_pressure": Output(unit_of(Pa), Message("The reversal head as a pressure")),
        },
        compute=_acceleration_head,
        formula="h = L V N C / (k g), N in cycles a minute; own reversal: h = L V / (g t)",
        source="Hydraulic Institute 6.1-6.5 and GPSA Engineering Data Book section 12, from "
        "memory; reversal: Newton's second law with an even acceleration",
        validity=Message(
            "Short, stiff suction lines of rigid pipe; crank motion. A hose gives way "
            "and takes less."
        ),
        example={
            "length": "1.8 m",
            "speed": "0.35 m/s",
            "rate": "40 cycles/min",
            "reversal_time": "50 ms",
            "density": "1.42 kg/L",
        },
    ),
)
"""The calculators of this family."""
