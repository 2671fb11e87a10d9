"""Calculators for seats, screws, wrenches and rings."""

from __future__ import annotations

import math

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.materials.ring_sections import nearest_section
from wetend.physics.seals import ring_fill, ring_squeeze, stretched_section
from wetend.physics.threads import lowering_torque, raising_torque, screw_efficiency, wrench_setting
from wetend.physics.valves import (
    contact_diameter,
    contact_modulus,
    line_contact_half_width,
    line_contact_shear,
    line_contact_stress,
    seat_line_load,
)
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.quantity import (
    NM,
    M,
    MFine,
    N,
    NPerM,
    Pa,
    Rad,
    Ratio,
    Stress,
    unit_of,
)


class SeatContact(Noun):
    """A ball on a cone, and what presses it there."""

    ball_diameter: M = Field(ge=1e-4, le=1)
    half_angle: Rad = Field(ge=0.01, le=1.56, description=Message("Of the cone, from its axis"))
    pressure: Pa | None = Field(
        default=None, ge=1, le=1e9, description=Message("Holding the ball down")
    )
    spring_force: N = Field(default=0.0, ge=0, le=1e5, description=Message("Of a ball spring"))
    ball_modulus: Stress | None = Field(
        default=None, ge=1e6, le=2e12, description=Message("Young's modulus of the ball")
    )
    ball_poisson: Ratio = Field(
        default=0.3, ge=0, le=0.499, description=Message("Poisson's ratio, ball")
    )
    seat_modulus: Stress | None = Field(
        default=None, ge=1e6, le=2e12, description=Message("Young's modulus of the seat")
    )
    seat_poisson: Ratio = Field(
        default=0.3, ge=0, le=0.499, description=Message("Poisson's ratio, seat")
    )


def _lacking(given: SeatContact) -> BadInput:
    problems = tuple(
        Problem(
            name,
            Message("{replace} is needed for the contact stress.", replace=name.replace("_", " ")),
        )
        for name in ("pressure", "ball_modulus", "seat_modulus")
        if getattr(given, name) is None
    )
    return BadInput(joined(" ", (p.sentence for p in problems)), problems)


def _seat_contact(given: SeatContact) -> Outcome:
    circle = contact_diameter(given.ball_diameter, given.half_angle)
    values: dict[str, float] = {"contact_diameter": circle}
    if given.pressure is None and given.ball_modulus is None and given.seat_modulus is None:
        return Outcome(values)
    if given.pressure is None or given.ball_modulus is None or given.seat_modulus is None:
        raise _lacking(given)
    modulus = contact_modulus(
        given.ball_modulus, given.ball_poisson, given.seat_modulus, given.seat_poisson
    )
    load = seat_line_load(
        given.pressure, given.ball_diameter, given.half_angle, spring=given.spring_force
    )
    radius = given.ball_diameter / 2
    values["seating_force"] = load * math.pi * circle * math.sin(given.half_angle)
    values["line_load"] = load
    values["contact_half_width"] = line_contact_half_width(load, radius, modulus)
    values["contact_stress"] = line_contact_stress(load, radius, modulus)
    values["shear_stress"], values["shear_depth"] = line_contact_shear(
        values["contact_stress"], values["contact_half_width"]
    )
    return Outcome(values)


class ThreadTorque(Noun):
    """A screw under load."""

    force: N = Field(ge=0.001, le=1e8, description=Message("Along the screw"))
    mean_diameter: M = Field(ge=1e-4, le=1, description=Message("Pitch diameter of the thread"))
    lead: M = Field(ge=1e-6, le=0.5, description=Message("Travel a turn: pitch times starts"))
    friction: Ratio = Field(ge=0, le=2, description=Message("Thread friction coefficient"))
    flank_angle: Rad = Field(
        default=0.0,
        ge=0,
        le=1.5,
        description=Message("Half the thread angle: 30 deg for metric threads"),
    )
    collar_friction: Ratio = Field(
        default=0.0, ge=0, le=2, description=Message("Of the face that turns")
    )
    collar_diameter: M = Field(
        default=0.0, ge=0, le=2, description=Message("Mean diameter of that face")
    )


