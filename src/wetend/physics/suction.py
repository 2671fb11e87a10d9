"""The suction side: pressure left at the foot valve, and what boils or starves."""

from __future__ import annotations

import math

from wetend.units.constants import ATMOSPHERE, GRAVITY
from wetend.units.quantity import KgPerM3, M, MLong, MPerS, Pa, PaLow, PerS, Ratio, S

ACCELERATION_CONSTANT = {
    "simplex single-acting": 0.400, "simplex double-acting": 0.200,
    "duplex single-acting": 0.200, "duplex double-acting": 0.115,
    "triplex": 0.066, "quintuplex": 0.040, "septuplex": 0.028, "nonuplex": 0.022,
}  # fmt: skip
"""C of :func:`acceleration_head`, crank-driven pumps. Hydraulic Institute 6.1-6.5, from memory."""
COMPRESSIBILITY_FACTOR = {
    "water without air": 1.4, "water, amine, glycol": 1.5, "most hydrocarbons": 2.0,
    "hot oil, ethane": 2.5,
}  # fmt: skip
"""k of :func:`acceleration_head`. Hydraulic Institute 6.1-6.5, from memory."""


def atmosphere_at(altitude: MLong) -> Pa:
    r"""Pressure of the standard atmosphere at this height above the sea.

    .. math:: p = 101325\,(1 - 2.25577\times10^{-5} h)^{5.25588}

    Valid to 11,000 m. Source: ISO 2533 standard atmosphere, form from memory.

    >>> round(atmosphere_at(1000.0))
    89875
    """
    return ATMOSPHERE * math.pow(1.0 - 2.25577e-5 * altitude, 5.25588)


def static_head(density: KgPerM3, rise: MLong) -> Pa:
    r"""Pressure to raise a liquid by this height; negative downhill.

    .. math:: \Delta p = \rho g z

    Source: hydrostatics.

    >>> round(static_head(1420.0, 10.0))
    139254
    """
    return density * GRAVITY * rise


def suction_pressure(
    density: KgPerM3,
    lift: MLong,
    *,
    loss: Pa = 0.0,
    acceleration: Pa = 0.0,
    speed: MPerS = 0.0,
    atmospheric: Pa = ATMOSPHERE,
) -> Pa:
    r"""Absolute pressure at the foot valve, Pa.

    .. math:: p = p_a - \rho g z - \Delta p_\mathrm{line} - \Delta p_\mathrm{acc} - \rho V^2/2

    Below zero the column has parted: the liquid can't be lifted so. Source: J. P. Abulencia and
    L. Theodore, Fluid Flow for the Practicing Chemical Engineer, 2009, ex. 22.10, as transcribed in
    the FOSSEE Python Textbook Companions.

    >>> round(suction_pressure(1420.0, 0.5, loss=8000.0))
    86362
    """
    spent = static_head(density, lift) + loss + acceleration + density * speed**2 / 2.0
    return atmospheric - spent


def vapour_margin(pressure: Pa, vapour_pressure: PaLow) -> Pa:
    """Pressure left above the vapour pressure; below zero the liquid boils and the pump starves.

    Source: definition.

    >>> vapour_margin(86362.0, 1098.0)
    85264.0
    """
    return pressure - vapour_pressure


def npsh_available(
    pressure: Pa, vapour_pressure: PaLow, density: KgPerM3, *, speed: MPerS = 0.0
) -> M:
    r"""Net positive suction head available, metres of the liquid.

    .. math:: NPSH = \frac{p - p_v}{\rho g} + \frac{V^2}{2g}

    with the absolute pressure ``p`` and speed at the inlet. Source as :func:`suction_pressure`.

    >>> round(npsh_available(78251.0, 26200.0, 865.0, speed=4.2479), 2)
    7.06
    """
    return (pressure - vapour_pressure) / (density * GRAVITY) + speed**2 / (2.0 * GRAVITY)


def greatest_lift(
    density: KgPerM3,
    vapour_pressure: PaLow,
    *,
    loss: Pa = 0.0,
    acceleration: Pa = 0.0,
    head_needed: M = 0.0,
    atmospheric: Pa = ATMOSPHERE,
) -> MLong:
    r"""Highest the foot valve may stand above the liquid, m; negative: it must stand below.

    ``head_needed`` is the net positive suction head to be left there; where only boiling is to be
    kept off it is the velocity head.

    .. math:: z = \frac{p_a - p_v - \Delta p_\mathrm{line} - \Delta p_\mathrm{acc}}{\rho g}
              - NPSH_R

    Source: B. R. Munson, D. F. Young and T. H. Okiishi, Fundamentals of Fluid Mechanics, 5th ed.,
    ex. 12.3, as transcribed in the FOSSEE Python Textbook Companions.

    >>> round(greatest_lift(1420.0, 1098.0, loss=20000.0), 2)
    5.76
    """
    left = atmospheric - vapour_pressure - loss - acceleration
    return left / (density * GRAVITY) - head_needed


def acceleration_head(
    length: MLong, speed: MPerS, rate: PerS, *, constant: float, factor: float = 2.0
) -> M:
    r"""Head lost to speeding up the liquid in the suction line of a crank-driven pump.

    .. math:: h_a = \frac{L\,V\,N\,C}{k\,g}, \qquad N = 60 f

    ``speed`` is the mean speed in the line, ``rate`` cycles a second; :math:`C` and :math:`k` from
    the tables above. Crank motion only: on an air or hydraulic drive, which turns round in its own
    time, use :func:`reversal_pressure`. Source: Hydraulic Institute 6.1-6.5, from memory.

    >>> round(acceleration_head(6.096, 0.2469, 6.0, constant=0.066, factor=1.4), 3)
    2.605
    """
    return length * speed * 60.0 * rate * constant / (factor * GRAVITY)


def reversal_pressure(
    density: KgPerM3, length: MLong, area_ratio: Ratio, *, speed: MPerS, time: S
) -> Pa:
    r"""Pressure to speed up the suction column when the drive turns round in its own time.

    .. math:: \Delta p = \rho\,L\,\frac{A}{a}\,\frac{v}{t}

    ``speed`` is what the piston reaches in ``time`` after standing. Newton's second law with an
    even acceleration; an uneven one peaks higher.

    Source: Newton's second law.

    >>> round(reversal_pressure(1420.0, 1.6, 2.31, speed=0.1, time=0.05))
    10497
    """
    return density * length * area_ratio * speed / time
