"""Pressure lost along a hose by any of the four flow laws, laminar and turbulent.

Laminar loss is exact for each law. Turbulent friction comes from :mod:`.friction`; the two join
without a step.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput, NoAnswer
from wetend.physics.rheology.friction import Turbulent, fanning_friction
from wetend.physics.rheology.herschel_bulkley import nominal_rate, wall_stress
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.roots import zero_between
from wetend.units.quantity import KgPerM3, M, M3PerS, MLong, Pa, Ratio

_NO_FLOW = "No flow along this hose can be told at this pressure."
_FASTEST = 1000.0
"""m/s; near the speed of sound in a solvent."""


def _checked(bore: M, length: MLong) -> None:
    if not 0 < bore < float("inf"):
        raise BadInput("The hose's bore must be more than zero.")
    if not 0 <= length < float("inf"):
        raise BadInput("The hose's length can't be less than zero.")


def laminar_loss(liquid: Liquid, flow: ArrayLike, bore: M, length: MLong) -> Array:
    r"""Pressure lost along a round hose in laminar flow, Pa.

    .. math:: \Delta p = 4\,\tau_w L/D, \qquad \tau_w \text{ from } 8V/D = 32 Q/(\pi D^3)

    Exact for all four laws in steady, fully developed flow (Hagen-Poiseuille, Buckingham-Reiner,
    Rabinowitsch-Mooney). ``flow`` in m^3/s may be an array; backward flow has a negative loss. At
    no flow the loss is what starts a liquid with a yield stress moving.

    Source: :mod:`wetend.physics.rheology.herschel_bulkley`.

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


def laminar_flow(liquid: Liquid, pressure: ArrayLike, bore: M, length: MLong) -> Array:
    r"""Flow this pressure drives along a hose in laminar flow, m^3/s; zero below the yield.

    .. math:: Q = \frac{\pi D^3}{32}\,\frac{8V}{D}(\tau_w), \qquad \tau_w = \frac{\Delta p\,D}{4L}

    The exact inverse of :func:`laminar_loss`.

    Source: as :func:`laminar_loss`.

    Raises:
        BadInput: bore or length is not positive.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(laminar_flow(newtonian(1.2), 90e3, bore=0.126, length=60.0)), 6)
    0.007733
    """
    _checked(bore, length)
    if length <= 0:
        raise BadInput("The hose's length must be more than zero.")
    stress = np.asarray(pressure, dtype=float) * bore / (4.0 * length)
    return np.asarray(np.pi * bore**3 / 32.0 * nominal_rate(stress, liquid))


def hose_flow(liquid: Liquid, pressure: Pa, bore: M, length: MLong) -> M3PerS:
    """Flow this pressure drives along a hose, laminar or turbulent: inverse of :func:`hose_loss`.

    Source: :func:`hose_loss` turned round.

    Raises:
        BadInput: bore or length is not positive.
        NoAnswer: the liquid would run faster than 1,000 m/s, where no law here holds.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> solvent = newtonian(0.0007, 880.0)
    >>> found = hose_flow(solvent, 5e5, bore=0.0095, length=30.0)
    >>> round(float(hose_loss(solvent, found, bore=0.0095, length=30.0)))
    500000
    """
    laminar = float(laminar_flow(liquid, pressure, bore, length))
    most = min(laminar, _FASTEST * np.pi * bore**2 / 4.0)
    if laminar <= 0:
        return 0.0

    def excess(log_flow: float) -> float:
        return float(hose_loss(liquid, np.exp(log_flow), bore, length)) / pressure - 1.0

    top = float(np.log(most))
    if excess(top) <= 0:
        if most < laminar:
            raise NoAnswer("That pressure would drive the liquid faster than 1,000 m/s.")
        return laminar
    bottom = top - 40.0
    while excess(bottom) > 0 and bottom > -600.0:
        bottom -= 40.0
    if excess(bottom) > 0:
        return 0.0
    return math.exp(zero_between(excess, bottom, top, xtol=1e-13, why=_NO_FLOW))


def longest_hose(liquid: Liquid, flow: M3PerS, bore: M, pressure: Pa) -> MLong:
    """Longest hose that costs no more than this pressure at this flow; unlimited if it costs none.

    Source: :func:`hose_loss`, in proportion to length.

    Raises:
        BadInput: the bore is not positive.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(longest_hose(newtonian(0.28, 1180.0), 1e-4, bore=0.0095, pressure=4201893), 2)
    30.0
    """
    each = float(hose_loss(liquid, flow, bore, 1.0))
    return pressure / each if each > 0 else float("inf")


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


def enlargement_loss(flow: ArrayLike, narrow: M, wide: M, density: KgPerM3) -> Array:
    r"""Pressure lost where the bore widens suddenly, Pa (Borda and Carnot).

    .. math:: \Delta p = \rho\,(V_1 - V_2)^2/2

    Valid for turbulent flow. Source: Coulson and Richardson, Chemical Engineering vol. 1, 6th ed.,
    ex. 3.6, as transcribed in the FOSSEE Python Textbook Companions.

    >>> round(float(enlargement_loss(0.002, 0.04, 0.05, 1000.0)), 1)
    164.1
    """
    return fitting_loss((1.0 - (narrow / wide) ** 2) ** 2, flow, narrow, density)


def centre_speed(liquid: Liquid, stress: ArrayLike, bore: M) -> Array:
    r"""Speed on the axis of a hose, or of its plug, in laminar flow, m/s.

    .. math:: u = \frac{D}{2\tau_w}\,\frac{n}{n+1}\,
              \frac{(\tau_w - \tau_y)^{(n+1)/n}}{K^{1/n}}

    Zero below the yield stress. Source: R. P. Chhabra and J. F. Richardson, Non-Newtonian Flow
    and Applied Rheology, section 3.2, from memory.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> float(centre_speed(newtonian(0.1), 8.0, bore=0.1))
    2.0
    """
    wall = np.asarray(stress, dtype=float)
    n = liquid.index
    above = np.maximum(wall - liquid.yield_stress, 0.0)
    rate = (above / liquid.consistency) ** (1.0 / n)
    return np.asarray(bore / 2.0 * n / (n + 1.0) * rate * above / np.maximum(wall, 1e-300))
