"""The Bingham law: stands still below its yield stress, then flows with one plastic viscosity."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import KgPerM3, PaLow, PaS


def bingham(yield_stress: PaLow, plastic_viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A Bingham liquid.

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

    Nought below the yield stress. Valid for steady, fully developed laminar flow (Buckingham and
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
