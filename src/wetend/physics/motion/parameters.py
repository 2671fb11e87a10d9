"""The parameters of the model in time: plain numbers, SI."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wetend.physics.rheology.liquid import Liquid
from wetend.units.constants import ATMOSPHERE
from wetend.units.quantity import (
    M2,
    M3,
    KgPerM3,
    M,
    M3PerPa,
    MLong,
    MPerS,
    N,
    Pa,
    PaLow,
    Rad,
    Ratio,
    S,
    Stress,
)

GunUse = Literal["shut", "open", "pulsed"]


@dataclass(frozen=True)
class AeratedLiquid:
    """The coating as it is in the pump: flow law, give, and the air it carries undissolved."""

    liquid: Liquid
    bulk_modulus: Stress = 1.6e9
    free_air: Ratio = 0.003
    """Volume of undissolved air at atmospheric pressure, over the liquid's."""
    vapour_pressure: PaLow = 1000.0
    atmosphere: Pa = ATMOSPHERE


@dataclass(frozen=True)
class BallValve:
    """A ball on a cone, with the stop that limits its lift."""

    ball_diameter: M
    ball_density: KgPerM3
    half_angle: Rad
    seat_bore: M
    seat_width: M
    lift: M
    tube: M
    """Bore round the ball."""
    spring: N = 0.0
    stick: N = 0.0
    """Force with which the ball sticks to its stop."""
    discharge: Ratio = 0.7


@dataclass(frozen=True)
class Drive:
    """What pulls and pushes the rod.

    Force falls with the speed's ``droop``-th power, to nothing at the free speed: 2 for an air
    motor, whose passages cost pressure by the square of flow; more for a hydraulic drive, which
    keeps its pressure until its flow gives out. ``control`` is the outlet pressure above which an
    electric drive lets go; 0 for none.
    """

    force: N
    free_speed: MPerS
    friction: N
    mass: float
    """kg that moves: rod, piston, coupling and the drive's own piston."""
    reversal: S
    droop: float = 2.0
    drag: float = 0.0
    """N s/m that drive and packings cost besides."""
    build_share: Ratio = 0.1
    """Share of the reversal in which the force builds up, after the rest has passed idle."""
    control: Pa = 0.0


@dataclass(frozen=True)
class Chambers:
    """Bore, rod and what the piston never sweeps."""

    bore_area: M2
    rod_area: M2
    stroke: M
    dead_below: M3
    dead_above: M3


@dataclass(frozen=True)
class SuctionLine:
    """Tube from the tin to the foot valve."""

    bore: M
    length: MLong
    lift: MLong
    head_volume: M3
    """Of elbow and housing, between tube and foot valve."""
    head_give: M3PerPa = 0.0
    blocked: float = 0.0
    """Pa s/m^3 more, as of a strainer."""
    velocity_heads: float = 1.5
    """Lost at entry, strainer and elbow."""
    swing_damping: Ratio = 0.25
    """Share of critical damping with which the column swings on its own air when the valve shuts:
    friction of the swinging liquid, bubbles and hose wall together. No source."""


@dataclass(frozen=True)
class Hose:
    """One length of hose."""

    bore: M
    length: MLong
    growth: M3PerPa = 0.0
    """Volume gained per pressure, whole length."""


@dataclass(frozen=True)
class Outlet:
    """Filter, gauge, hose string and nozzle, in that order."""

    filter_resistance: float
    """Pa s/m^3"""
    hoses: tuple[Hose, ...]
    nozzle: float
    """Pa s^2/m^6: pressure over flow squared."""
    line_resistance: float = 0.0
    """Pa s/m^3 besides the hose: a blockage."""
    viscosity_scale: float = 1.0
    nodes: int = 3
    """Points along the string at which its pressure is followed; 2 to 8."""


@dataclass(frozen=True)
class Leak:
    """A leak at a reference pressure: held by viscosity alone, and by inertia alone (m^3/s)."""

    slow: float = 0.0
    fast: float = 0.0
    reference: Pa = 1e7


@dataclass(frozen=True)
class LeakPaths:
    """Where liquid gets past. Zero is tight."""

    foot_seat: Leak = Leak()
    piston_seat: Leak = Leak()
    packings: Leak = Leak()
    score: Leak = Leak()
    static_packings: Leak = Leak()
    outside: Leak = Leak()
    """From hose, fittings or dump valve."""


@dataclass(frozen=True)
class Gun:
    """How the gun is worked: shut, open, or open and shut in turn."""

    use: GunUse = "open"
    on: S = 1.0
    off: S = 1.0
    """Of a pulsed gun."""


@dataclass(frozen=True)
class MotionParameters:
    """Everything the model in time needs."""

    liquid: AeratedLiquid
    drive: Drive
    chambers: Chambers
    foot_valve: BallValve
    piston_valve: BallValve
    suction: SuctionLine
    outlet: Outlet
    leaks: LeakPaths = LeakPaths()
    gun: Gun = Gun()
