"""The Bingham law: stands still below its yield stress, then flows with one plastic viscosity."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from wetend.physics.rheology.herschel_bulkley import LAW as FAMILY
from wetend.physics.rheology.law import YIELD_STRESS, Parameter
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaLow, PaS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike
else:
    from wetend.lazy_import import numpy as np


def bingham(yield_stress: PaLow, plastic_viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A Bingham liquid.

    Source: E. C. Bingham, *Fluidity and Plasticity* (1922), from memory.

    Raises:
        BadInput: the plastic viscosity or the density is not positive, or the stress is negative.

    >>> bingham(6.0, 0.18, 2650.0).yield_stress
    6.0
    """
    return Liquid("bingham", density, yield_stress, plastic_viscosity, 1.0)


def hedstrom(liquid: Liquid, bore: float) -> float:
    r"""Hedstrom number of a Bingham liquid in a round bore.

    .. math:: He = \rho\,\tau_y D^2/\mu_p^2

    Source: N. de Nevers, Fluid Mechanics for Chemical Engineers, 3rd ed. 2004, ex. 13.5, as
    transcribed in the FOSSEE Python Textbook Companions.

    >>> round(hedstrom(bingham(3.8, 0.00686, 1530.0), bore=0.0206))
    52428
    """
    return liquid.density * liquid.yield_stress * bore**2 / liquid.consistency**2


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


LAW = replace(
    FAMILY, name="bingham", title=Message("Bingham"),
    parameters=(YIELD_STRESS, Parameter("plastic_viscosity", PaS, 1e-7, 1e6, (1e-5, 1000.0))),
    make=bingham, fitted=("yield_stress", "consistency"), plastic_reynolds=True,
    turbulent=("dodge-metzner", "darby-melson"),
)  # fmt: skip
