"""Flow through a spray nozzle, described by the round hole of equal flow, and how it wears."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.units.quantity import KgPerM3, M, MPerS, PaS, Ratio

Array = NDArray[np.float64]


def _inertia(orifice: M, density: KgPerM3, coefficient: Ratio, bore: M | None) -> float:
    """Pressure over flow squared, Pa s2/m6."""
    area = np.pi * orifice**2 / 4.0
    approach = 1.0 - (orifice / bore) ** 4 if bore else 1.0
    return float(density * approach / (2.0 * (coefficient * area) ** 2))


def _creep(orifice: M, viscosity: PaS, land: M) -> float:
    """Pressure over flow in slow flow, Pa s/m3: Sampson's hole and Poiseuille's land in series."""
    radius = orifice / 2.0
    return viscosity / radius**3 * (3.0 + 8.0 * land / (np.pi * radius))


def orifice_flow(
    pressure: ArrayLike,
    orifice: M,
    *,
    density: KgPerM3,
    discharge_coefficient: Ratio = 0.85,
    viscosity: PaS = 0.0,
    land: M = 0.0,
    bore: M | None = None,
) -> Array:
    r"""Flow through a hole at this pressure drop, m^3/s; the pressure may be an array.

    .. math::
        \Delta p = \frac{\rho}{2}\left(\frac{Q}{C_d A}\right)^2
        + \frac{\mu Q}{r^3}\left(3 + \frac{8 l}{\pi r}\right)

    The first term is Torricelli's law with a discharge coefficient; ``bore`` of the pipe before the
    hole adds the approach factor :math:`1-\beta^4`. The second, for a liquid with ``viscosity``
    at the nozzle's rate of shear and a hole of length ``land``, is the slow flow of Sampson (1891)
    and Dagan, Weinbaum and Pfeffer (1982); adding the two limits is a choice of ours, good to about
    10 % between them. Source of the first: Coulson and Richardson, Chemical Engineering vol. 1,
    6th ed., example 6.1; of the second: from memory. No published coefficient for airless nozzles
    was found: calibrate with a bucket and a watch.

    >>> round(float(orifice_flow(200e5, 0.533e-3, density=1200.0)) * 60000, 2)
    2.08
    """
    drop = np.maximum(np.asarray(pressure, dtype=float), 0.0)
    a = _inertia(orifice, density, discharge_coefficient, bore)
    b = _creep(orifice, viscosity, land)
    root = np.sqrt(b**2 + 4.0 * a * drop)
    return np.asarray(np.where(drop > 0, 2.0 * drop / np.maximum(b + root, 1e-300), 0.0))


def equal_orifice(
    flow: float, pressure: float, *, density: KgPerM3, discharge_coefficient: Ratio = 0.85
) -> M:
    r"""Diameter of the round hole of equal flow: sizes a nozzle, or a worn one from the bucket.

    .. math:: d = \sqrt{\frac{4 Q}{\pi C_d}\sqrt{\frac{\rho}{2\Delta p}}}

    Valid for flow, pressure and density above zero, thin liquids (no viscous term).

    Source: as :func:`orifice_flow`.

    >>> round(equal_orifice(3.469e-5, 200e5, density=1200.0) * 1000, 3)
    0.533
    """
    area = flow / discharge_coefficient * np.sqrt(density / (2.0 * pressure))
    return float(np.sqrt(4.0 * area / np.pi))


def wear_growth(flow_now: float, flow_new: float) -> Ratio:
    r"""Growth of the equal hole's diameter since new, at one pressure.

    .. math:: d/d_0 - 1 = \sqrt{Q/Q_0} - 1

    Source: :func:`equal_orifice` at one pressure.

    >>> round(wear_growth(1.21, 1.0), 3)
    0.1
    """
    return float(np.sqrt(flow_now / flow_new)) - 1.0


def pressure_after_wear(growth: Ratio) -> Ratio:
    r"""Pressure left of what it was when the hole has grown and the pump gives the same flow.

    .. math:: p/p_0=(1+g)^{-4}

    ``growth`` of the equal hole's diameter. A fifth more hole leaves half the pressure.

    Source: :func:`equal_orifice` at one flow.

    >>> round(pressure_after_wear(0.2), 3)
    0.482
    """
    return math.pow(1.0 + growth, -4.0)


def jet_speed(pressure: float, density: KgPerM3) -> MPerS:
    r"""Speed of the jet, without losses: far above what goes through skin.

    .. math:: V = \sqrt{2\Delta p/\rho}

    Source: Torricelli's law.

    >>> round(jet_speed(200e5, 1200.0))
    183
    """
    return float(np.sqrt(2.0 * pressure / density))


def nozzle_shear_rate(flow: float, orifice: M) -> float:
    r"""Nominal rate of shear in the nozzle, 1/s, at which its liquid's viscosity is to be taken.

    .. math:: \dot\gamma = \frac{32\,Q}{\pi d^3}

    Source: definition of the nominal rate, 8V/D.

    >>> round(nozzle_shear_rate(3.469e-5, 0.533e-3), -4)
    2330000.0
    """
    return float(32.0 * flow / (np.pi * orifice**3))
