"""The power law (Ostwald and de Waele): thins, or thickens, with the rate of shear."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import KgPerM3, PaSN, Ratio


def power_law(consistency: PaSN, index: Ratio, density: KgPerM3 = 1000.0) -> Liquid:
    """A power-law liquid.

    Source: Ostwald, Kolloid-Zeitschrift 36 (1925) 99, from memory.

    Raises:
        BadInput: the consistency, the index or the density is not positive.

    >>> power_law(3.2, 0.72, 1420.0).law
    'power-law'
    """
    return Liquid("power-law", density, 0.0, consistency, index)


def nominal_rate(wall_stress: ArrayLike, consistency: PaSN, index: Ratio) -> Array:
    r"""Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    .. math:: \frac{8V}{D} = \frac{4n}{3n+1}\left(\frac{\tau_w}{K}\right)^{1/n}

    Valid for steady, fully developed laminar flow. Source: R. P. Chhabra and J. F. Richardson,
    Non-Newtonian Flow and Applied Rheology, section 3.2.1, from memory.

    >>> round(float(nominal_rate(20.0, consistency=2.0, index=0.5)), 6)
    80.0
    """
    stress = np.asarray(wall_stress, dtype=float)
    return np.asarray(4.0 * index / (3.0 * index + 1.0) * (stress / consistency) ** (1.0 / index))


def metzner_reed(liquid: Liquid, speed: ArrayLike, bore: float) -> Array:
    r"""Reynolds number of Metzner and Reed for a power-law liquid.

    .. math:: Re = \frac{8\,\rho\,V^{2-n} D^n}{K\,[2(3n+1)/n]^n}

    so that the Fanning friction factor in laminar flow is :math:`16/Re`. The liquid's yield stress
    is not looked at. Source: A. B. Metzner and J. C. Reed, AIChE Journal 1 (1955) 434, from
    memory; same form in N. de Nevers, Fluid Mechanics for Chemical Engineers, 3rd ed., ex. 13.3.

    >>> round(float(metzner_reed(power_law(0.66, 0.41), 0.305, bore=0.152)), 2)
    318.53
    """
    n = liquid.index
    v = np.asarray(speed, dtype=float)
    top = 8.0 * liquid.density * v ** (2.0 - n) * bore**n
    return np.asarray(top / (liquid.consistency * (2.0 * (3.0 * n + 1.0) / n) ** n))
