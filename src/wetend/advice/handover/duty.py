"""Demand of a setting on drive and suction: supply, stall, margin; and the achievable maximum."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from wetend.advice.pump_physics import described_friction, fastest, liquid_of
from wetend.advice.ratings import weakest
from wetend.advice.working_point import Line, WorkingPoint, line_of, working_point
from wetend.physics.hose import hose_loss
from wetend.physics.rheology.flow import effective_viscosity
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.suction import (
    reversal_pressure,
    suction_pressure,
    vapour_margin,
)
from wetend.physics.valves import (
    Seat,
    fall_speed,
    opening_loss,
    seat_opening,
)
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import SetUpRequest
from wetend.units.constants import GRAVITY
from wetend.units.quantity import K, KgPerM3, M, M3PerS, MPerS, Pa, Ratio, S

_STEPS = 32
_NO_SPEED = 0.999
"""Share of the drive's free speed above which it has no force worth counting left."""
_SHORTEST_TURN: S = 0.02
_SNUG: Ratio = 0.95
"""Ball over bore from which the wall's drag is beyond its law."""


@dataclass(frozen=True)
class Duty:
    """One pump, coating, line and temperature, ready to be asked for a pressure."""

    pump: Pump
    coating: Coating
    liquid: Liquid
    line: Line
    temperature: K

    @property
    def half_area(self) -> float:
        """Half the bore: the mean of the areas that deliver up and down."""
        return self.pump.bore_area / 2

    def at(self, nozzle_pressure: Pa) -> WorkingPoint:
        """The working point at a nozzle pressure."""
        return working_point(
            self.pump, self.liquid, nozzle_pressure=nozzle_pressure, line=self.line
        )


def duty_of(pump: Pump, coating: Coating, request: SetUpRequest) -> Duty:
    """The duty a hand-over asks for."""
    temperature = request.temperature or coating.temperature
    line = line_of(pump, orifice=request.nozzle_orifice, guns=request.guns, lift=request.hose_lift)
    return Duty(pump, coating, liquid_of(coating, temperature), line, temperature)


def rod_speed(duty: Duty, flow: M3PerS) -> MPerS:
    """Mean speed of the rod at a flow."""
    return flow / duty.half_area


def supply_needed(duty: Duty, point: WorkingPoint) -> Pa:
    r"""Supply pressure that holds a working point.

    .. math:: p_s = \frac{2}{i A_b} \, \frac{p A_b / 2 + F_f}{1 - (v/v_0)^2}

    Mean of both strokes; unlimited where the drive can't run so fast. Source: force balance with
    the drive's droop as in the steady stroke model.
    """
    pump = duty.pump
    share = rod_speed(duty, point.flow) / fastest(pump)
    if share >= _NO_SPEED:
        return math.inf
    force = point.pump_pressure * duty.half_area + described_friction(pump)
    return force / (1 - share**2) / (pump.drive.ratio * duty.half_area)


def stall_at(pump: Pump, supply: Pa) -> Pa:
    """Highest stall pressure a supply can bring: frictionless, on the stroke of smaller area."""
    harder = min(pump.upper_area, pump.rod_area)
    return supply * pump.drive.ratio * (pump.bore_area / 2) / harder


def supply_cap(pump: Pump) -> Pa:
    """Highest supply that neither the drive's rating nor the weakest part forbids."""
    rating, _ = weakest(pump)
    return min(pump.drive.supply_rated, rating / stall_at(pump, 1.0))


def reaches(duty: Duty, nozzle_pressure: Pa) -> bool:
    """Whether a nozzle pressure can be had within the supply cap."""
    return supply_needed(duty, duty.at(nozzle_pressure)) <= supply_cap(duty.pump)


def most_pressure(duty: Duty) -> Pa:
    """Highest nozzle pressure that can be had within the supply cap; zero where none can."""
    low, high = 0.0, stall_at(duty.pump, supply_cap(duty.pump)) + 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if reaches(duty, middle):
            low = middle
        else:
            high = middle
    return low


@dataclass(frozen=True)
class SuctionState:
    """Pressure losses between the liquid's surface and the cylinder."""

    intake: M3PerS
    """Flow while the foot valve is open."""
    line_loss: Pa
    turn_pressure: Pa
    """To speed the column up after each turn."""
    valve_loss: Pa
    absolute: Pa
    margin: Pa


