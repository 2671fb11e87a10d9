"""What gets past: annular gaps, score channels, worn packings, damaged seats.

Laminar laws give a flow in proportion to pressure over viscosity. Short passages, as across a seat,
lose head at entry and exit too, so that pressure is :math:`p=aQ+bQ^2`; see :class:`Passage`.
Pressures, flows and viscosities may be NumPy arrays throughout.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from wetend.physics.channels import Channel
from wetend.units.quantity import M, M3PerS, MFine, Pa, PerS, Ratio

Floats = NDArray[np.float64]
ENTRY_AND_EXIT = 1.5
"""Velocity heads lost in a short passage: half at a sharp entry, one at the exit (Borda)."""


def eccentric_factor(eccentricity: Ratio) -> float:
    r"""How much more a gap lets through when its parts stand out of centre.

    .. math:: 1+\tfrac32\varepsilon^2

    :math:`\varepsilon` is offset over radial clearance, 0 to 1. Thin gap, laminar. Source: Merritt,
    *Hydraulic Control Systems* (1967), section 3-2 (from memory).

    >>> eccentric_factor(1.0)
    2.5
    """
    return 1.0 + 1.5 * eccentricity**2


def annulus_conductance(
    diameter: M, clearance: MFine, length: M, *, eccentricity: Ratio = 0.0
) -> float:
    r"""Flow times viscosity over pressure through a thin annular gap, in m\ :sup:`3`.

    .. math:: G=\frac{\pi D c^3}{12 L}\left(1+\tfrac32\varepsilon^2\right)

    Valid for laminar, fully developed flow of a Newtonian liquid and a gap that is thin against the
    diameter (c/D below about 0.05) and short against its length; ``clearance`` is radial.
    Source: Fox and McDonald, *Introduction to Fluid Mechanics*, 5th ed., example 8.1 (concentric);
    Merritt, *Hydraulic Control Systems* (1967), for the eccentric factor (from memory).

    >>> annulus_conductance(0.025, 5e-6, 0.015)
    5.454e-17
    """
    return math.pi * diameter * clearance**3 / (12 * length) * eccentric_factor(eccentricity)


def gap_shear_rate(flow: M3PerS, width: M, gap: MFine) -> PerS:
    r"""Shear rate at the wall of a thin gap.

    .. math:: \dot\gamma_w=\frac{6Q}{w c^2}

    The rate at which to take a coating's apparent viscosity. ``width`` is the gap's breadth across
    the flow, :math:`\pi D` for an annulus. Plane Poiseuille flow, Newtonian.

    Source: F. M. White, *Viscous Fluid Flow* (from memory).

    >>> gap_shear_rate(57.57e-9, math.pi * 0.025, 5e-6)
    175921.0
    """
    return 6 * flow / (width * gap**2)


@dataclass(frozen=True)
class Passage:
    """A leak path with drag along it and head lost at its ends: :math:`p=aQ+bQ^2`.

    ``drag`` is a over viscosity, in m\\ :sup:`-3`; ``head`` is b over density, in
    m\\ :sup:`-4`.
    """

    drag: float
    head: float = 0.0


def seat_gap(gap: MFine, breadth: M, length: M, *, losses: float = ENTRY_AND_EXIT) -> Passage:
    r"""A thin gap across a seat: chip, groove, or a ball held off by grit.

    .. math:: \Delta p=\frac{12\mu L}{w h^3}Q+\frac{K\rho}{2(wh)^2}Q^2

    ``gap`` is its height, ``breadth`` its extent round the seat, ``length`` the way across the
    sealing band. Parallel plates; a short sharp gap behaves as an orifice with a discharge
    coefficient of :math:`1/\sqrt K` = 0.82. Source: plane Poiseuille flow with Borda's entry and
    exit losses in series; common practice for orifices with a land.

    >>> seat_gap(60e-6, 2e-3, 1e-3).drag
    2.778e13
    """
    return Passage(12 * length / (breadth * gap**3), losses / (2 * (breadth * gap) ** 2))


def channel_passage(channel: Channel, length: M, *, losses: float = ENTRY_AND_EXIT) -> Passage:
    """A score channel as a passage, with entry and exit losses.

    Source: as :func:`seat_gap`.

    >>> from wetend.physics.channels import rectangle
    >>> channel_passage(rectangle(60e-6, 2e-3), 1e-3).drag
    2.831e13
    """
    return Passage(length / channel.conductance, losses / (2 * channel.area**2))


def annulus_passage(
    diameter: M, clearance: MFine, length: M, *, eccentricity: Ratio = 0.0,
    losses: float = ENTRY_AND_EXIT,
) -> Passage:  # fmt: skip
    """An annular gap as a passage: worn packings are one, of their gap over their height.

    Source: as :func:`seat_gap`.

    >>> annulus_passage(0.038, 60e-6, 0.022).drag
    1.024e13
    """
    conductance = annulus_conductance(diameter, clearance, length, eccentricity=eccentricity)
    return Passage(1 / conductance, losses / (2 * (math.pi * diameter * clearance) ** 2))


@overload
def series_flow(pressure: Pa, laminar: float, inertial: float) -> M3PerS: ...
@overload
def series_flow(pressure: Floats, laminar: float | Floats, inertial: float | Floats) -> Floats: ...
@overload
def series_flow(pressure: Pa, laminar: Floats, inertial: float | Floats) -> Floats: ...


def series_flow(
    pressure: Pa | Floats, laminar: float | Floats, inertial: float | Floats
) -> M3PerS | Floats:
    r"""Flow through laminar and inertial resistances in series.

    .. math:: Q=\frac{2p}{a+\sqrt{a^2+4b|p|}}\quad\text{from}\quad p=aQ+bQ|Q|

    Flow has the pressure's sign. Either resistance may be zero, not both. The form keeps its
    digits where one of them is small.

    Source: the quadratic solved.

    >>> series_flow(2.0, 1.0, 1.0), series_flow(-2.0, 1.0, 1.0), series_flow(6.0, 2.0, 0.0)
    (1.0, -1.0, 3.0)
    """
    root = np.sqrt(np.square(laminar) + 4 * np.asarray(inertial) * np.abs(pressure))
    flow = 2 * np.asarray(pressure) / (laminar + root)
    return float(flow) if np.ndim(flow) == 0 else np.asarray(flow, dtype=np.float64)
