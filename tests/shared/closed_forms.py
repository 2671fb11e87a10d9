"""Closed forms of textbooks, written out once for the tests that hold the package against them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.physics.leakage import Passage
from wetend.physics.rheology.herschel_bulkley import nominal_rate
from wetend.physics.rheology.liquid import Liquid
from wetend.units.constants import GRAVITY


def bore_flow(
    liquid: Liquid, pressure: ArrayLike, bore: float, length: float
) -> NDArray[np.float64]:
    """Laminar flow through a round bore, m3/s: pi D^3/32 times 8V/D at the wall's stress."""
    stress = np.asarray(pressure, dtype=float) * bore / (4.0 * length)
    return np.asarray(np.pi * bore**3 / 32.0 * nominal_rate(stress, liquid))


def ring_flow(
    diameter: float,
    clearance: float,
    *,
    length: float,
    pressure: float,
    viscosity: float,
    eccentricity: float = 0.0,
) -> float:
    """Leak of a newtonian liquid through a thin ring (Fox and McDonald, 5th ed., ex. 8.1)."""
    even = math.pi * diameter * clearance**3 * pressure / (12 * viscosity * length)
    return even * (1 + 1.5 * eccentricity**2)


def passage_flow(passage: Passage, pressure: float, *, viscosity: float, density: float) -> float:
    """Flow at which drag and end losses use up the pressure: the root of p = a Q + b Q^2."""
    drag, head = passage.drag * viscosity, passage.head * density
    return 2 * pressure / (drag + math.sqrt(drag**2 + 4 * head * pressure))


def orifice_pressure(
    flow: float, hole: float, *, density: float, viscosity: float = 0.0, land: float = 0.0
) -> float:
    """Pressure to drive a flow through a nozzle of coefficient 0.85, with Sampson's and
    Poiseuille's drag in its hole and land."""
    radius = hole / 2
    fast = density / 2 * (flow / (0.85 * math.pi * radius**2)) ** 2
    return fast + viscosity * flow / radius**3 * (3 + 8 * land / (math.pi * radius))


def crank_head(length: float, area_ratio: float, stroke: float, rate: float) -> float:
    """Head at the start of a crank's stroke, m: (L/g)(A/a) w^2 r (Sarkar 1999, ex. 9.4)."""
    return length / GRAVITY * area_ratio * (2 * math.pi * rate) ** 2 * stroke / 2
