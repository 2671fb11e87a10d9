"""Converts pump and coating descriptions to the parameters of the physics."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetend.keeping import MB, kept
from wetend.materials.cups import find_cup
from wetend.physics.hose import hose_loss
from wetend.physics.rheology.cups import cup_reading, kinematic_viscosity
from wetend.physics.rheology.laws import LAWS
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.rheology.temperature import at_temperature
from wetend.physics.stroke.gap import Filling, FloatOrArray, GapPath, LeakRate, leak_rate
from wetend.physics.stroke.losses import LossTable, tabulate
from wetend.physics.stroke.parameters import (
    DriveLine,
    Leaks,
    OutletLine,
    StrokeParameters,
    nozzle_resistance,
    stall_force,
)
from wetend.physics.valves import contact_diameter
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.flow_law import law_values
from wetend.pump.parts import HoseLength
from wetend.units.quantity import K, M, M3PerS, N, Pa, Ratio

Array = NDArray[np.float64]

CHIP_SHARE = 0.1
"""Share of the contact circle taken as the breadth of a seat's leak."""
OUTSIDE_LENGTH: M = 3e-3
"""Way through a leak in dump valve, fitting or hose end. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Condition:
    """Condition of a pump: its supply and its faults. Floats, or arrays of one size.

    Factors multiply what the description gives; 1 is as described. Gaps are m, 0 is tight.
    """

    supply: FloatOrArray | None = None
    """Pa at the drive; ``None`` is as rated."""
    drive: FloatOrArray = 1.0
    """Force left of what the supply should give."""
    viscosity: FloatOrArray = 1.0
    friction: FloatOrArray = 1.0
    free_speed: FloatOrArray = 1.0
    nozzle: FloatOrArray = 1.0
    """Area of the nozzle."""
    filter: FloatOrArray = 1.0
    """Resistance of the outlet filter."""
    filter_blocked: FloatOrArray = 0.0
    """Pa s/m^3 more in the outlet filter."""
    line_blocked: FloatOrArray = 0.0
    """Pa s/m^3 more in hose or gun."""
    filling: FloatOrArray = 1.0
    foot_gap: FloatOrArray = 0.0
    piston_gap: FloatOrArray = 0.0
    static_gap: FloatOrArray = 0.0
    seat_gap: FloatOrArray = 0.0
    """At the piston valve's seat."""
    score_gap: FloatOrArray = 0.0
    """Depth of a score along the bore."""
    outside_gap: FloatOrArray = 0.0
    """In hose, fittings or dump valve."""
    reversal: FloatOrArray = 0.0
    """s more than described, standing at each end."""


@dataclass(frozen=True, eq=False)
class Motion:
    """How a pump stands, for the model in time: the steady condition, and what only time shows."""

    steady: Condition = field(default_factory=Condition)
    foot_lift: M | None = None
    """Lift of the foot valve's ball; ``None`` is the middle of the range described."""
    foot_stick: N = 0.0
    """Force with which that ball sticks to its stop."""
    suction_blocked: float = 0.0
    """Pa s/m^3 more on the way to the foot valve."""
    free_air: float = 0.003
    """Volume of air at atmospheric pressure in the liquid drawn, over the liquid's."""


def _law(coating: Coating) -> dict[str, float]:
    """Parameters of a described flow law; a newtonian coating's may come from its flow cup."""
    given = law_values(coating, coating.law)
    if not given and coating.cup is not None and coating.cup_time is not None:
        kinematic = kinematic_viscosity(coating.cup_time, find_cup(coating.cup))
        return {"viscosity": coating.density * kinematic}
    return given


HOSE_RATE = 1000.0
"""1/s: about what a coating is sheared at in a hose while it sprays."""


def viscosity_spread(coating: Coating) -> Ratio:
    """Relative standard uncertainty of a coating's viscosity in a hose.

    As described; for a coating known by one cup reading alone never less than that reading allows:
    cup, stopwatch, temperature, and how much it may thin with shear.

    Raises:
        NoAnswer: the cup ran out too quickly to tell a viscosity.
        UnknownName: no cup goes by that name.
    """
    if law_values(coating, coating.law) or coating.cup is None or coating.cup_time is None:
        return coating.spread
    reading = cup_reading(
        coating.cup_time, find_cup(coating.cup), density=coating.density,
        temperature=coating.temperature,
    )  # fmt: skip
    return max(coating.spread, reading.spread_at(HOSE_RATE))


