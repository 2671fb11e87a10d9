"""The pump at work: what one nozzle pressure asks of hose, filter and pump."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.physics.hose import hose_loss
from wetend.physics.nozzle import orifice_flow
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.suction import static_head
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.parts import HoseLength
from wetend.units.quantity import CycleRate, KgPerM3, M, M3PerS, MLong, Pa, Ratio


@dataclass(frozen=True)
class Line:
    """What stands after the pump: nozzle, guns, hoses, lift."""

    orifice: M
    discharge: Ratio
    guns: int = 1
    hoses: tuple[HoseLength, ...] = ()
    lift: MLong = 0.0


@dataclass(frozen=True)
class WorkingPoint:
    """Flow and pressures while spraying; a sound pump."""

    nozzle_pressure: Pa
    flow: M3PerS
    """Of all guns."""
    hose_loss: Pa
    lift_loss: Pa
    """Negative where the gun hangs below the pump."""
    filter_loss: Pa
    pump_pressure: Pa
    cycle_rate: CycleRate


def line_of(pump: Pump, *, orifice: M | None = None, guns: int = 1, lift: MLong = 0.0) -> Line:
    """The outlet line as described, with another nozzle, more guns or a gun higher up."""
    nozzle = pump.nozzle
    return Line(orifice or nozzle.orifice, nozzle.discharge_coefficient, guns, pump.hose, lift)


def middle_pressure(coating: Coating) -> Pa:
    """Middle of the data sheet's range of pressure at the nozzle."""
    return (coating.spray_pressure_low + coating.spray_pressure_high) / 2


def nozzle_flow(line: Line, pressure: Pa, density: KgPerM3) -> M3PerS:
    """Flow of all guns at a nozzle pressure; the nozzle's own coefficient counts for viscosity."""
    one = orifice_flow(
        pressure, line.orifice, density=density, discharge_coefficient=line.discharge
    )
    return line.guns * float(one)


def string_loss(line: Line, liquid: Liquid, flow: M3PerS) -> Pa:
    """Loss along all hoses; with several guns each has its own last length."""
    lost = 0.0
    last = len(line.hoses) - 1
    for number, hose in enumerate(line.hoses):
        own = line.guns > 1 and number == last and last > 0
        share = flow / line.guns if own else flow
        lost += float(hose_loss(liquid, share, hose.bore, hose.length))
    return lost


def filter_loss(pump: Pump, flow: M3PerS) -> Pa:
    """Clean filter's loss, in proportion to flow.

    The loss described is taken to hold at the pump's highest cycle rate (common practice).
    """
    return pump.filter.clean_loss * flow / (pump.displacement * pump.limits.cycle_rate_high)


def working_point(
    pump: Pump, liquid: Liquid, *, nozzle_pressure: Pa, line: Line | None = None
) -> WorkingPoint:
    """What a nozzle pressure asks of this pump: losses add up from nozzle to pump."""
    line = line or line_of(pump)
    flow = nozzle_flow(line, nozzle_pressure, liquid.density)
    lost = string_loss(line, liquid, flow)
    lift = static_head(liquid.density, line.lift)
    screen = filter_loss(pump, flow)
    return WorkingPoint(
        nozzle_pressure=nozzle_pressure,
        flow=flow,
        hose_loss=lost,
        lift_loss=lift,
        filter_loss=screen,
        pump_pressure=max(nozzle_pressure + lost + lift + screen, 0.0),
        cycle_rate=flow / pump.displacement,
    )
