"""A first description of a pump from the few sizes seen outside, the rest in proportion to a pump
like it: a guess to start from at the tailgate, to be measured once the pump is open."""

from __future__ import annotations

from typing import Any

from pydantic import Field, ValidationError

from wetend.pump.description import Pump
from wetend.pump.parts import HoseLength, Packings, Stack, StackPart, Valve
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.noun import Noun, Slug
from wetend.units.quantity import M, MLong, Pa, Ratio

GUESSED = Message("sizes in proportion until measured")
"""Stands in the description of such a pump."""
MEASURE = (
    Message("thread pitch of the foot-valve housing"),
    Message("heights and depth of the stack"),
    Message("balls and seats"),
    Message("packings and gland thread"),
    Message("ratings of pump and hose"),
)
"""What to put right first, before a figure is leant on."""


class KnownSizes(Noun):
    """What is known of a pump before it is opened."""

    like: Slug = Field(default="quay-air", description=Message("The most similar build"))
    bore: M = Field(ge=0.005, le=0.5, description=Message("Of the cylinder, from the data plate"))
    rod: M = Field(
        ge=0.004,
        le=0.4,
        title=Message("Rod diameter"),
        description=Message("Measured on the chrome"),
    )
    stroke: M = Field(ge=0.005, le=1.0, description=Message("Travel of the rod, turn to turn"))
    ratio: Ratio | None = Field(
        default=None,
        ge=0.01,
        le=500,
        description=Message("Outlet stall pressure over supply pressure"),
    )
    outlet_pressure: Pa | None = Field(
        default=None,
        ge=1e4,
        le=2e8,
        description=Message("Highest outlet pressure on the data plate"),
    )
    hose_bore: M | None = Field(default=None, ge=0.001, le=0.2)
    hose_length: MLong | None = Field(
        default=None, ge=0.01, le=500, description=Message("In total")
    )
    orifice: M | None = Field(
        default=None, ge=0.00005, le=0.01, description=Message("Of the nozzle: hole of equal flow")
    )


def in_proportion(like: Pump, known: KnownSizes) -> Pump:
    """A pump of known bore, rod and stroke, all else in proportion to a pump like it.

    Lengths go with the bore (around the rod: with the rod), forces with its square, stiffness of
    one shape and material with the bore; what the travel sets goes with the stroke. Limits of wear,
    shims and the housing's pitch stay: they are no matter of scale. The gap the shims fill stays,
    so that the elbow keeps its direction.

    Geometric similarity; how real pumps grow is common practice, no source.

    Raises:
        BadInput: the sizes make no pump, such as a rod as thick as the bore.
    """
    wide, thin = known.bore / like.cylinder.bore, known.rod / like.rod.diameter
    longer = known.stroke - like.stroke
    made: dict[str, Any] = {
        **like.model_dump(),
        "build": joined(", ", filter(None, (like.build.removesuffix(f", {GUESSED}"), GUESSED))),
        "stroke": known.stroke,
        "mass": None,
        "aluminium": "not known",
        "cylinder": {
            **like.cylinder.model_dump(),
            "bore": known.bore,
            "limits_from": "common practice",
            "length": like.cylinder.length + longer,
            "outside": _grown(like.cylinder.outside, wide),
        },
        "rod": {
            **like.rod.model_dump(),
            "diameter": known.rod,
            "limits_from": "common practice",
            "length": like.rod.length + longer,
            "packed_to": like.rod.packed_to + longer,
        },
        "foot_valve": _valve(like.foot_valve, wide),
        "piston_valve": _valve(like.piston_valve, wide),
        "moving_packings": _packings(like.moving_packings, wide),
        "static_packings": _packings(like.static_packings, thin),
        "stack": _stack(like.stack, wide),
        "suction": {**like.suction.model_dump(), "bore": _grown(like.suction.bore, wide)},
        "hose": _hose(like.hose, known),
    }
    made["drive"] = {
        **like.drive.model_dump(), "ratio": known.ratio or like.drive.ratio,
        "free_speed": _grown(like.drive.free_speed, known.stroke / like.stroke),
        "friction": _grown(like.drive.friction, wide**2),
    }  # fmt: skip
    if known.outlet_pressure is not None:
        made["limits"] = {**made["limits"], "outlet_pressure": known.outlet_pressure}
    if known.orifice is not None:
        made["nozzle"] = {**made["nozzle"], "orifice": known.orifice}
    try:
        return Pump.model_validate(made)
    except ValidationError as error:
        raise explain(error, Pump, by_path=True) from error


def _grown(value: float, by: float) -> float:
    """A size times a factor, to the four figures that a guess deserves at most."""
    return value if by == 1.0 else float(f"{value * by:.4g}")


def _valve(valve: Valve, scale: float) -> dict[str, Any]:
    grown = ("ball_diameter", "seat_bore", "seat_width", "lift_low", "lift_high", "band_limit")
    sizes = {name: _grown(getattr(valve, name), scale) for name in grown}
    return {**valve.model_dump(), **sizes, "spring_force": _grown(valve.spring_force, scale**2)}


def _packings(packings: Packings, scale: float) -> dict[str, Any]:
    def times(value: float | None) -> float | None:
        return None if value is None else _grown(value, scale)

    return {
        **packings.model_dump(),
        "height": times(packings.height),
        "free_height_limit": times(packings.free_height_limit),
        "friction": _grown(packings.friction, scale**2),
        "stiffness": times(packings.stiffness),
        "gland_thread": times(packings.gland_thread),
    }


def _stack(stack: Stack, scale: float) -> dict[str, Any]:
    parts = [_stack_part(part, scale) for part in stack.parts]
    gap = stack.depth - sum(part.height for part in stack.parts)
    return {
        **stack.model_dump(),
        "parts": parts,
        "depth": gap + sum(part["height"] for part in parts),
        "thread_diameter": _grown(stack.thread_diameter, scale),
        "cage_floor": _grown(stack.cage_floor, scale),
        "clamp_low": _grown(stack.clamp_low, scale**2),
        "clamp_high": _grown(stack.clamp_high, scale**2),
    }


def _stack_part(part: StackPart, scale: float) -> dict[str, Any]:
    sizes = {n: _grown(getattr(part, n), scale) for n in ("height", "outside", "inside")}
    stiffness = None if part.stiffness is None else _grown(part.stiffness, scale)
    return {**part.model_dump(), **sizes, "stiffness": stiffness}


def _hose(hoses: tuple[HoseLength, ...], known: KnownSizes) -> list[dict[str, Any]]:
    """The hoses of the pump like it, or one of the size given; a hose gives as its volume does."""
    if known.hose_bore is None and known.hose_length is None:
        return [hose.model_dump() for hose in hoses]
    first = hoses[0]
    bore = known.hose_bore or first.bore
    length = known.hose_length or sum(hose.length for hose in hoses)
    growth = first.growth * (length / first.length) * (bore / first.bore) ** 2
    return [{**first.model_dump(), "bore": bore, "length": length, "growth": growth,
             "rated_pressure": min(hose.rated_pressure for hose in hoses)}]  # fmt: skip
