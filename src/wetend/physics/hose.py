"""Pressure lost along a hose by any flow law, laminar and turbulent.

Laminar loss is exact for each law. Turbulent friction comes from :mod:`.friction`; the two join
without a step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput
from wetend.physics.rheology.friction import fanning_friction
from wetend.physics.rheology.law import Turbulent
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, M, MLong, Ratio


def _checked(bore: M, length: MLong) -> None:
    if not 0 < bore < float("inf"):
        raise BadInput(Message("The hose's bore must be more than zero."))
    if not 0 <= length < float("inf"):
        raise BadInput(Message("The hose's length can't be less than zero."))


def hose_loss(
    liquid: Liquid,
    flow: ArrayLike,
    bore: M,
    length: MLong,
    *,
    turbulent: Turbulent = "dodge-metzner",
) -> Array:
    r"""Pressure lost along a smooth, level, round hose, laminar or turbulent, Pa.

    .. math:: \Delta p = 2 f \rho V^2 L/D

    with the Fanning friction factor of :func:`wetend.physics.rheology.friction.fanning_friction`.
    ``flow`` in m^3/s may be an array; backward flow has a negative loss. Valid for steady, fully
    developed flow; loss rises with flow everywhere and has no step where turbulence sets in.

    Source: :mod:`wetend.physics.rheology.friction`.

    Raises:
        BadInput: the bore is not positive or the length is negative, or the law of Darby and Melson
            is asked for a liquid that is not Bingham.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(hose_loss(newtonian(0.28, 1180.0), 1e-4, bore=0.0095, length=30.0)))
    4201893
    """
    _checked(bore, length)
    q = np.asarray(flow, dtype=float)
    speed = 4.0 * np.abs(q) / (np.pi * bore**2)
    stress = fanning_friction(liquid, speed, bore, turbulent=turbulent).wall_stress
    return np.asarray(np.where(q < 0, -1.0, 1.0) * 4.0 * stress * length / bore)


def fitting_loss(coefficient: Ratio, flow: ArrayLike, bore: M, density: KgPerM3) -> Array:
    r"""Pressure lost in a fitting, valve or bend, Pa.

    .. math:: \Delta p = \zeta\,\rho V^2/2

    with the speed in ``bore``. Coefficients are for turbulent flow; thick coatings lose more.
    Source: definition.

    >>> round(float(fitting_loss(0.5, 1e-4, bore=0.0095, density=1180.0)))
    587
    """
    speed = np.asarray(flow, dtype=float) * 4.0 / (np.pi * bore**2)
    return np.asarray(coefficient * density * speed * np.abs(speed) / 2.0)
