"""What damage lets past at working pressure, in this coating, and what it costs of a stroke."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.inspecting.judgement import Damage
from wetend.advice.proof_limits import Allowed, allowed
from wetend.advice.reasons import Figure, Working
from wetend.errors import NoAnswer, UnknownName
from wetend.physics.leakage import Passage, passage_flow
from wetend.physics.slits import slit_viscosity
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.quantity import LeakFlow, M, M3PerS, MFine, Pa, PaS, Percent, unit_of


@dataclass(frozen=True)
class Path:
    """Where the leak runs: what holds it back, how thin it is, how long, and in what words."""

    passage: Passage
    gap: MFine
    length: M
    words: str
    """What was assumed of it."""


def limits_of(pump: Pump, coating: Coating | None) -> Allowed | None:
    """What this pump may lose with this coating; ``None`` where no coating says.

    A coating whose flow can't be told (an unknown cup, one run too short) says nothing.
    """
    if coating is None:
        return None
    try:
        return allowed(pump, coating)
    except (NoAnswer, UnknownName):
        return None


def working_pressure(limits: Allowed) -> Pa:
    """At the pump while spraying at the middle of the coating's range, no more than it may give."""
    return min(limits.point.pump_pressure, limits.pump.limits.outlet_pressure)


def damage_of(pump: Pump, coating: Coating | None, path: Path | None) -> Damage | None:
    """The leak through a path and the share of the stroke lost; ``None`` without either."""
    limits = limits_of(pump, coating)
    if limits is None or path is None:
        return None
    pressure, viscosity = working_pressure(limits), viscosity_in(limits, path)
    leak = leak_through(limits, path)
    share = share_lost(leak, limits.point.flow)
    return Damage(leak, share, _working(path, pressure, viscosity, leak=leak, share=share))


def viscosity_in(limits: Allowed, path: Path) -> PaS:
    """Of the coating at the rate it shears in a path at working pressure; endless if it sticks."""
    pressure = working_pressure(limits)
    return float(slit_viscosity(limits.liquid, path.gap, length=path.length, pressure=pressure))


def leak_through(limits: Allowed, path: Path) -> LeakFlow:
    """What a path lets past at working pressure."""
    viscosity = viscosity_in(limits, path)
    if not math.isfinite(viscosity):
        return 0.0
    return passage_flow(
        path.passage, working_pressure(limits), viscosity=viscosity,
        density=limits.liquid.density,
    )  # fmt: skip


def share_lost(leak: LeakFlow, flow: M3PerS) -> float:
    """Share of a stroke that a leak takes, the gun taking ``flow`` all the while."""
    return leak / (leak + flow) if leak > 0 else 0.0


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
        source="Plane Poiseuille flow of the coating's own law; entry and exit losses in series",
        validity=f"{path.words} Steady, the gun open, the nozzle as described.",
    )
