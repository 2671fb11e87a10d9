"""Thin slits in coatings that are not Newtonian: leaks of any flow law.

A slit stands for every thin leak: an annular gap opened out flat, a chip across a seat, worn
packings. :mod:`wetend.physics.leakage` takes the Newtonian viscosity that :func:`slit_viscosity`
gives for the pressure at hand.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput
from wetend.physics.rheology.flow import slit_rate
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.roots import zero_between
from wetend.units.message import Message
from wetend.units.quantity import M, M3PerS, Pa, Ratio

_NO_LEAK = Message("No leak can be computed at this pressure.")


def wall_stress(gap: ArrayLike, *, length: M, pressure: ArrayLike) -> Array:
    r"""Shear stress at the walls of a slit.

    .. math:: \tau_w=\frac{p\,h}{2L}

    From the balance of forces on the liquid, whatever its law.

    Source: statics.

    >>> float(wall_stress(60e-6, length=0.022, pressure=2e7))
    27272.7
    """
    return np.asarray(np.asarray(pressure, dtype=float) * np.asarray(gap) / (2 * length))


def slit_flow(
    liquid: Liquid, gap: ArrayLike, *, breadth: M, length: M, pressure: ArrayLike
) -> Array:
    r"""Leak through a slit of height ``gap``, ``breadth`` across the flow and ``length`` along it.

    .. math:: Q=\frac{w h^2}{2}\,\frac{1}{\tau_w^2}\int_{\tau_y}^{\tau_w}\tau\,
              \dot\gamma(\tau)\,d\tau

    in closed form where the law has one. Zero where the wall stress does not reach the yield
    stress. Steady, fully developed, laminar; gap thin against the breadth. Source: R. P. Chhabra
    and J. F. Richardson, *Non-Newtonian Flow and Applied Rheology*, section 3.6 (from memory);
    checked against integration.

    >>> zinc = Liquid("power-law", 2600.0, 0.0, 8.0, 0.5)
    >>> float(slit_flow(zinc, 60e-6, breadth=0.1194, length=0.022, pressure=2e6) * 6e7)
    374.67
    """
    h = np.asarray(gap, dtype=float)
    wall = wall_stress(h, length=length, pressure=pressure)
    return np.asarray(breadth * h**2 / 2 * slit_rate(wall, liquid))


def slit_viscosity(liquid: Liquid, gap: ArrayLike, *, length: M, pressure: ArrayLike) -> Array:
    r"""Viscosity of the Newtonian liquid that leaks as much through the same slit.

    .. math:: \mu=\frac{w h^3 p}{12 L Q}=\frac{w h^2\tau_w}{6Q}

    Unlimited where the coating does not move. Validity and source as :func:`slit_flow`.

    >>> float(slit_viscosity(Liquid("newtonian", 1300.0, 0.0, 0.4, 1.0), 60e-6, length=0.022,
    ...                      pressure=2e7))
    0.4
    """
    h = np.asarray(gap, dtype=float)
    wall = wall_stress(h, length=length, pressure=pressure)
    flow = slit_flow(liquid, h, breadth=1.0, length=length, pressure=pressure)
    moves = flow > 0
    return np.asarray(np.where(moves, h**2 * wall / (6 * np.where(moves, flow, 1.0)), np.inf))


def annulus_leak(
    liquid: Liquid,
    diameter: M,
    clearance: M,
    *,
    length: M,
    pressure: float,
    eccentricity: Ratio = 0.0,
) -> M3PerS:
    r"""Leak of a liquid of any law through a thin annular gap, concentric or not.

    .. math:: Q=\frac{D}{2}\int_0^{2\pi}q\bigl(c\,(1+\varepsilon\cos\theta)\bigr)\,d\theta

    :math:`q` is :func:`slit_flow` per breadth: each slice of the ring is a slit of its own, so that
    a coating with a yield stress may stand still on the narrow side and run on the wide one. Thin
    gap (c/D below about 0.05), laminar, pressure falling evenly along. For a newtonian liquid it is
    the 1 + 1.5 e^2 of :func:`wetend.physics.leakage.eccentric_factor`. Source: lubrication theory.

    Raises:
        BadInput: the eccentricity is not between 0 and 1.

    >>> zinc = Liquid("power-law", 2600.0, 0.0, 8.0, 0.5)
    >>> round(annulus_leak(zinc, 0.038, 60e-6, length=0.022, pressure=2e6) * 6e7, 2)
    374.61
    >>> round(annulus_leak(zinc, 0.038, 60e-6, length=0.022, pressure=2e6, eccentricity=1.0) * 6e7)
    1639
    """
    if not 0 <= eccentricity <= 1:
        raise BadInput(Message("Eccentricity is offset over clearance, between zero and one."))
    # half a turn, by Gauss's rule on the part that flows: the integrand is smooth there
    still = 2.0 * length * liquid.yield_stress / pressure if pressure > 0 else math.inf
    if clearance * (1.0 + eccentricity) <= still:
        return 0.0
    edge = (still / clearance - 1.0) / eccentricity if eccentricity > 0 else -1.0
    last = math.acos(min(max(edge, -1.0), 1.0))
    points, weights = np.polynomial.legendre.leggauss(64)
    angle = 0.5 * last * (points + 1.0)
    gaps = clearance * (1.0 + eccentricity * np.cos(angle))
    slices = slit_flow(liquid, gaps, breadth=diameter, length=length, pressure=pressure)
    return float(0.5 * last * np.sum(weights * slices))


def short_slit_leak(
    liquid: Liquid, gap: M, *, breadth: M, length: M, pressure: Pa, losses: float = 1.5
) -> M3PerS:
    r"""Leak of any law across a short slit, as a chip or a groove in a seat: drag and ends.

    .. math:: p=p_{slit}(Q)+\frac{K\rho}{2}\left(\frac{Q}{w h}\right)^2

    :math:`p_{slit}` is :func:`slit_flow` turned round, ``losses`` K velocity heads at entry and
    exit, half and one. Drag rules in thick coatings, the ends in thin ones. For a newtonian liquid
    it is the flow through :func:`wetend.physics.leakage.seat_gap`. Source: as those.

    >>> zinc = Liquid("power-law", 2600.0, 0.0, 8.0, 0.5)
    >>> round(short_slit_leak(zinc, 60e-6, breadth=2e-3, length=1e-3, pressure=2e7) * 6e7)
    711
    """
    if pressure <= 0 or gap <= 0:
        return 0.0
    ends = losses * liquid.density / (2.0 * (breadth * gap) ** 2)

    def flow_at(drag: float) -> float:
        return float(slit_flow(liquid, gap, breadth=breadth, length=length, pressure=drag))

    def surplus(drag: float) -> float:
        flow = flow_at(drag)
        return 1.0 if not math.isfinite(flow) else (drag + ends * flow * flow) / pressure - 1.0

    if surplus(pressure) <= 0:
        return flow_at(pressure)
    # the part of the pressure that drag takes may be minute in a thin liquid: sought by its power
    low = pressure * 1e-30
    found = zero_between(
        lambda u: surplus(math.exp(u)), math.log(low), math.log(pressure), xtol=1e-13, why=_NO_LEAK
    )
    drag = math.exp(found)
    return math.sqrt(max(pressure - drag, 0.0) / ends) if drag < 0.5 * pressure else flow_at(drag)
