"""What a gap of given size lets past, fast enough for many pumps at once."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.roots import rising_roots

Array = NDArray[np.float64]
FloatOrArray = float | Array

_LEAST = 1e-30
_MOST_LOG = 60.0
LEAST_INDEX = 0.2
"""Thinnest shear-thinning taken into a gap; below it no coating is known and powers run away."""


@dataclass(frozen=True, eq=False)
class GapPath:
    """Where a leak runs: a slit so wide, so long in the direction of flow."""

    width: float
    length: float
    loss: float = 1.5
    """Velocity heads lost entering and leaving: 0.5 and 1.0."""


@dataclass(frozen=True, eq=False)
class LeakRate:
    """A leak at the reference pressure: held by viscosity alone, and by inertia alone (m^3/s)."""

    laminar: FloatOrArray
    inertial: FloatOrArray


@dataclass(frozen=True)
class Filling:
    """What fills the gap: shear stress = consistency * rate ** index; density.

    A yield stress is left out: in a gap under working pressure the wall stress is thousands of
    times greater. The index is held at 0.2 or more.
    """

    consistency: float
    index: float
    density: float

    @property
    def power(self) -> float:
        """1 over the index: by which power of pressure a slow leak grows."""
        return 1.0 / max(self.index, LEAST_INDEX)


def leak_rate(
    gap: FloatOrArray, path: GapPath, filling: Filling, *, pressure: float,
    viscosity_scale: FloatOrArray = 1.0,
) -> LeakRate:  # fmt: skip
    r"""A gap's leak at the reference pressure, each resistance alone.

    .. math::

        q_l = \frac{w h^2}{2 (2 + 1/n)} \left(\frac{p\,h}{2\,l\,s\,K}\right)^{1/n}, \qquad
        q_i = w h \sqrt{\frac{2 p}{\zeta \rho}}

    Valid for a gap thin against its width, flow along it fully developed (first) or none of it
    (second). Source: plane Poiseuille flow of a power-law liquid, textbook result, from memory
    (n = 1 is the parallel-plate law); orifice law with the loss coefficients of a sharp entry and
    an exit.

    >>> path = GapPath(width=0.01, length=0.004)
    >>> rate = leak_rate(50e-6, path, Filling(0.1, 1.0, 1000.0), pressure=1e7)
    >>> float(rate.laminar), float(rate.inertial)
    (2.604e-6, 5.774e-5)
    """
    h = np.maximum(np.asarray(gap, dtype=float), 0.0)
    power = filling.power
    log_wall = np.log(pressure / (2.0 * path.length * filling.consistency))
    log_gap = np.log(np.maximum(h, _LEAST))
    log_flow = math.log(path.width / (2.0 * (2.0 + power))) + 2.0 * log_gap
    log_flow = log_flow + power * (log_wall + log_gap - np.log(viscosity_scale))
    laminar = np.where(h > 0, np.exp(np.minimum(log_flow, _MOST_LOG)), 0.0)
    inertial = path.width * h * np.sqrt(2.0 * pressure / (path.loss * filling.density))
    return LeakRate(laminar, inertial)


def blend(
    rate: LeakRate, ratio: Array, power: float, *, ratio_power: Array | None = None
) -> tuple[Array, Array]:
    r"""Leak at ``ratio`` times the reference pressure, and its slope with the ratio.

    .. math::

        q = \frac{2 q_l}{1 + \sqrt{1 + 4 (q_l/q_i)^2}}, \qquad
        q_l \propto r^{1/n},\; q_i \propto r^{1/2}

    Exact where the viscous and the inertial pressure loss add (index 1); between the two limits,
    and right at both, for other laws. Source: derived here by solving p = a q + b q^2.

    >>> rate = LeakRate(np.array([1.0]), np.array([1.0]))
    >>> float(blend(rate, np.array([2.0]), 1.0)[0][0])  # solves q + q^2 = 2
    1.0
    """
    raised = ratio if power == 1.0 else (ratio**power if ratio_power is None else ratio_power)
    squared = raised * raised / ratio
    laminar = np.asarray(rate.laminar)
    steep = 4.0 * (laminar / np.maximum(rate.inertial, _LEAST)) ** 2
    root = np.sqrt(1.0 + steep * squared)
    flow = 2.0 * laminar * raised / (1.0 + root)
    slope = flow / ratio * (power - (2.0 * power - 1.0) * (root - 1.0) / (2.0 * root))
    return flow, slope


def gap_of_leak(leak: FloatOrArray, path: GapPath, filling: Filling, *, pressure: float) -> Array:
    r"""The gap that lets this much past at this pressure: :func:`leak_rate` and :func:`blend` back.

    .. math:: \frac{q}{q_l(h)} + \left(\frac{q}{q_i(h)}\right)^2 = 1

    Zero for no leak. Source: as those two.

    >>> path, liquid = GapPath(0.01, 0.004), Filling(0.1, 1.0, 1000.0)
    >>> rate = leak_rate(50e-6, path, liquid, pressure=1e7)
    >>> leak = blend(rate, np.ones(1), 1.0)[0]
    >>> float(gap_of_leak(leak, path, liquid, pressure=1e7)[0])
    5.000e-05
    """
    wanted = np.atleast_1d(np.asarray(leak, dtype=float))
    target = np.log(np.maximum(wanted, 1e-18))
    power = 2.0 + filling.power
    wall = math.log(pressure / (2.0 * path.length * filling.consistency))
    slow = target - math.log(path.width / (2.0 * power)) - filling.power * wall
    fast = target - np.log(leak_rate(1.0, path, filling, pressure=pressure).inertial)

    def residual(u: Array) -> tuple[Array, Array]:
        viscous = np.exp(slow - power * u)
        inertia = np.exp(2.0 * (fast - u))
        return 1.0 - viscous - inertia, power * viscous + 2.0 * inertia

    low = np.maximum(slow / power, fast)
    high = np.maximum((slow + np.log(2.0)) / power, fast + 0.5 * np.log(2.0))
    solved = np.exp(rising_roots(residual, low, high, start=0.5 * (low + high)))
    return np.asarray(np.where(wanted > 0, solved, 0.0))
