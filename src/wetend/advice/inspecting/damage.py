"""What damage lets past at working pressure, in this coating, and the share of a stroke it costs.

A thin liquid path is a :class:`~wetend.physics.leakage.Passage`. A coating that is not Newtonian is
given the viscosity that makes the same slit flow at the same wall stress, which is exact for a
power law while drag along the path governs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.inspecting.judgement import Damage
from wetend.advice.pump_physics import liquid_of
from wetend.advice.reasons import Figure, Working
from wetend.physics.leakage import Passage, passage_flow
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.quantity import (
    LeakFlow,
    M,
    M3PerS,
    MFine,
    Pa,
    PaS,
    Percent,
    unit_of,
)


@dataclass(frozen=True)
class Path:
    """Where the leak runs: what holds it back, how thin it is, how long, and in what words."""

    passage: Passage
    gap: MFine
    length: M
    words: str
    """What was assumed of it."""


def working_pressure(pump: Pump, coating: Coating) -> Pa:
    """The coating's highest spraying pressure, no more than the pump may give."""
    return min(coating.spray_pressure_high, pump.limits.outlet_pressure)


def slit_viscosity(coating: Coating, *, pressure: Pa, gap: MFine, length: M) -> PaS:
    r"""Viscosity of the Newtonian liquid that leaks as much through the same slit.

    .. math:: \mu=\tau_w\frac{2n+1}{3n\,\dot\gamma},\quad
              \tau_w=\frac{p\,h}{2L},\quad \dot\gamma=((\tau_w-\tau_y)/K)^{1/n}

    Unlimited where the wall stress does not reach the yield stress. Plane Poiseuille flow; exact
    for a power law, and for a yield stress small against the wall stress.
    """
    liquid = liquid_of(coating)
    wall = pressure * gap / (2 * length)
    if wall <= liquid.yield_stress:
        return math.inf
    rate = math.pow((wall - liquid.yield_stress) / liquid.consistency, 1 / liquid.index)
    return wall * (2 * liquid.index + 1) / (3 * liquid.index * rate)


def nozzle_flow(pump: Pump, coating: Coating) -> M3PerS:
    """What the gun sprays at working pressure."""
    nozzle = pump.nozzle
    area = nozzle.discharge_coefficient * math.pi / 4 * nozzle.orifice**2
    return area * math.sqrt(2 * working_pressure(pump, coating) / coating.density)


def damage_of(pump: Pump, coating: Coating | None, path: Path | None) -> Damage | None:
    """The leak through a path and the share of the stroke lost; ``None`` without either."""
    if coating is None or path is None:
        return None
    pressure = working_pressure(pump, coating)
    viscosity = slit_viscosity(coating, pressure=pressure, gap=path.gap, length=path.length)
    leak = (
        passage_flow(path.passage, pressure, viscosity=viscosity, density=coating.density)
        if math.isfinite(viscosity)
        else 0.0
    )
    share = leak / (leak + nozzle_flow(pump, coating))
    return Damage(leak, share, _working(path, pressure, viscosity, leak=leak, share=share))


def _working(path: Path, pressure: Pa, viscosity: PaS, *, leak: LeakFlow, share: float) -> Working:
    held = () if math.isinf(viscosity) else (Figure("Viscosity in it", viscosity, unit_of(PaS)),)
    return Working(
        title="What it lets past at working pressure",
        formula="p = 12µL/(w h³)·Q + Kρ/(2(w h)²)·Q²;  share = Q/(Q + Q_nozzle)",
        given=(
            Figure("Working pressure", pressure, unit_of(Pa), "p"),
            Figure("Depth of the way past", path.gap, unit_of(MFine), "h"),
            Figure("Length of the way past", path.length, unit_of(M), "L"),
            *held,
        ),
        result=(
            Figure("Leak", leak, unit_of(LeakFlow), "Q"),
            Figure("Share of the stroke lost", share, unit_of(Percent)),
        ),
        source="Plane Poiseuille flow with entry and exit losses in series",
        validity=f"{path.words} Steady, the gun open, the nozzle as described.",
    )
