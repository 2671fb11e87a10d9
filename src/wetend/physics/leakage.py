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
from wetend.units.quantity import KgPerM3, M, M3PerS, MFine, Pa, PaS, PerS, Ratio

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

    Validity and source as :func:`annulus_flow`.

    >>> annulus_conductance(0.025, 5e-6, 0.015)
    5.454e-17
    """
    return math.pi * diameter * clearance**3 / (12 * length) * eccentric_factor(eccentricity)


def annulus_flow(
    diameter: M,
    clearance: MFine,
    *,
    length: M,
    pressure: Pa,
    viscosity: PaS,
    eccentricity: Ratio = 0.0,
) -> M3PerS:
    r"""Leak through the annular gap between a piston and its bore.

    .. math:: Q=\frac{\pi D c^3\,\Delta p}{12\,\mu L}\left(1+\tfrac32\varepsilon^2\right)

    ``clearance`` is radial. Valid for laminar, fully developed flow of a Newtonian liquid and a gap
    that is thin against the diameter (c/D below about 0.05) and short against its length.
    Source: Fox and McDonald, *Introduction to Fluid Mechanics*, 5th ed., example 8.1 (concentric);
    Merritt, *Hydraulic Control Systems* (1967), for the eccentric factor (from memory).

    >>> annulus_flow(0.025, 5e-6, length=0.015, pressure=19e6, viscosity=0.018) * 1e9
    57.57
    """
    conductance = annulus_conductance(diameter, clearance, length, eccentricity=eccentricity)
    return conductance * pressure / viscosity


def annulus_clearance(
    flow: M3PerS, diameter: M, *, length: M, pressure: Pa, viscosity: PaS, eccentricity: Ratio = 0.0
) -> MFine:
    """Radial clearance that would pass a given leak: :func:`annulus_flow` turned round.

    Source: as :func:`annulus_flow`.

    >>> annulus_clearance(57.5716e-9, 0.025, length=0.015, pressure=19e6, viscosity=0.018) * 1e6
    5.0
    """
    spread = math.pi * diameter * eccentric_factor(eccentricity)
    return float((12 * viscosity * length * flow / (spread * pressure)) ** (1 / 3))


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


def gap_reynolds(flow: M3PerS, width: M, *, density: KgPerM3, viscosity: PaS) -> float:
    r"""Reynolds number of a thin gap on its hydraulic diameter, :math:`2\rho Q/(w\mu)`.

    Laminar below about 2000.

    Source: definition, hydraulic diameter 2c.

    >>> gap_reynolds(57.57e-9, math.pi * 0.025, density=880.0, viscosity=0.018)
    0.0717
    """
    return 2 * density * flow / (width * viscosity)


def channel_flow(channel: Channel, *, length: M, pressure: Pa, viscosity: PaS) -> M3PerS:
    r"""Leak along a score or groove.

    .. math:: Q=\frac{2D_h^2 A\,\Delta p}{(f\,Re)\,\mu L}

    Valid for laminar, fully developed flow of a Newtonian liquid (Re below about 2000).
    Source: Shah and London, *Laminar Flow Forced Convection in Ducts* (1978), for f Re.

    >>> from wetend.physics.channels import triangle
    >>> channel_flow(triangle(40e-6, 2e-4), length=0.022, pressure=2e7, viscosity=0.5) * 6e7
    0.02594
    """
    return channel.conductance * pressure / (viscosity * length)


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


def side_by_side(*conductances: float) -> float:
    """Laminar conductances of leaks that share the same pressures, added up.

    Source: conservation of volume.

    >>> side_by_side(1.0, 2.0)
    3.0
    """
    return math.fsum(conductances)


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


@overload
def passage_flow(passage: Passage, pressure: Pa, *, viscosity: PaS, density: KgPerM3) -> M3PerS: ...
@overload
def passage_flow(
    passage: Passage, pressure: Floats, *, viscosity: PaS | Floats, density: KgPerM3
) -> Floats: ...
@overload
def passage_flow(
    passage: Passage, pressure: Pa, *, viscosity: Floats, density: KgPerM3
) -> Floats: ...


def passage_flow(
    passage: Passage, pressure: Pa | Floats, *, viscosity: PaS | Floats, density: KgPerM3
) -> M3PerS | Floats:
    """Leak through a passage, by :func:`series_flow`.

    Laminar to turbulent alike while end losses govern the fast end; drag of a turbulent land is not
    counted, so a long turbulent gap passes a little less than this.

    Source: as :func:`seat_gap`.

    >>> chip = seat_gap(60e-6, 2e-3, 1e-3)
    >>> passage_flow(chip, 2e7, viscosity=0.5, density=1350.0) * 6e7
    85.78
    """
    laminar = passage.drag * np.asarray(viscosity, dtype=np.float64)
    flow = series_flow(np.asarray(pressure, dtype=np.float64), laminar, passage.head * density)
    return float(flow) if np.ndim(flow) == 0 else flow