def suction_state(duty: Duty, flow: M3PerS) -> SuctionState:
    """The suction on the up-stroke, when the whole bore draws while the annulus delivers."""
    pump, suction, density = duty.pump, duty.pump.suction, duty.liquid.density
    speed = flow / pump.upper_area
    intake = pump.bore_area * speed
    line_area = math.pi / 4 * suction.bore**2
    lost = float(hose_loss(duty.liquid, intake, suction.bore, suction.length))
    turn = reversal_pressure(
        density,
        suction.length,
        pump.bore_area / line_area,
        speed=speed,
        time=max(pump.drive.reversal, _SHORTEST_TURN),
    )
    through = _foot_loss(pump, intake, density)
    absolute = suction_pressure(
        density, suction.lift, loss=lost + through, acceleration=turn, speed=intake / line_area
    )
    return SuctionState(
        intake, lost, turn, through, absolute, vapour_margin(absolute, duty.coating.vapour_pressure)
    )


def _foot_loss(pump: Pump, intake: M3PerS, density: KgPerM3) -> Pa:
    valve = pump.foot_valve
    seat = Seat(valve.ball_diameter, valve.seat_half_angle, valve.seat_bore, valve.seat_width)
    area = seat_opening(seat, valve.lift_low)
    spring = valve.spring_force / (math.pi / 4 * valve.seat_bore**2)
    return opening_loss(intake, area, density=density) + spring


def ball_return(duty: Duty, flow: M3PerS, ball_density: KgPerM3) -> Ratio:
    r"""Share of a stroke the foot-valve ball takes to come back: late where it is large.

    .. math:: \frac{h}{S}\,\frac{v}{v + v_s}

    From the middle of its lift range h the ball sinks at its steady speed v_s, the bore round it as
    wall, through liquid of the viscosity that belongs to that speed, and the liquid returning at
    the rod's speed v carries it along: so never more than h / S. Our own estimate from those two
    speeds; :func:`wetend.physics.valves.fall_speed` for the first.
    """
    lift = duty.pump.foot_valve.lift_middle
    carried = rod_speed(duty, flow)
    if carried <= 0:
        return 0.0
    sinks = _sinking(duty, ball_density)
    return min(lift / duty.pump.stroke * carried / (carried + sinks), 1.0)


def _sinking(duty: Duty, ball_density: KgPerM3) -> MPerS:
    """Steady speed of the sinking ball; zero where it floats and no spring holds it."""
    valve, liquid = duty.pump.foot_valve, duty.liquid
    excess = ball_density - liquid.density
    if math.pi / 6 * valve.ball_diameter**3 * excess * GRAVITY + valve.spring_force <= 0:
        return 0.0
    bore = duty.pump.cylinder.bore
    speed = carried = 1e-3
    for _ in range(12):
        viscosity = float(effective_viscosity(liquid, carried / valve.ball_diameter))
        speed = fall_speed(
            valve.ball_diameter,
            excess,
            density=liquid.density,
            viscosity=viscosity,
            tube=bore if valve.ball_diameter < _SNUG * bore else None,
            spring=valve.spring_force,
        )
        carried = math.sqrt(carried * max(speed, 1e-9))
    return speed


def warmed(duty: Duty, by: K) -> Duty:
    """The same duty with the coating so many degrees warmer."""
    warmer = duty.temperature + by
    return replace(duty, liquid=liquid_of(duty.coating, warmer), temperature=warmer)


def with_hose(duty: Duty, *, bore: M | None = None, length_factor: Ratio = 1.0) -> Duty:
    """The same duty with the longest hose of another bore, or of another length."""
    longest = max(duty.line.hoses, key=lambda h: h.length)
    other = longest.model_copy(
        update={"bore": bore or longest.bore, "length": longest.length * length_factor}
    )
    hoses = tuple(other if h is longest else h for h in duty.line.hoses)
    return replace(duty, line=replace(duty.line, hoses=hoses))


def with_orifice(duty: Duty, orifice: M) -> Duty:
    """The same duty with another nozzle."""
    return replace(duty, line=replace(duty.line, orifice=orifice))
