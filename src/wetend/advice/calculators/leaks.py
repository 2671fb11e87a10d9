"""Calculators for leaks: through a gap, and from the creep of a stalled pump."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.advice.calculators.flow_laws import Flowing
from wetend.advice.calculators.leak_speeds import (
    USUAL_DENSITY,
    Stream,
    slit_wall,
    speed_cautions,
)
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.physics.leakage import gap_shear_rate
from wetend.physics.slits import annulus_leak, short_slit_leak
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import (
    Creep,
    KgPerM3,
    LeakFlow,
    M,
    MFine,
    MPerS,
    Pa,
    Percent,
    PerS,
    Ratio,
    unit_of,
)
from wetend.units.stated import stated


class GapLeak(Flowing):
    """An annular gap and what drives liquid through it."""

    diameter: M = Field(ge=1e-5, le=1, description=Message("Of the bore or rod"))
    clearance: MFine = Field(
        ge=1e-8, le=0.01, description=Message("Radial: half the difference in diameter")
    )
    length: M = Field(ge=1e-6, le=10, description=Message("Along the flow"))
    pressure: Pa = Field(ge=0, le=1e9, description=Message("Across the gap"))
    eccentricity: Ratio = Field(
        default=0.0,
        ge=0,
        le=1,
        description=Message("Offset over radial clearance; 1 touches one side"),
    )
    density: KgPerM3 = Field(
        default=USUAL_DENSITY,
        ge=100,
        le=10000,
        description=Message("For the speed up to which the law is valid"),
    )


def _gap_leak(given: GapLeak) -> Outcome:
    flow = annulus_leak(
        given.liquid(given.density), given.diameter, given.clearance, length=given.length,
        pressure=given.pressure, eccentricity=given.eccentricity,
    )  # fmt: skip
    if not math.isfinite(flow):
        sentence = Message("Too much pressure on too thin a liquid: no law here is valid.")
        raise BadInput(sentence, (Problem("pressure", sentence),))
    cautions: list[str] = []
    if given.clearance > 0.05 * given.diameter:
        cautions.append(
            Message("This gap is not thin against its diameter; the true leak differs.")
        )
    if given.clearance > 0.1 * given.length:
        cautions.append(
            Message("This gap is short; losses at its ends will make the true leak smaller.")
        )
    stream = Stream(
        flow, math.pi * given.diameter * given.clearance, given.pressure, given.density,
        slit_wall(given.clearance, given.length, given.pressure),
    )  # fmt: skip
    cautions += speed_cautions(stream)
    shear = gap_shear_rate(flow, math.pi * given.diameter, given.clearance)
    values = {"flow": flow, "speed": stream.speed, "shear_rate": shear}
    return Outcome(values, tuple(cautions))


class SeatLeak(Flowing):
    """A chip or groove across a seat, and what drives liquid through it."""

    gap: MFine = Field(ge=1e-8, le=0.01, description=Message("Depth of the chip"))
    breadth: M = Field(ge=1e-6, le=1, description=Message("Round the seat"))
    length: M = Field(ge=1e-6, le=1, description=Message("Across the sealing band"))
    pressure: Pa = Field(ge=0, le=1e9, description=Message("On the ball"))
    density: KgPerM3 = Field(default=1300.0, ge=100, le=10000)


def _seat_leak(given: SeatLeak) -> Outcome:
    liquid = given.liquid(given.density)
    flow = short_slit_leak(
        liquid, given.gap, breadth=given.breadth, length=given.length, pressure=given.pressure
    )
    area = given.breadth * given.gap
    ends = 0.75 * given.density * (flow / area) ** 2
    wall = slit_wall(given.gap, given.length, max(given.pressure - ends, 0.0))
    stream = Stream(flow, area, given.pressure, given.density, wall, ends=True)
    values = {"flow": flow, "speed": stream.speed}
    if given.pressure > 0:
        values["ends_share"] = min(ends / given.pressure, 1.0)
    cautions = [*speed_cautions(stream)]
    if given.breadth < 5 * given.gap:
        cautions.append(
            Message("As deep as it is wide: score-leak with its shape is more accurate.")
        )
    return Outcome(values, tuple(cautions))


class StallCreep(Noun):
    """Creep of the rod while the drive pushes against a shut gun."""

    bore: M = Field(ge=0.001, le=1)
    rod: M = Field(ge=0.0001, le=1, description=Message("Rod diameter"))
    creep: Creep = Field(ge=0, le=1, description=Message("Speed of the rod while stalled"))
    direction: Literal["up", "down"]
    pressure: Pa | None = Field(default=None, ge=1, le=1e9, description=Message("At the gauge"))


def _stall_creep(given: StallCreep) -> Outcome:
    if given.rod >= given.bore:
        sentence = Message("The rod must be thinner than the bore.")
        raise BadInput(sentence, (Problem("rod", sentence),))
    rod_area = math.pi / 4 * given.rod**2
    bore_area = math.pi / 4 * given.bore**2
    area = bore_area - rod_area if given.direction == "up" else rod_area
    values = {"leak_flow": area * given.creep}
    if given.pressure is not None:
        values["leak_at_100_bar"] = area * given.creep * 1e7 / given.pressure
    return Outcome(values)


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="gap-leak",
        title=Message("Leak through an annular gap"),
        inputs=GapLeak,
        outputs={
            "flow": Output(unit_of(LeakFlow), Message("Leak")),
            "speed": Output(unit_of(MPerS), Message("Mean speed through the gap")),
            "shear_rate": Output(unit_of(PerS), Message("Shear rate at the gap's wall")),
        },
        compute=_gap_leak,
        formula="newtonian: Q = pi D c^3 dp / (12 mu L) (1 + 1.5 e^2); other laws: the slit of "
        "each law, integrated round the ring",
        source="Fox and McDonald, Introduction to Fluid Mechanics, 5th ed., example 8.1; eccentric "
        "factor: Merritt, Hydraulic Control Systems (1967), from memory; how fast is too fast: "
        "Encyclopaedia Britannica, 11th ed., Hydraulics, sections 17 and 18",
        validity=Message(
            "Laminar flow, slow enough that its ends take little of the pressure, through a gap "
            "thin against its diameter and short against its length."
        ),
        example={
            "diameter": "25 mm",
            "clearance": "5 um",
            "length": "15 mm",
            "pressure": "190 bar",
            "viscosity": "18 mPa*s",
        },
    ),
    Calculator(
        name="seat-leak",
        title=Message("Leak through a chipped or grooved seat"),
        inputs=SeatLeak,
        outputs={
            "flow": Output(unit_of(LeakFlow), Message("Leak")),
            "speed": Output(unit_of(MPerS), Message("Mean speed through the chip")),
            "ends_share": Output(
                unit_of(Percent), Message("Share of the pressure lost at its ends")
            ),
        },
        compute=_seat_leak,
        formula="p = p_slit(Q) + K rho/2 (Q/(w h))^2, K = 1.5; newtonian: "
        "p_slit = 12 mu L Q/(w h^3)",
        source="Plane Poiseuille flow of each law; entry and exit losses of half and one velocity "
        "head, Borda; cavitation: Encyclopaedia Britannica, 11th ed., Hydraulics, sections 17 and "
        "18",
        validity=Message("A gap broad against its depth; laminar along its length."),
        cautions=(Message("A jet through a chip cuts the seat further: a leak found will grow."),),
        example={
            "gap": "60 um",
            "breadth": "2 mm",
            "length": "1 mm",
            "pressure": "200 bar",
            "viscosity": "500 mPa*s",
        },
    ),
    Calculator(
        name="stall-creep",
        title=Message("Leak from the creep of a stalled pump"),
        inputs=StallCreep,
        outputs={
            "leak_flow": Output(unit_of(LeakFlow), Message("Leak")),
            "leak_at_100_bar": Output(
                unit_of(LeakFlow),
                Message("The same at {pressure}, if laminar", pressure=stated("100 bar")),
            ),
        },
        compute=_stall_creep,
        formula="up: Q = pi/4 (D^2 - d^2) v (piston valve, moving packings); "
        "down: Q = pi/4 d^2 v (foot valve)",
        source="Displacement of a double-acting piston pump; geometry",
        validity=Message(
            "Gun shut, nothing leaking to the outside, hose settled (no longer swelling)."
        ),
        warns=(caution("rod-moves"),),
        example={
            "bore": "38 mm",
            "rod": "27 mm",
            "creep": "4 mm/min",
            "direction": "down",
            "pressure": "250 bar",
        },
    ),
)
"""The calculators of this family."""