_LAW_FIELDS: Mapping[str, Mapping[str, str]] = {
    "newtonian": {"viscosity": "consistency"},
    "power-law": {"consistency": "consistency", "index": "index"},
    "bingham": {"yield_stress": "yield_stress", "plastic_viscosity": "consistency"},
    "herschel-bulkley": {"yield_stress": "yield_stress", "consistency": "consistency",
                         "index": "index"},
}  # fmt: skip
"""Which of a liquid's own figures each parameter of a law is."""


def liquid_fields(liquid: Liquid) -> dict[str, float | str]:
    """The fields of a liquid, where its law is one that a calculator can be told by them."""
    names = _LAW_FIELDS.get(liquid.law)
    if names is None:
        return {}
    own = {field: float(getattr(liquid, name)) for field, name in names.items()}
    return {"law": liquid.law, "density": liquid.density, **own}


def liquid_of(coating: Coating, temperature: K | None = None) -> Liquid:
    """The coating as the physics sees it, at its own temperature or another.

    A coating known by one flow-cup reading alone is taken as newtonian.

    Raises:
        NoAnswer: the cup ran out too quickly to tell a viscosity.
        UnknownName: no cup goes by that name.
    """
    liquid = LAWS[coating.law].make(**_law(coating), density=coating.density)
    if temperature is None:
        return liquid
    return at_temperature(liquid, temperature, coating.temperature)


def foot_path(pump: Pump) -> GapPath:
    """Where the foot valve leaks: across a tenth of its contact circle, along its cone."""
    valve = pump.foot_valve
    circle = math.pi * contact_diameter(valve.ball_diameter, valve.seat_half_angle)
    return GapPath(width=CHIP_SHARE * circle, length=valve.seat_width)


def piston_path(pump: Pump) -> GapPath:
    """Where the piston leaks: round the bore, along the moving packings."""
    return GapPath(width=math.pi * pump.cylinder.bore, length=pump.moving_packings.height)


def seat_path(pump: Pump) -> GapPath:
    """Where the piston valve leaks: as the foot valve."""
    valve = pump.piston_valve
    circle = math.pi * contact_diameter(valve.ball_diameter, valve.seat_half_angle)
    return GapPath(width=CHIP_SHARE * circle, length=valve.seat_width)


def score_path(pump: Pump) -> GapPath:
    """Where a scored bore leaks: along the moving packings, as broad as a tenth of the bore."""
    return GapPath(width=CHIP_SHARE * pump.cylinder.bore, length=pump.moving_packings.height)


def outside_path(pump: Pump) -> GapPath:
    """Where hose, fittings or dump valve leak: a short way across a small seat."""
    return GapPath(width=CHIP_SHARE * math.pi * pump.foot_valve.seat_bore, length=OUTSIDE_LENGTH)


def static_path(pump: Pump) -> GapPath:
    """Where the static packings leak: round the rod, along the set."""
    return GapPath(width=math.pi * pump.rod.diameter, length=pump.static_packings.height)


def filling_of(liquid: Liquid) -> Filling:
    """The liquid inside a leak."""
    return Filling(liquid.consistency, liquid.index, liquid.density)


def described_friction(pump: Pump) -> float:
    """Drag of both sets of packings and the drive, N."""
    return pump.moving_packings.friction + pump.static_packings.friction + pump.drive.friction


def rated_stall(pump: Pump) -> Pa:
    """Outlet stall pressure at the rated supply, friction taken off, mean of both ways."""
    force = float(stall_force(pump.drive.supply_rated, pump.drive.ratio,
                              pump.upper_area, pump.rod_area))  # fmt: skip
    left = max(force - described_friction(pump), 0.05 * force)
    return 0.5 * left * (1 / pump.upper_area + 1 / pump.rod_area)


def rated_flow(pump: Pump) -> M3PerS:
    """Flow at which the filter's clean loss is stated: displacement at the highest cycle rate."""
    return pump.displacement * pump.limits.cycle_rate_high


