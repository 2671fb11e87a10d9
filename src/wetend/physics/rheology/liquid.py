"""A liquid's flow law in five plain numbers, and what it does at a given rate of shear.

All four laws are one family,

.. math:: \\tau = \\tau_y + K\\,\\dot\\gamma^{\\,n}

so one record serves them all: a newtonian liquid has ``yield_stress=0, index=1``, a power-law
liquid ``yield_stress=0``, a Bingham liquid ``index=1``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.errors import BadInput
from wetend.units.quantity import KgPerM3, PaLow, PaSN, Ratio

Law = Literal["newtonian", "power-law", "bingham", "herschel-bulkley"]
LAWS: tuple[Law, ...] = ("newtonian", "power-law", "bingham", "herschel-bulkley")
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Liquid:
    """A liquid at one temperature: its flow law and its density, SI.

    Raises:
        BadInput: density, consistency or index is not positive, or the yield stress is negative.

    >>> Liquid("power-law", density=1400.0, yield_stress=0.0, consistency=3.2, index=0.72).index
    0.72
    """

    law: Law
    density: KgPerM3
    yield_stress: PaLow
    consistency: PaSN
    index: Ratio

    def __post_init__(self) -> None:
        for name in ("density", "consistency", "index"):
            if not 0 < getattr(self, name) < float("inf"):
                raise BadInput(f"The liquid's {name} must be more than zero.")
        if not 0 <= self.yield_stress < float("inf"):
            raise BadInput("The liquid's yield stress can't be less than zero.")


def shear_stress(liquid: Liquid, shear_rate: ArrayLike) -> Array:
    r"""Stress at which the liquid shears at this rate.

    .. math:: \tau = \tau_y + K\,\dot\gamma^{\,n}

    Valid for ``shear_rate >= 0``, inside the range the law was fitted in. At no shear it is the
    yield stress. Source: Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291, from memory.

    >>> bool(shear_stress(Liquid("bingham", 1500.0, 6.0, 0.18, 1.0), 100.0) == 24.0)
    True
    """
    rate = np.asarray(shear_rate, dtype=float)
    return np.asarray(liquid.yield_stress + liquid.consistency * rate**liquid.index)


def effective_viscosity(liquid: Liquid, shear_rate: ArrayLike) -> Array:
    r"""Viscosity of the newtonian liquid that would need the same stress at this rate, Pa s.

    .. math:: \mu_\mathrm{eff} = \tau(\dot\gamma)/\dot\gamma

    Valid for ``shear_rate > 0``; at no shear it is unlimited for a liquid with a yield stress or
    with ``index < 1``, zero for ``index > 1``. Definition.

    >>> round(float(effective_viscosity(Liquid("power-law", 1400.0, 0.0, 3.2, 0.72), 100.0)), 4)
    0.8814
    """
    rate = np.asarray(shear_rate, dtype=float)
    with np.errstate(divide="ignore"):
        thick = liquid.consistency * rate ** (liquid.index - 1.0)
        if liquid.yield_stress > 0:
            thick = thick + liquid.yield_stress / rate
    return np.asarray(thick)
