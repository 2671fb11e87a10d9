"""A calculator's inputs from a pump and its coating, as far as they are known: SI values by field.

What is a guess of the pump's description is a guess here too; :func:`from_pump` names the groups.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wetend.advice.pump_physics import liquid_fields, liquid_of
from wetend.advice.working_point import WorkingPoint, middle_pressure, working_point
from wetend.materials.ball_seat import find_material
from wetend.physics.threads import pitch_diameter
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.flow_law import law_values
from wetend.pump.parts import Guessable

Filling = Mapping[str, float | str | tuple[float, ...]]
"""Inputs by field, SI."""


def _liquid(coating: Coating) -> Filling:
    if coating.cup is not None:
        return liquid_fields(liquid_of(coating))
    return {"law": coating.law, "density": coating.density, **law_values(coating, coating.law)}


def _thin(coating: Coating) -> Filling:
    """Density and, of a newtonian coating, viscosity."""
    known = liquid_fields(liquid_of(coating))
    return {name: known[name] for name in ("density", "viscosity") if name in known}


def _hoses(pump: Pump) -> Filling:
    return {
        "bores": tuple(h.bore for h in pump.hose),
        "lengths": tuple(h.length for h in pump.hose),
    }


def _hose(pump: Pump) -> Filling:
    return {"bore": pump.hose[0].bore, "length": sum(h.length for h in pump.hose)}


def _materials(pump: Pump) -> Filling:
    """Stiffness of ball and seat."""
    found: dict[str, float] = {}
    for part in ("ball", "seat"):
        row = find_material(getattr(pump.foot_valve, f"{part}_material"))
        found |= {f"{part}_modulus": row.modulus, f"{part}_poisson": row.poisson}
    return found


@dataclass(frozen=True)
class _Known:
    """A pump, its coating, and how it sprays."""

    p: Pump
    c: Coating
    w: WorkingPoint


_Fill = Callable[[_Known], Filling]
_FILLS: Mapping[str, tuple[_Fill, tuple[Guessable, ...]]] = {
    "hose-loss": (lambda k: {**_liquid(k.c), **_hose(k.p), "flow": k.w.flow}, ("hose", "nozzle")),
    "line-loss": (lambda k: {**_liquid(k.c), **_hoses(k.p), "flow": k.w.flow,
                                   "pressure": k.w.pump_pressure}, ("hose", "nozzle")),
    "longest-hose": (lambda k: {**_liquid(k.c), "flow": k.w.flow, "bore": k.p.hose[0].bore,
                                      "pressure": k.w.hose_loss}, ("hose", "nozzle")),
    "smallest-bore": (lambda k: {**_liquid(k.c), "flow": k.w.flow, "pressure": k.w.hose_loss,
                                       "length": sum(h.length for h in k.p.hose)},
                      ("hose", "nozzle")),
    "warmth-needed": (lambda k: {**_liquid(k.c), **_hoses(k.p), "flow": k.w.flow,
                                       "pressure": k.w.hose_loss, "measured_at": k.c.temperature},
                      ("hose", "nozzle")),
    "heated-hose": (lambda k: {**_liquid(k.c), **_hose(k.p), "flow": k.w.flow,
                                     "measured_at": k.c.temperature}, ("hose", "nozzle")),
    "nozzle-to-suit": (lambda k: {**_liquid(k.c), **_hoses(k.p), "pump_bore": k.p.cylinder.bore,
                                        "stroke": k.p.stroke, "rate": k.w.cycle_rate,
                                        "pressure": k.w.pump_pressure,
                                        "spray_pressure": k.c.spray_pressure_low}, ("hose",)),
    "nozzle-flow": (lambda k: {"orifice": k.p.nozzle.orifice, "pressure": k.w.nozzle_pressure,
                                     "density": k.c.density,
                                     "discharge_coefficient": k.p.nozzle.discharge_coefficient},
                    ("nozzle",)),
    "nozzle-wear": (lambda k: {"flow_new": k.w.flow}, ("nozzle",)),
    "coverage": (lambda k: {"dry_film": k.c.dry_film, "volume_solids": k.c.volume_solids}, ()),
    "displacement": (lambda k: {"bore": k.p.cylinder.bore, "rod": k.p.rod.diameter,
                                      "stroke": k.p.stroke, "rate": k.w.cycle_rate}, ()),
    "bucket-test": (lambda k: {"bore": k.p.cylinder.bore, "stroke": k.p.stroke}, ()),
    "stall-creep": (lambda k: {"bore": k.p.cylinder.bore, "rod": k.p.rod.diameter,
                                     "pressure": k.w.pump_pressure}, ()),
    "outside-leak": (lambda k: {"bore": k.p.cylinder.bore, "rod": k.p.rod.diameter}, ()),
    "pressure-hold": (lambda k: {"growth": sum(h.growth for h in k.p.hose),
                                       "bore": k.p.cylinder.bore, "rod": k.p.rod.diameter},
                      ("hose",)),
    "suction-margin": (lambda k: {"density": k.c.density, "lift": k.p.suction.lift,
                                        "vapour_pressure": k.c.vapour_pressure}, ("suction",)),
    "suction-remedy": (lambda k: {**_liquid(k.c), "pump_bore": k.p.cylinder.bore,
                                        "stroke": k.p.stroke, "rate": k.w.cycle_rate,
                                        "bore": k.p.suction.bore, "length": k.p.suction.length,
                                        "lift": k.p.suction.lift,
                                        "vapour_pressure": k.c.vapour_pressure,
                                        "temperature": k.c.temperature}, ("suction",)),
    "acceleration-head": (lambda k: {"length": k.p.suction.length, "rate": k.w.cycle_rate,
                                           "speed": k.w.flow / (0.785398163 * k.p.suction.bore**2),
                                           "density": k.c.density}, ("suction",)),
    "ball-fall": (lambda k: {"diameter": k.p.foot_valve.ball_diameter,
                                   "liquid_density": k.c.density,
                                   "ball_density": find_material(
                                       k.p.foot_valve.ball_material).density,
                                   "lift": k.p.foot_valve.lift_middle,
                                   **{n: v for n, v in _thin(k.c).items() if n == "viscosity"}},
                  ("foot_valve",)),
    "valve-opening": (lambda k: {"ball_diameter": k.p.foot_valve.ball_diameter,
                                       "half_angle": k.p.foot_valve.seat_half_angle,
                                       "seat_bore": k.p.foot_valve.seat_bore,
                                       "seat_width": k.p.foot_valve.seat_width,
                                       "lift": k.p.foot_valve.lift_middle,
                                       "density": k.c.density, "flow": k.w.flow}, ("foot_valve",)),
    "seat-contact": (lambda k: {"ball_diameter": k.p.foot_valve.ball_diameter,
                                      "half_angle": k.p.foot_valve.seat_half_angle,
                                      "pressure": k.w.pump_pressure, **_materials(k.p)},
                     ("foot_valve",)),
    "solvent-test": (lambda k: {"ball_diameter": k.p.foot_valve.ball_diameter,
                                      "half_angle": k.p.foot_valve.seat_half_angle,
                                      "seat_width": k.p.foot_valve.seat_width,
                                      "pressure": k.w.pump_pressure, **_thin(k.c)},
                     ("foot_valve",)),
    "packing-wear": (lambda k: {"diameter": k.p.rod.diameter, "pressure": k.w.pump_pressure,
                                      "height": k.p.static_packings.height, **_thin(k.c)},
                     ("static_packings",)),
    "gap-leak": (lambda k: {"diameter": k.p.cylinder.bore, "pressure": k.w.pump_pressure,
                                  "length": k.p.moving_packings.height, **_thin(k.c)},
                 ("moving_packings",)),
    "score-leak": (lambda k: {"length": k.p.moving_packings.height,
                                    "pressure": k.w.pump_pressure, **_thin(k.c)},
                   ("moving_packings",)),
    "seat-leak": (lambda k: {"length": k.p.foot_valve.seat_width,
                                   "pressure": k.w.pump_pressure, **_thin(k.c)}, ("foot_valve",)),
    "gland-turn": (lambda k: {name: value for name, value in (
        ("pitch", k.p.static_packings.gland_pitch), ("height", k.p.static_packings.height),
        ("stiffness", k.p.static_packings.stiffness),
        ("thread_diameter", k.p.static_packings.gland_thread),
        ("turn", k.p.static_packings.gland_turn)) if value is not None}, ("static_packings",)),
    "thread-torque": (lambda k: {
        "force": 0.5 * (k.p.stack.clamp_low + k.p.stack.clamp_high), "friction": k.p.stack.friction,
        "mean_diameter": pitch_diameter(k.p.stack.thread_diameter, k.p.stack.pitch),
        "lead": k.p.stack.pitch * k.p.stack.starts}, ("stack",)),
    "stack-clock": (lambda k: {"pitch": k.p.stack.pitch, "depth": k.p.stack.depth,
                                     "heights": tuple(x.height for x in k.p.stack.parts),
                                     "shims": k.p.stack.shim_sizes, "target": k.p.stack.target,
                                     "hand": k.p.stack.hand}, ("stack",)),
}  # fmt: skip
"""How each calculator is filled, and what of it may be a guess."""
FILLED = frozenset(_FILLS)
"""Names of the calculators that a pump and a coating say something of."""


def from_pump(name: str, pump: Pump, coating: Coating) -> tuple[Filling, tuple[Guessable, ...]]:
    """What a pump and its coating give a calculator, and which of it is a guess of the pump's.

    Flow and pressure are those of spraying in the middle of the data sheet's range.

    Raises:
        NoAnswer: the coating's flow-cup reading says no viscosity.
    """
    fill, groups = _FILLS[name]
    point = working_point(pump, liquid_of(coating), nozzle_pressure=middle_pressure(coating))
    return fill(_Known(pump, coating, point)), tuple(g for g in groups if g in pump.guessed)
