"""A first description of a pump from the few sizes seen outside, the rest in proportion to a pump
like it: a guess to start from at the tailgate, to be measured once the pump is open."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import Field, ValidationError

from wetend.pump.description import Pump
from wetend.pump.parts import (
    DriveKind,
    Guessable,
    HoseLength,
    Packings,
    Stack,
    StackPart,
    Valve,
)
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.noun import Noun, Slug, alike
from wetend.units.quantity import M, MLong, Pa, Ratio

GUESSED = Message("sizes in proportion until measured")
"""Stands in the description of such a pump."""
MEASURE = (
    Message("thread pitch of the foot-valve housing"),
    Message("heights and depth of the stack"),
    Message("balls and seats"),
    Message("packings and gland thread"),
)
"""What to put right first, before a figure is leant on."""
_SUPPLY: dict[DriveKind, str] = {
    "air": "compressed air", "hydraulic": "hydraulic oil", "electric": "electricity",
    "engine": "engine",
}  # fmt: skip
"""What supplies a drive of each kind."""


class KnownSizes(Noun):
    """What is known of a pump before it is opened. What can hurt is asked, and never guessed."""

    like: Slug = Field(default="quay-air", description=Message("The most similar build"))
    bore: M = Field(ge=0.005, le=0.5, description=Message("Of the cylinder, from the data plate"))
    rod: M = Field(
        ge=0.004,
        le=0.4,
        title=Message("Rod diameter"),
        description=Message("Measured on the chrome"),
    )
    stroke: M = Field(ge=0.005, le=1.0, description=Message("Travel of the rod, turn to turn"))
    drive: DriveKind | None = Field(default=None, title=Message("Kind of drive"))
    ratio: Ratio | None = Field(
        default=None,
        ge=0.01,
        le=500,
        description=Message("Outlet stall pressure over supply pressure"),
    )
    hose_bore: M | None = Field(default=None, ge=0.001, le=0.2)
    hose_length: MLong | None = Field(
        default=None, ge=0.01, le=500, description=Message("In total")
    )
    orifice: M | None = Field(
        default=None, ge=0.00005, le=0.01, description=Message("Of the nozzle: hole of equal flow")
    )
    supply_rated: Pa = Field(
        ge=1000, le=1e8, title=Message("Supply, at most"),
        description=Message("On the drive's plate"),
    )  # fmt: skip
    outlet_pressure: Pa = Field(
        ge=1e4, le=2e8, title=Message("Outlet, at most"),
        description=Message("On the pump's plate"),
    )  # fmt: skip
    hose_rated: Pa = Field(
        ge=1e4, le=2e8, title=Message("Hose, at most"),
        description=Message("Of several lengths the lowest"),
    )  # fmt: skip
    filter_rated: Pa = Field(
        ge=1e4, le=2e8, title=Message("Filter, at most"),
        description=Message("On its housing; without one, as the pump"),
    )  # fmt: skip
    nozzle_rated: Pa = Field(
        ge=1e4, le=2e8, title=Message("Gun and nozzle, at most"),
        description=Message("The lower of the two marks"),
    )  # fmt: skip


def same_sizes(like: Pump, known: KnownSizes) -> bool:
    """Whether a pump has the bore, rod and stroke that are known: then it is of the same build."""
    return all(
        alike(one, other)
        for one, other in (
            (like.cylinder.bore, known.bore), (like.rod.diameter, known.rod),
            (like.stroke, known.stroke),
        )
    )  # fmt: skip


def guesses_of(known: KnownSizes) -> tuple[Guessable, ...]:
    """What is scaled and not known, once these sizes are."""
    answered = {
        "hose": known.hose_bore is not None and known.hose_length is not None,
        "nozzle": known.orifice is not None,
    }
    return tuple(part for part in get_args(Guessable) if not answered.get(part))


def like_it(like: Pump, known: KnownSizes) -> Pump:
    """A pump of the build of one that is described already: all as there, but what is known.

    What is a guess there is one here; ratings are those that are given.

    Raises:
        BadInput: the answers make no pump.
    """
    made = {**like.model_dump(), "mass": like.mass}
    made["guessed"] = tuple(
        part for part in like.guessed if part not in ("hose", "nozzle") or part in guesses_of(known)
    )
    return _with_answers(like, made, known)


def in_proportion(like: Pump, known: KnownSizes) -> Pump:
    """A pump of known bore, rod and stroke, all else in proportion to a pump like it.

    Lengths go with the bore (around the rod: with the rod), forces with its square, stiffness of
    one shape and material with the bore; what the travel sets goes with the stroke. Limits of wear,
    shims and the housing's pitch stay: they are no matter of scale. The gap the shims fill stays,
    so that the elbow keeps its direction.

    Geometric similarity; how real pumps grow is common practice, no source.

    Ratings are never scaled or taken over: they are those given.

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
    }
    made["drive"] = {
        **like.drive.model_dump(),
        "free_speed": _grown(like.drive.free_speed, known.stroke / like.stroke),
        "friction": _grown(like.drive.friction, wide**2),
    }
    made["guessed"] = guesses_of(known)
    return _with_answers(like, made, known)


def _with_answers(like: Pump, made: dict[str, Any], known: KnownSizes) -> Pump:
    """The pump with the answers put in that are no matter of scale, ratings above all."""
    made["hose"] = _hose(like.hose, known)
    drive = known.drive or like.drive.kind
    made["drive"] = {
        **made["drive"], "kind": drive, "supply_rated": known.supply_rated,
        "ratio": known.ratio or like.drive.ratio,
        "supply_name": like.drive.supply_name if drive == like.drive.kind else _SUPPLY[drive],
    }  # fmt: skip
    made["limits"] = {**made["limits"], "outlet_pressure": known.outlet_pressure}
    made["filter"] = {**made["filter"], "rated_pressure": known.filter_rated}
    made["nozzle"] = {
        **made["nozzle"], "rated_pressure": known.nozzle_rated,
        "orifice": known.orifice or like.nozzle.orifice,
    }  # fmt: skip
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
    """The hoses of the pump like it, or one of the size given; compliance goes as its volume.

    Each is rated as given, never as the pump like it.
    """
    first, length = hoses[0], sum(hose.length for hose in hoses)
    bore = known.hose_bore or first.bore
    whole = known.hose_length or length
    if alike(bore, first.bore) and alike(whole, length):
        return [{**hose.model_dump(), "rated_pressure": known.hose_rated} for hose in hoses]
    growth = first.growth * (whole / first.length) * (bore / first.bore) ** 2
    return [{**first.model_dump(), "bore": bore, "length": whole, "growth": growth,
             "rated_pressure": known.hose_rated}]  # fmt: skip