def _thread_torque(given: ThreadTorque) -> Outcome:
    if (given.collar_friction > 0) != (given.collar_diameter > 0):
        name = "collar_diameter" if given.collar_friction > 0 else "collar_friction"
        sentence = Message(
            "{replace} is needed too: collar friction acts at a diameter.",
            replace=name.replace("_", " "),
        )
        raise BadInput(sentence, (Problem(name, sentence),))
    screw = given.model_dump(exclude={"force", "mean_diameter"})
    up = raising_torque(given.force, given.mean_diameter, **screw)
    down = lowering_torque(given.force, given.mean_diameter, **screw)
    values = {
        "raising_torque": up,
        "lowering_torque": down,
        "efficiency": screw_efficiency(given.force, given.lead, up),
    }
    runs = (Message("The load can run this screw back by itself."),) if down <= 0 else ()
    return Outcome(values, runs)


class WrenchExtension(Noun):
    """A torque wrench with an extension on its end."""

    torque: NM = Field(ge=0.001, le=1e6, description=Message("Wanted at the nut"))
    wrench_length: M = Field(
        ge=0.001, le=10, description=Message("Square to the middle of the grip")
    )
    extension_length: M = Field(ge=0, le=10, description=Message("Square to the nut"))
    angle: Rad = Field(
        default=0.0,
        ge=-3.1416,
        le=3.1416,
        description=Message("Between wrench and extension; 0 in line"),
    )


def _wrench_extension(given: WrenchExtension) -> Outcome:
    setting = wrench_setting(
        given.torque, given.wrench_length, extension_length=given.extension_length,
        angle=given.angle,
    )  # fmt: skip
    return Outcome({"wrench_setting": setting})


class RingGland(Noun):
    """A round ring in its gland."""

    section: M = Field(ge=1e-4, le=0.1, description=Message("Diameter of the ring's section, free"))
    gland_depth: M = Field(
        ge=1e-4, le=0.1, description=Message("Room across the ring, clearance included")
    )
    gland_width: M = Field(ge=1e-4, le=0.2)
    stretch: Ratio = Field(
        default=0.0,
        ge=-0.2,
        le=1,
        description=Message("Share by which the inside diameter is stretched"),
    )


def _ring_gland(given: RingGland) -> Outcome:
    squeeze = ring_squeeze(given.section, given.gland_depth, stretch=given.stretch)
    fill = ring_fill(given.section, given.gland_depth, given.gland_width, stretch=given.stretch)
    cautions = []
    if squeeze <= 0:
        cautions.append(Message("The ring is loose in its gland and will not seal."))
    if fill > 1:
        cautions.append(Message("The ring is larger than its gland, which will not close on it."))
    if given.stretch > 0.05:
        cautions.append(
            Message("A stretch of more than 5 % thins the ring more surely than this law says.")
        )
    free = stretched_section(given.section, given.stretch)
    values: dict[str, Value] = {"squeeze": squeeze, "fill": fill, "stretched_section": free}
    return Outcome({**values, "nearest": _nearest(given.section)}, tuple(cautions))


def _nearest(section: M) -> str:
    ring = nearest_section(section)
    within = abs(ring.section - section) <= ring.tolerance
    return ring.title if within else Message("{title}, beyond its tolerance", title=ring.title)


_TIGHTEN = Message(
    "Follow the maker's torque where there is one; greased threads take less torque than dry."
)

CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="seat-contact",
        title=Message("Contact of a ball on its seat"),
        inputs=SeatContact,
        outputs={
            "contact_diameter": Output(unit_of(M), Message("Diameter of the contact circle")),
            "seating_force": Output(unit_of(N), Message("Force on the ball along the axis")),
            "line_load": Output(unit_of(NPerM), Message("Force on the seat per length of circle")),
            "contact_half_width": Output(
                unit_of(MFine), Message("Half the width of the contact band")
            ),
            "contact_stress": Output(unit_of(Stress), Message("Greatest contact pressure")),
            "shear_stress": Output(unit_of(Stress), Message("Greatest shear, under the surface")),
            "shear_depth": Output(unit_of(MFine), Message("How deep it lies")),
        },
        compute=_seat_contact,
        formula="d_c = d cos a; w = p d_c / (4 sin a) + F_s / (pi d_c sin a); "
        "p_0 = sqrt(w E* / (pi R)); b = sqrt(4 w R / (pi E*)); "
        "1/E* = (1 - nu_1^2)/E_1 + (1 - nu_2^2)/E_2; tau = 0.300 p_0 at 0.786 b",
        source="Plane geometry; line contact: Johnson, Contact Mechanics (1985), and Budynas and "
        "Nisbett, Shigley's Mechanical Engineering Design, 9th ed., section 3-19",
        validity=Message(
            "Elastic, frictionless, a narrow band: ball on cone taken as a cylinder of the ball's "
            "radius on a plane."
        ),
        example={
            "ball_diameter": "20 mm",
            "half_angle": "45 deg",
            "pressure": "200 bar",
            "ball_modulus": "200 GPa",
            "seat_modulus": "600 GPa",
            "seat_poisson": "0.22",
        },
    ),
    Calculator(
        name="thread-torque",
        title=Message("Torque of a loaded screw"),
        inputs=ThreadTorque,
        outputs={
            "raising_torque": Output(unit_of(NM), Message("Torque to tighten, collar included")),
            "lowering_torque": Output(unit_of(NM), Message("Torque to slacken, collar included")),
            "efficiency": Output(unit_of(Ratio), Message("Share of the work that lifts the load")),
        },
        compute=_thread_torque,
        formula="T_R = F d_m/2 (l + pi f d_m sec a) / (pi d_m - f l sec a) + F f_c d_c/2; "
        "T_L = F d_m/2 (pi f d_m sec a - l) / (pi d_m + f l sec a) + F f_c d_c/2; "
        "e = F l / (2 pi T_R)",
        source="Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., eq. 8-1 to "
        "8-6",
        validity=Message(
            "Small lead angles, friction the same all round. The torque for one clamp spreads by a "
            "quarter either way."
        ),
        cautions=(_TIGHTEN,),
        example={
            "force": "6 kN",
            "mean_diameter": "22.5 mm",
            "lead": "5 mm",
            "friction": "0.08",
            "collar_friction": "0.05",
            "collar_diameter": "40 mm",
        },
    ),
    Calculator(
        name="wrench-extension",
        title=Message("Setting of a torque wrench with an extension"),
        inputs=WrenchExtension,
        outputs={"wrench_setting": Output(unit_of(NM), Message("Set the wrench to"))},
        compute=_wrench_extension,
        formula="T_set = T L / (L + E cos(angle))",
        source="Balance of moments about the nut",
        validity=Message("Pull at the middle of the grip, square to the wrench."),
        cautions=(_TIGHTEN,),
        warns=(caution("lever"),),
        example={"torque": "140 N*m", "wrench_length": "450 mm", "extension_length": "150 mm"},
    ),
    Calculator(
        name="ring-gland",
        title=Message("Squeeze and fill of a ring in its gland"),
        inputs=RingGland,
        outputs={
            "squeeze": Output(unit_of(Ratio), Message("Share by which the section is flattened")),
            "fill": Output(unit_of(Ratio), Message("Share of the gland taken up")),
            "stretched_section": Output(unit_of(M), Message("Section once stretched")),
            "nearest": Output(None, Message("Nearest standard ring")),
        },
        compute=_ring_gland,
        formula="d_1 = d / sqrt(1 + x); squeeze = (d_1 - t) / d_1; fill = pi d_1^2 / (4 t w)",
        source="Geometry; stretch at constant volume with the section staying round; standard "
        "sections: AS568 series",
        validity=Message(
            "Stretch to about 5 %; measured rings thin up to 1.4 times as much as the "
            "constant-volume law says (from memory)."
        ),
        example={
            "section": "2 mm",
            "gland_depth": "1.5 mm",
            "gland_width": "2.7 mm",
            "stretch": "2 %",
        },
    ),
)
"""The calculators of this family."""
