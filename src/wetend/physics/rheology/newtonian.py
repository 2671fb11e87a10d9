"""The newtonian law: one viscosity at every rate of shear."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import KgPerM3, PaS


def newtonian(viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A newtonian liquid.

    Source: Newton's law of viscosity.

    Raises:
        BadInput: the viscosity or the density is not positive.

    >>> newtonian(0.28, 1180.0).consistency
    0.28
    """
    return Liquid("newtonian", density, 0.0, viscosity, 1.0)


def nominal_rate(wall_stress: ArrayLike, viscosity: PaS) -> Array:
    r"""Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    .. math:: \frac{8V}{D} = \frac{4Q}{\pi R^3} = \frac{\tau_w}{\mu}

    Valid for steady, fully developed laminar flow (Hagen and Poiseuille). Source: F. M. White,
    Fluid Mechanics, chapter 6, from memory.

    >>> float(nominal_rate(50.0, viscosity=0.5))
    100.0
    """
    return np.asarray(np.asarray(wall_stress, dtype=float) / viscosity)
