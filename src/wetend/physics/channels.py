"""Straight channels of other than round section: scores, grooves and slots, laminar, any flow law.

A section is described by its area, its wetted edge, its Poiseuille number and how much faster than
the mean its middle runs. The first three give the flow of a newtonian liquid exactly; all four give
the two numbers of Kozicki, by which a coating of any law is reckoned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.flow import moment
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import M, MFine, Rad, Ratio


@dataclass(frozen=True)
class Channel:
    """A straight channel's cross-section: its area, wetted edge and Poiseuille number.

    ``poiseuille`` is Darcy friction factor times Reynolds number on the hydraulic diameter;
    ``peak`` is the greatest speed over the mean, of a newtonian liquid.
    """

    area: float
    edge: M
    poiseuille: float
    peak: Ratio = 2.0

    @property
    def hydraulic_diameter(self) -> M:
        """Four times the area over the wetted edge."""
        return 4 * self.area / self.edge

    @property
    def conductance(self) -> float:
        r"""Flow times viscosity times length over pressure, :math:`2D_h^2A/(f\,Re)`, m\ :sup:`4`.

        From :math:`\Delta p=f\frac{L}{D_h}\frac{\rho v^2}{2}` with :math:`D_h=4A/P`.
        """
        return 2 * self.hydraulic_diameter**2 * self.area / self.poiseuille

    @property
    def kozicki(self) -> tuple[float, float]:
        r"""The two numbers a and b of :func:`liquid_flow`.

        .. math:: a+b=\frac{(f\,Re)_{Darcy}}{64},\qquad a=\frac{a+b}{2\,u_{max}/\bar u}

        1/4 and 3/4 for a round bore, 1/2 and 1 for a slit.
        """
        both = self.poiseuille / 64
        first = both / (2 * self.peak)
        return first, both - first


def liquid_flow(channel: Channel, liquid: Liquid, *, length: M, pressure: ArrayLike) -> Array:
    r"""Flow of a liquid of any law along a channel of any section.

    .. math::
        \frac{8\bar u}{D_h}=\frac{1}{a\,\bar\tau^{\,b/a}}
        \int_{\tau_y}^{\bar\tau}\tau^{b/a-1}\,\dot\gamma(\tau)\,d\tau,
        \qquad \bar\tau=\frac{p\,D_h}{4L}

    Zero below the yield stress. Laminar, fully developed. Exact for a newtonian liquid in any
    section and for any law in a round bore or a slit; elsewhere low: in a square by 3 % of the
    flow at n = 0.7 and 7 % at n = 0.5, in a shallow V by 12 and 29 %, against finite elements; see
    :mod:`wetend.physics.scored` for the whole truth. Source: W. Kozicki, C. H.
    Chou and C. Tiu, Chemical Engineering Science 21 (1966) 665, from memory; that a follows from
    the peak speed is our reading of it, true for bore, slit and square.

    >>> liquid = Liquid("power-law", 1400.0, 0.0, 3.2, 0.72)
    >>> float(liquid_flow(rectangle(60e-6, 2e-3), liquid, length=0.022, pressure=1e7)) * 6e7
    6.809
    """
    a, b = channel.kozicki
    wall = np.asarray(pressure, dtype=float) * channel.hydraulic_diameter / (4 * length)
    rate = moment(wall, liquid, b / a) / a
    return np.asarray(rate * channel.hydraulic_diameter * channel.area / 8)


def rectangle_poiseuille(aspect: Ratio) -> float:
    r"""Darcy f Re of a rectangular channel; ``aspect`` short side over long side, 0 to 1.

    .. math:: f\,Re=\frac{96}{(1+a)^2\left[1-\frac{192a}{\pi^5}\sum_{n\,odd}
              \frac{\tanh(n\pi/2a)}{n^5}\right]}

    Laminar, fully developed; exact. Source: Shah and London, *Laminar Flow Forced Convection in
    Ducts* (1978), chapter VII (form of the series from memory).

    >>> rectangle_poiseuille(1.0), rectangle_poiseuille(0.5)
    (56.908, 62.192)
    """
    if aspect <= 0:
        return 96.0
    terms = (math.tanh(n * math.pi / (2 * aspect)) / n**5 for n in range(1, 60, 2))
    series = 1 - 192 * aspect / math.pi**5 * sum(terms)
    return 96 / ((1 + aspect) ** 2 * series)


def rectangle_peak(aspect: Ratio) -> Ratio:
    r"""Greatest over mean speed in a rectangular channel; ``aspect`` short over long side, 0 to 1.

    .. math:: \frac{u_{max}}{\bar u}=\frac{f\,Re\,(1+a)^2}{2\,\pi^3}
              \sum_{n\,odd}\frac{(-1)^{(n-1)/2}}{n^3}
              \left[1-\frac{1}{\cosh(n\pi/2a)}\right]

    3/2 between two plates, 2.096 in a square. Exact. Source: F. M. White, *Viscous Fluid Flow*,
    eq. 3-48 (from memory).

    >>> rectangle_peak(1.0), rectangle_peak(0.0)
    (2.0963, 1.5)
    """
    if aspect <= 0:
        return 1.5
    total = 0.0
    for i, n in enumerate(range(1, 60, 2)):
        away = n * math.pi / (2 * aspect)
        far = 1.0 - (1.0 / math.cosh(away) if away < 700 else 0.0)
        total += (-1) ** i * far / n**3
    return rectangle_poiseuille(aspect) * (1 + aspect) ** 2 * total / (2 * math.pi**3)


def rectangle(depth: MFine, width: M) -> Channel:
    """A rectangular groove under a flat cover.

    By :func:`rectangle_poiseuille` and :func:`rectangle_peak`. Source: those two.

    >>> rectangle(1e-4, 1e-4).conductance
    3.514e-18
    """
    short, long = sorted((depth, width))
    aspect = short / long
    return Channel(
        short * long, 2 * (short + long), rectangle_poiseuille(aspect), rectangle_peak(aspect)
    )


_TRIANGLE_PEAK = np.array([3, 2.669, 2.530, 2.367, 2.289, 2.248, 2.229, 2.222, 2.227, 2.241, 2.264,
                           2.293, 2.332, 2.379, 2.436, 2.506, 2.592, 2.697, 2.829, 3])  # fmt: skip


_TRIANGLE_APEX = np.radians([0, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140,
                             150, 160, 170, 180])  # fmt: skip
_TRIANGLE_POISEUILLE = np.array([48, 49.018, 49.897, 51.288, 52.262, 52.889, 53.229, 53.333, 53.242,
                                 52.991, 52.610, 52.127, 51.567, 50.954, 50.314, 49.674, 49.069,
                                 48.543, 48.157, 48])  # fmt: skip


def triangle_poiseuille(apex: Rad) -> float:
    """Darcy f Re of an isosceles triangle from its apex angle, 0 to pi.

    Our own finite-element solutions of the duct equation (quadratic elements, extrapolated), read
    between by straight lines, within 0.1 %. They agree with the published values: 160/3 for the
    equilateral triangle and Shah and London, *Laminar Flow Forced Convection in Ducts* (1978), for
    others (from memory).

    >>> triangle_poiseuille(math.pi / 3)
    53.333
    """
    return float(np.interp(apex, _TRIANGLE_APEX, _TRIANGLE_POISEUILLE))


def triangle(depth: MFine, width: M) -> Channel:
    """A V-shaped score of so much depth and so much width at the surface, under a flat cover.

    Source: :func:`triangle_poiseuille`.

    >>> side = 1e-4
    >>> triangle(side * math.sqrt(3) / 2, side).conductance / side**4 * 320 / math.sqrt(3)
    1.0
    """
    apex = 2 * math.atan2(width / 2, depth)
    edge = width + 2 * math.hypot(width / 2, depth)
    peak = float(np.interp(apex, _TRIANGLE_APEX, _TRIANGLE_PEAK))
    return Channel(depth * width / 2, edge, triangle_poiseuille(apex), peak)
