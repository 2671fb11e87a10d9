"""Wear of a nozzle, from its flow or the width of its fan.

Both are given as growth of the equal round hole, a share of the new. A nozzle counts as worn out
when it lets a quarter more through at the same pressure, or when its fan has lost a quarter of its
width: common practice, no source. The fan narrows as the hole grows rounder; that the two run side
by side is a rough rule of ours, and its spread is wide.
"""

from __future__ import annotations

import math
from statistics import fmean

from wetend.physics.nozzle import equal_orifice, wear_growth
from wetend.pump.parts import Nozzle
from wetend.pump.readings import CheckReadings
from wetend.pump.usage import NozzleMeasured
from wetend.units.quantity import M3, KgPerM3, Pa, Ratio, S

MORE_FLOW: Ratio = 0.25
LESS_FAN: Ratio = 0.25
WORN_OUT: Ratio = wear_growth(1.0 + MORE_FLOW, 1.0)
"""Growth at which it is to be replaced, about an eighth of the hole's diameter."""
VOLUME_SPREAD, GAUGE_SPREAD, DENSITY_SPREAD, WIDTH_SPREAD = 0.05, 0.04, 0.03, 0.05
"""Standard uncertainties, as shares, of a pail, a gauge, a tin's density and a fan laid down."""
USUAL_DENSITY: KgPerM3 = 1200.0
"""Where no coating is known: common practice, no source."""


def grown_by_flow(
    nozzle: Nozzle, *, volume: M3, time: S, pressure: Pa, density: KgPerM3
) -> tuple[Ratio, Ratio]:
    """Growth and its standard uncertainty from a pail filled through the nozzle; thin liquids.

    Source: :func:`wetend.physics.nozzle.equal_orifice`; the spreads added as JCGM 100, 5.1.2.
    """
    hole = equal_orifice(
        volume / time, pressure, density=density,
        discharge_coefficient=nozzle.discharge_coefficient,
    )  # fmt: skip
    share = math.hypot(VOLUME_SPREAD / 2, GAUGE_SPREAD / 4, DENSITY_SPREAD / 4)
    return max(hole / nozzle.orifice - 1.0, 0.0), share * hole / nozzle.orifice


def grown_by_fan(widths: tuple[float, ...], new: float) -> tuple[Ratio, Ratio]:
    """Growth and its standard uncertainty from the width of the fan now and when new."""
    lost = 1.0 - fmean(widths) / new
    spread = WIDTH_SPREAD * math.sqrt(1.0 + 1.0 / len(widths))
    return WORN_OUT * max(lost, 0.0) / LESS_FAN, WORN_OUT * spread / LESS_FAN


def grown(
    nozzle: Nozzle, said: NozzleMeasured | CheckReadings, density: KgPerM3
) -> tuple[Ratio, Ratio] | None:
    """Growth and its standard uncertainty by the flow, else by the fan; ``None``: not known."""
    if isinstance(said, CheckReadings):
        volume, time, pressure = said.bucket_volume, said.bucket_time, said.spray_pressure
    else:
        volume, time, pressure = said.volume, said.time, said.pressure
        density = said.density or density
    if volume and time and pressure:
        return grown_by_flow(nozzle, volume=volume, time=time, pressure=pressure, density=density)
    if isinstance(said, NozzleMeasured) and said.fan and said.fan_new:
        return grown_by_fan(said.fan, said.fan_new)
    return None
