"""The same pump as the steady model sees it, to hold the model in time against."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.physics.hose import hose_loss
from wetend.physics.motion.parameters import AeratedLiquid, Leak, MotionParameters
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.stroke.gap import LEAST_INDEX, LeakRate
from wetend.physics.stroke.losses import LossTable, tabulate
from wetend.physics.stroke.parameters import DriveLine, Leaks, OutletLine, StrokeParameters
from wetend.physics.suction import static_head
from wetend.units.quantity import MPerS, Pa, Ratio

Array = NDArray[np.float64]


def room(liquid: AeratedLiquid, pressure: Pa) -> float:
    """Volume that a volume of aerated liquid, measured at atmospheric pressure, takes up.

    ``pressure`` is over the atmosphere. Law and source as :mod:`wetend.physics.motion.passages`.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> liquid = AeratedLiquid(newtonian(0.3), bulk_modulus=1.6e9, free_air=0.01)
    >>> round(room(liquid, 0.0), 4), round(room(liquid, -5e4), 4), round(room(liquid, 2e7), 4)
    (1.01, 1.02, 0.9875)
    """
    gas = liquid.atmosphere - liquid.vapour_pressure
    q = max(gas + pressure, 1e-3 * gas)
    return 1.0 - (q - gas) / liquid.bulk_modulus + liquid.free_air * gas / q


def drawing(parameters: MotionParameters, speed: MPerS) -> Pa:
    """Pressure at the foot valve, over the atmosphere, while the piston draws at this speed.

    Lift and tube alone; the valve's own loss is left out.
    """
    suction, liquid = parameters.suction, parameters.liquid.liquid
    flow = parameters.chambers.bore_area * speed
    lost = float(hose_loss(liquid, flow, suction.bore, suction.length))
    return -static_head(liquid.density, suction.lift) - lost - suction.blocked * flow


def filling(parameters: MotionParameters, line: Pa, suction: Pa = 0.0) -> Ratio:
    r"""Share of the swept volume that is liquid pumped on, as far as give of the liquid goes.

    .. math:: \phi = \frac{(V_s + V_d)/u_s - V_d/u_l}{V_s}

    with swept volume, dead volume below, and :func:`room` at suction and at line pressure.
    From a balance of what the chamber below holds at either end of the stroke.
    """
    chambers, liquid = parameters.chambers, parameters.liquid
    swept = chambers.bore_area * chambers.stroke
    held = (swept + chambers.dead_below) / room(liquid, suction)
    left = chambers.dead_below / room(liquid, line)
    return (held - left) / swept


def _table(parameters: MotionParameters) -> LossTable:
    liquid, outlet = parameters.liquid.liquid, parameters.outlet

    def loss(flows: Array, scale: float) -> Array:
        thick: Liquid = thickened(liquid, scale * outlet.viscosity_scale)
        return np.asarray(np.sum([hose_loss(thick, flows, h.bore, h.length)
                                  for h in outlet.hoses], axis=0))  # fmt: skip

    fastest = 3.0 * parameters.chambers.bore_area * parameters.drive.free_speed
    return tabulate(loss, flow_high=fastest)


def _rate(leaks: tuple[Leak, ...], reference: float, power: float) -> LeakRate:
    """Leaks side by side at one reference pressure, added up limit by limit."""
    slow = sum(leak.slow * (reference / leak.reference) ** power for leak in leaks)
    fast = sum(leak.fast * (reference / leak.reference) ** 0.5 for leak in leaks)
    return LeakRate(slow, fast)


def steady_twin(parameters: MotionParameters, *, filled: Ratio = 1.0) -> StrokeParameters:
    """The steady model's parameters for the same pump.

    A leak to the outside after the filter has no place there and is added to the static packings';
    parallel leaks past the piston are added up limit by limit.
    """
    chambers, drive, outlet = parameters.chambers, parameters.drive, parameters.outlet
    leaks, reference = parameters.leaks, 1e7
    power = 1.0 / max(parameters.liquid.liquid.index, LEAST_INDEX)
    return StrokeParameters(
        upper_area=chambers.bore_area - chambers.rod_area,
        rod_area=chambers.rod_area,
        drive=DriveLine(
            stall_force=drive.force,
            free_speed=drive.free_speed,
            friction=drive.friction,
            stroke=chambers.stroke,
            reversal=drive.reversal,
        ),
        outlet=OutletLine(
            hose=_table(parameters),
            viscosity=1.0,
            filter_resistance=outlet.filter_resistance,
            line_resistance=outlet.line_resistance,
            nozzle=outlet.nozzle,
        ),
        leaks=Leaks(
            foot=_rate((leaks.foot_seat,), reference, power),
            piston=_rate((leaks.piston_seat, leaks.packings, leaks.score), reference, power),
            static=_rate((leaks.static_packings, leaks.outside), reference, power),
            reference=reference,
            power=power,
        ),
        filling=filled,
    )