def fastest(pump: Pump) -> float:
    """Rod speed with nothing against it, m/s."""
    return pump.stroke / pump.drive.free_speed


def loss_table(pump: Pump, liquid: Liquid) -> LossTable:
    """What this pump's hoses cost with this liquid, up to more than it can pump."""
    return _tabulated(pump.hose, liquid, 3.0 * pump.bore_area * fastest(pump))


@kept("losses of hoses", most=8 * MB)
def _tabulated(hoses: tuple[HoseLength, ...], liquid: Liquid, flow_high: M3PerS) -> LossTable:
    def loss(flows: Array, scale: float) -> Array:
        thick = thickened(liquid, scale)
        lost = [hose_loss(thick, flows, h.bore, h.length) for h in hoses]
        return np.asarray(np.sum(lost, axis=0))

    return tabulate(loss, flow_high=flow_high)


def _leaks(pump: Pump, liquid: Liquid, condition: Condition) -> Leaks:
    reference, filling = rated_stall(pump), filling_of(liquid)

    def rate(gap: FloatOrArray, path: GapPath) -> LeakRate:
        return leak_rate(
            gap, path, filling, pressure=reference, viscosity_scale=condition.viscosity
        )

    def both(*ways: tuple[FloatOrArray, GapPath]) -> LeakRate:
        """Leaks side by side, added up limit by limit; tight ones cost nothing."""
        there = [rate(gap, path) for gap, path in ways if np.any(np.asarray(gap) > 0)]
        first = there[0] if there else LeakRate(0.0, 0.0)
        for more in there[1:]:
            first = LeakRate(
                np.asarray(first.laminar) + more.laminar, np.asarray(first.inertial) + more.inertial
            )
        return first

    return Leaks(
        foot=rate(condition.foot_gap, foot_path(pump)),
        piston=both(
            (condition.piston_gap, piston_path(pump)),
            (condition.seat_gap, seat_path(pump)),
            (condition.score_gap, score_path(pump)),
        ),
        static=both(
            (condition.static_gap, static_path(pump)),
            (condition.outside_gap, outside_path(pump)),
        ),
        reference=reference,
        power=filling.power,
    )


def _outlet(pump: Pump, liquid: Liquid, condition: Condition, table: LossTable) -> OutletLine:
    clean = pump.filter.clean_loss / rated_flow(pump)
    area = math.pi / 4 * pump.nozzle.orifice**2 * np.asarray(condition.nozzle)
    return OutletLine(
        hose=table,
        viscosity=condition.viscosity,
        filter_resistance=clean * np.asarray(condition.filter) * np.asarray(condition.viscosity)
        + condition.filter_blocked,
        line_resistance=condition.line_blocked,
        nozzle=nozzle_resistance(liquid.density, area, pump.nozzle.discharge_coefficient),
    )


def stroke_parameters(
    pump: Pump,
    coating: Coating | Liquid,
    condition: Condition | None = None,
    *,
    table: LossTable | None = None,
) -> StrokeParameters:
    """The steady stroke model's parameters for this pump, coating and condition.

    Args:
        pump: as described.
        coating: at its own temperature, or a liquid from :func:`liquid_of` at another.
        condition: ``None`` for a sound pump at its rated supply.
        table: from :func:`loss_table`, where many conditions share one.
    """
    state = condition if condition is not None else Condition()
    liquid = liquid_of(coating) if isinstance(coating, Coating) else coating
    supply = pump.drive.supply_rated if state.supply is None else state.supply
    force = stall_force(supply, pump.drive.ratio, pump.upper_area, pump.rod_area)
    return StrokeParameters(
        upper_area=pump.upper_area,
        rod_area=pump.rod_area,
        drive=DriveLine(
            stall_force=force * np.asarray(state.drive),
            free_speed=fastest(pump) * np.asarray(state.free_speed),
            friction=described_friction(pump) * np.asarray(state.friction),
            stroke=pump.stroke,
            reversal=pump.drive.reversal + np.asarray(state.reversal),
            control=np.asarray(supply) * pump.drive.ratio if pump.drive.kind == "electric" else 0.0,
        ),
        outlet=_outlet(pump, liquid, state, table or loss_table(pump, liquid)),
        leaks=_leaks(pump, liquid, state),
        filling=state.filling,
    )
