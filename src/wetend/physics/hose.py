"""Pressure lost along a hose by any of the four flow laws, laminar and turbulent.

Laminar loss is exact for each law. Turbulent friction comes from :mod:`.friction`; the two join
without a step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput
from wetend.physics.rheology.friction import fanning_friction
from wetend.physics.rheology.herschel_bulkley import wall_stress
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import M, MLong


def _checked(bore: M, length: MLong) -> None:
    if not 0 < bore < float("inf"):
        raise BadInput("The hose's bore must be more than nought.")
    if not 0 <= length < float("inf"):
        raise BadInput("The hose's length can't be less than nought.")


def laminar_loss(liquid: Liquid, flow: ArrayLike, bore: M, length: MLong) -> Array:
    r"""Pressure lost along a round hose in laminar flow, Pa.

    .. math:: \Delta p = 4\,\tau_w L/D, \qquad \tau_w \text{ from } 8V/D = 32 Q/(\pi D^3)

    Exact for all four laws in steady, fully developed flow (Hagen-Poiseuille, Buckingham-Reiner,
    Rabinowitsch-Mooney). ``flow`` in m^3/s may be an array; backward flow has a negative loss. At
    no flow the loss is what starts a liquid with a yield stress moving.

    Raises:
        BadInput: the bore is not positive or the length is negative.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(laminar_loss(newtonian(0.5), 1e-4, bore=0.01, length=10.0)))
    2037183
    """
    _checked(bore, length)
    q = np.asarray(flow, dtype=float)
    stress = wall_stress(32.0 * np.abs(q) / (np.pi * bore**3), liquid)
    return np.asarray(np.where(q < 0, -1.0, 1.0) * 4.0 * stress * length / bore)


def hose_loss(liquid: Liquid, flow: ArrayLike, bore: M, length: MLong) -> Array:
    r"""Pressure lost along a smooth, level, round hose, laminar or turbulent, Pa.

    .. math:: \Delta p = 2 f \rho V^2 L/D

    with the Fanning friction factor of :func:`wetend.physics.rheology.friction.fanning_friction`.
    ``flow`` in m^3/s may be an array; backward flow has a negative loss. Valid for steady, fully
    developed flow; loss rises with flow everywhere and has no step where turbulence sets in.

    Raises:
        BadInput: the bore is not positive or the length is negative.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(hose_loss(newtonian(0.28, 1180.0), 1e-4, bore=0.0095, length=30.0)))
    4201893
    """
    _checked(bore, length)
    q = np.asarray(flow, dtype=float)
    stress = fanning_friction(liquid, 4.0 * np.abs(q) / (np.pi * bore**2), bore).wall_stress
    return np.asarray(np.where(q < 0, -1.0, 1.0) * 4.0 * stress * length / bore)
