"""Air in the liquid: what is free at a pressure, what of the stroke it takes, how soft it is."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.physics.rheology.liquid import Array
from wetend.units.constants import ATMOSPHERE
from wetend.units.quantity import Pa, Ratio, Stress

BUNSEN_WATER = 0.019
"""Volumes of air that a volume of water at 20 degC holds dissolved. From memory."""
BUNSEN_SOLVENT = 0.15
"""The same for usual organic solvents; 0.1 to 0.25 is met. From memory."""


def free_air(pressure: ArrayLike, entrained: Ratio, dissolved: Ratio = 0.0) -> Array:
    r"""Volume of free air over that of the liquid at this absolute pressure.

    .. math:: \alpha(p)=\max\left(0,\ \alpha_0+S-S\frac{p}{p_0}\right)\frac{p_0}{p}

    ``entrained`` :math:`\alpha_0` is the free air at one atmosphere, ``dissolved`` S what the
    liquid holds dissolved there, both in volumes at one atmosphere. Below it air
    comes out, above it the free air dissolves, by Henry; free air follows Boyle. Equilibrium: real
    liquids take seconds to dissolve air and less to let it go. Source: Henry's and Boyle's laws.

    >>> float(free_air(101325.0, 0.02)), float(free_air(50662.5, 0.02, 0.1))
    (0.02, 0.14)
    """
    p = np.maximum(np.asarray(pressure, dtype=float), 1.0)
    left = np.maximum(entrained + dissolved - dissolved * p / ATMOSPHERE, 0.0)
    return np.asarray(left * ATMOSPHERE / p)


def liquid_share(pressure: ArrayLike, entrained: Ratio, dissolved: Ratio = 0.0) -> Array:
    r"""Share of a cylinder drawn full at this pressure that is liquid, the rest being air.

    .. math:: \frac{1}{1+\alpha(p)}

    Source: :func:`free_air`.

    >>> round(float(liquid_share(50662.5, 0.02, 0.1)), 4)
    0.8772
    """
    return np.asarray(1.0 / (1.0 + free_air(pressure, entrained, dissolved)))


def lost_travel(
    suction: Pa, delivery: Pa, entrained: Ratio, *, dissolved: Ratio = 0.0, modulus: Stress = 1.5e9
) -> Ratio:
    r"""Share of the travel that a piston spends pressing liquid and air together.

    .. math:: 1-\frac{V(p_2)}{V(p_1)},\qquad V(p)=1-\frac{p-p_1}{K}+\alpha(p)

    From the pressure in the cylinder at the end of suction to that of the delivery; ``modulus`` K
    of the liquid without air, about 1.5 GPa for solvents (from memory). Slow, isothermal. Source:
    :func:`free_air` and the definition of the modulus.

    >>> round(lost_travel(9e4, 2e7, 0.02), 4)
    0.0349
    """
    before = 1.0 + float(free_air(suction, entrained, dissolved))
    after = 1.0 - (delivery - suction) / modulus + float(free_air(delivery, entrained, dissolved))
    return 1.0 - after / before
