"""The Bingham law: stands still below its yield stress, then flows with one plastic viscosity."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.liquid import Array, Liquid
from wetend.roots import zero_between
from wetend.units.quantity import KgPerM3, PaLow, PaS

_NO_LIMIT = "The end of laminar flow can't be told for this liquid."


def bingham(yield_stress: PaLow, plastic_viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A Bingham liquid.

    Source: E. C. Bingham, *Fluidity and Plasticity* (1922), from memory.

    Raises:
        BadInput: the plastic viscosity or the density is not positive, or the stress is negative.

    >>> bingham(6.0, 0.18, 2650.0).yield_stress
    6.0
    """
    return Liquid("bingham", density, yield_stress, plastic_viscosity, 1.0)


def nominal_rate(wall_stress: ArrayLike, yield_stress: PaLow, plastic_viscosity: PaS) -> Array:
    r"""Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    .. math::
        \frac{8V}{D} = \frac{\tau_w}{\mu_p}\left(1 - \tfrac43\phi + \tfrac13\phi^4\right),
        \qquad \phi = \tau_y/\tau_w

    Zero below the yield stress. Valid for steady, fully developed laminar flow (Buckingham and
    Reiner). Source: R. P. Chhabra and J. F. Richardson, Non-Newtonian Flow and Applied Rheology,
    section 3.2.3, from memory.

    >>> round(float(nominal_rate(31.960, yield_stress=15.0, plastic_viscosity=0.15)), 3)
    83.179
    """
    stress = np.asarray(wall_stress, dtype=float)
    phi = np.minimum(yield_stress / np.maximum(stress, np.finfo(float).tiny), 1.0)
    # (1-phi)^2 (3 + 2 phi + phi^2)/3 is the same polynomial without its cancellation near phi=1
    return np.asarray(
        stress / plastic_viscosity * (1.0 - phi) ** 2 * (3.0 + 2.0 * phi + phi**2) / 3.0
    )


def hedstrom(liquid: Liquid, bore: float) -> float:
    r"""Hedstrom number of a Bingham liquid in a round bore.

    .. math:: He = \rho\,\tau_y D^2/\mu_p^2

    Source: N. de Nevers, Fluid Mechanics for Chemical Engineers, 3rd ed. 2004, ex. 13.5, as
    transcribed in the FOSSEE Python Textbook Companions.

    >>> round(hedstrom(bingham(3.8, 0.00686, 1530.0), bore=0.0206))
    52428
    """
    return liquid.density * liquid.yield_stress * bore**2 / liquid.consistency**2


def hanks_critical(hedstrom_number: float) -> float:
    r"""Reynolds number (of the plastic viscosity) at which laminar flow of a Bingham liquid ends.

    .. math::
        \frac{\phi}{(1-\phi)^3} = \frac{He}{16800}, \qquad
        Re_c = \frac{He}{8\phi}\left(1 - \tfrac43\phi + \tfrac13\phi^4\right)

    Source: R. W. Hanks, AIChE Journal 9 (1963) 306, from memory.

    >>> round(hanks_critical(4.7347e5), -1)
    11750.0
    """
    if hedstrom_number <= 0:
        return 2100.0
    share = hedstrom_number / 16800.0
    phi = zero_between(lambda x: x - share * (1.0 - x) ** 3, 0.0, 1.0, xtol=1e-15, why=_NO_LIMIT)
    # He/phi = 16800/(1-phi)^3, which keeps its figures when phi is small
    polynomial = (3.0 + 2.0 * phi + phi**2) / 3.0
    return 16800.0 / (8.0 * (1.0 - phi)) * polynomial


def darby_melson(reynolds: ArrayLike, hedstrom_number: float, laminar: ArrayLike) -> Array:
    r"""Fanning friction factor of a Bingham liquid in a smooth bore, laminar to turbulent.

    .. math::
        f_T = 10^{a} Re^{-0.193}, \quad a = -1.47\,[1 + 0.146\,e^{-2.9\times10^{-5} He}], \quad
        f = (f_L^m + f_T^m)^{1/m}, \quad m = 1.7 + 40000/Re

    ``reynolds`` is that of the plastic viscosity, ``laminar`` the exact laminar factor. Fitted for
    ``He > 1000``; below that it is far under the newtonian law. Source: R. Darby and J. Melson,
    Chemical Engineering, 28 December 1981, p. 59, from memory, with the constants of R. Darby,
    Chemical Engineering Fluid Mechanics, 2nd ed. 2001, as given in a public script that cites it.

    >>> round(float(darby_melson(37973.0, 1.25806e6, 0.00256478)) * 4, 5)
    0.01905
    """
    re = np.maximum(np.asarray(reynolds, dtype=float), 1.0)
    low = np.asarray(laminar, dtype=float)
    a = -1.47 * (1.0 + 0.146 * np.exp(-2.9e-5 * hedstrom_number))
    turbulent = 10.0**a * re**-0.193
    m = 1.7 + 40000.0 / re
    large, small = np.maximum(low, turbulent), np.minimum(low, turbulent)
    return np.asarray(large * (1.0 + (small / large) ** m) ** (1.0 / m))
