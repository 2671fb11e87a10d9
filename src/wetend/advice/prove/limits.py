"""Allowed leakage of a rebuilt pump, and the corresponding limit of each proof test."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from wetend.advice.hose.trim import trim_of
from wetend.advice.pump_physics import (
    filling_of,
    foot_path,
    liquid_of,
    piston_path,
    stroke_parameters,
)
from wetend.advice.working_point import WorkingPoint, middle_pressure, working_point
from wetend.errors import UnknownName
from wetend.materials.solvents import Solvent, find_solvent
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import Filling, GapPath, blend, gap_of_leak, leak_rate
from wetend.physics.stroke.steady import steady
from wetend.physics.suction import static_head
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.quantity import M3, LeakFlow, M, M3PerPa, MPerS, Pa, Ratio, S

DELIVERY_LOSS: Ratio = 0.05
"""Share of the delivery a rebuilt pump may lose in all: valves closing, filling, leaks (common
practice, no source)."""
PATH_LOSS: Ratio = 0.005
"""Share of the delivery any one leak path of a rebuilt pump may take (common practice, no source):
well below what a worn one loses, since leaks cut their own way wider."""
COMPRESSIBILITY = 6e-10
"""Of a coating, 1/Pa: of the order of organic liquids (from memory)."""
COMPLIANCE_SPREAD: Ratio = 0.25
"""Relative standard uncertainty of hose growth and compressibility together (our choice)."""
_LEAST: Pa = 1.0
"""Pressures below this drive nothing worth reckoning."""


@dataclass(frozen=True)
class Allowed:
    """Limits of one pump with one coating."""

    pump: Pump
    coating: Coating
    liquid: Liquid
    point: WorkingPoint

    @property
    def down_share(self) -> Ratio:
        """Share of the working time spent going down at an even flow: A_r / A_b."""
        return self.pump.rod_area / self.pump.bore_area

    @property
    def foot_leak(self) -> LeakFlow:
        """Most the foot valve may pass at working pressure; it leaks on the down-stroke only."""
        return PATH_LOSS * self.point.flow / self.down_share

    @property
    def piston_leak(self) -> LeakFlow:
        """Most piston valve and moving packings may pass; they leak on the up-stroke only."""
        return PATH_LOSS * self.point.flow / (1 - self.down_share)

    @property
    def outside_leak(self) -> LeakFlow:
        """Most that may be lost outside while holding pressure."""
        return PATH_LOSS * self.point.flow

    @cached_property
    def solvent(self) -> Solvent:
        """The coating's solvent, or white spirit where it has none that is known."""
        try:
            return find_solvent(self.coating.solvent or "white-spirit")
        except UnknownName:
            return find_solvent("white-spirit")

    @cached_property
    def compliance(self) -> M3PerPa:
        """Volume that hoses, liquid and chamber take up per pressure."""
        hoses = sum(h.growth for h in self.pump.hose)
        return hoses + COMPRESSIBILITY * self.held_volume

    @property
    def held_volume(self) -> M3:
        """Liquid under pressure: hoses and the cylinder."""
        hoses = sum(math.pi / 4 * h.bore**2 * h.length for h in self.pump.hose)
        return hoses + self.pump.displacement

    @cached_property
    def even_ratio(self) -> Ratio:
        """Up-stroke over down-stroke time of the sound pump, standing at the turns left out."""
        state = steady(stroke_parameters(self.pump, self.liquid))
        trim, reversal = trim_of(self.pump, self.liquid), self.pump.drive.reversal
        up = float(state.up.time[0]) * trim.up_time - reversal
        down = float(state.down.time[0]) * trim.down_time - reversal
        return max(up, 1e-9) / max(down, 1e-9)


def allowed(pump: Pump, coating: Coating) -> Allowed:
    """Limits from displacement, nozzle and coating, sprayed at the middle of its range."""
    liquid = liquid_of(coating)
    point = working_point(pump, liquid, nozzle_pressure=middle_pressure(coating))
    return Allowed(pump, coating, liquid, point)


def _passed(gap: M, path: GapPath, filling: Filling, pressure: Pa) -> LeakFlow:
    rate = leak_rate(gap, path, filling, pressure=pressure)
    return float(np.ravel(blend(rate, np.ones(1), 1.0 / filling.index)[0])[0])


def same_gap(
    leak: LeakFlow, path: GapPath, liquid: Filling, *, pressure: Pa, other: Filling, at: Pa
) -> LeakFlow:
    """What the gap that lets ``leak`` past at ``pressure`` passes of another liquid at another.

    Both by one slit of the path's width and length, viscous and inertial losses included; zero
    below a pascal.
    """
    if leak <= 0 or at < _LEAST or pressure < _LEAST:
        return 0.0
    gap = float(gap_of_leak(leak, path, liquid, pressure=pressure)[0])
    return _passed(gap, path, other, at)


def creep_limit(allow: Allowed, stall_pressure: Pa, *, up: bool) -> MPerS:
    r"""Rod speed at stall that shows the allowed leak.

    .. math:: v = q(p_{stall}) / A, \qquad A_{up} = A_u, \quad A_{down} = A_r

    Going up, what passes the piston lets the annulus close; going down, what passes the foot valve
    makes room for the rod. The leak grows with pressure as its gap lets it.
    """
    leak = allow.piston_leak if up else allow.foot_leak
    path = piston_path(allow.pump) if up else foot_path(allow.pump)
    filling = filling_of(allow.liquid)
    passed = same_gap(
        leak, path, filling, pressure=allow.point.pump_pressure, other=filling, at=stall_pressure
    )
    return passed / (allow.pump.upper_area if up else allow.pump.rod_area)


def solvent_limit(allow: Allowed, head: M) -> LeakFlow:
    """Solvent that the allowed foot-valve gap passes under its own head."""
    solvent = allow.solvent
    density = solvent.density()
    return same_gap(
        allow.foot_leak,
        foot_path(allow.pump),
        filling_of(allow.liquid),
        pressure=allow.point.pump_pressure,
        other=Filling(solvent.viscosity(), 1.0, density),
        at=static_head(density, head),
    )


def decay_limit(allow: Allowed, start: Pa, time: S) -> Pa:
    r"""Pressure that may be lost in a hold.

    .. math:: \Delta p = p_0 \left(1 - e^{-t G / C}\right), \quad G = q / p_{work}

    C is hose growth plus the liquid's compressibility; the leak is taken proportional to pressure.
    """
    conductance = allow.outside_leak / max(allow.point.pump_pressure, 1.0)
    return -start * math.expm1(-time * conductance / allow.compliance)
