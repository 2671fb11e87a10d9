"""Friction in a smooth round bore, laminar and turbulent, for every flow law by one rule.

Laminar stress on the wall is exact. Turbulent friction is that of Dodge and Metzner, whose slope n'
and consistency K' belong to the flow curve *at the wall stress that rules*, so that a liquid with a
yield stress is solved for that stress. For a newtonian liquid the law is that of Prandtl and
Nikuradse, and every flow law is the exact limit of the next. Against the one measured turbulent
point of a Bingham liquid at hand (3.8 Pa, 6.86 mPa s, 1530 kg/m3 at 3.47 m/s in 20.6 mm gives
f = 0.00619: N. de Nevers, Fluid Mechanics for Chemical Engineers, 3rd ed., ex. 13.5, as transcribed
in the FOSSEE Python Textbook Companions) it is 11 % high, where the law of Darby and Melson, which
can be asked for instead, is 24 % low.

Between the critical Reynolds number and 4000, where real flow flickers, the turbulent share of the
stress comes in gradually, on logarithmic scales; a choice of ours. Loss has no step, always rises
with flow, and is never less than laminar.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.physics.rheology.bingham import darby_melson, hedstrom
from wetend.physics.rheology.flow import local_index, nominal_rate, wall_stress
from wetend.physics.rheology.law import Turbulent
from wetend.physics.rheology.laws import law_of
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import M

TURBULENT_FROM = 4000.0
"""Metzner-Reed number from which flow is taken as turbulent."""
_STILL = 1e-300
"""Reynolds number of a liquid at rest, to divide by."""
_HALVINGS = 50
_LEAST_INDEX, _MOST_INDEX = 0.2, 2.0
_TINY = float(np.finfo(float).tiny)


@dataclass(frozen=True, slots=True)
class Friction:
    """Flow of a liquid in a round bore; arrays where the speed is an array."""

    reynolds: Array
    """Metzner-Reed number Re', 16 over the laminar Fanning factor."""
    critical: Array
    """Re' at which laminar flow ends."""
    index: Array
    """Slope n' of the flow curve."""
    wall_stress: Array
    """Pa."""
    over_laminar: Array
    """Loss over what it would be were the flow laminar; 1 in laminar flow."""


def dodge_metzner(reynolds: ArrayLike, index: ArrayLike) -> Array:
    r"""Fanning friction factor in turbulent flow in a smooth bore.

    .. math:: \frac{1}{\sqrt f} = \frac{4}{n'^{0.75}} \log_{10}(Re' f^{1-n'/2})
              - \frac{0.4}{n'^{1.2}}

    Solved in closed form with the Wright omega function. Measured for 0.36 <= n' <= 1 and Re' up to
    35,000; n' is held between 0.2 and 2. Source: D. W. Dodge and A. B. Metzner, AIChE Journal 5
    (1959) 189, from memory; with n' = 1 it is the smooth-pipe law of Prandtl and Nikuradse.

    >>> round(float(dodge_metzner(1e5, 1.0)), 5)
    0.0045
    """
    n = np.clip(np.asarray(index, dtype=float), _LEAST_INDEX, _MOST_INDEX)
    log_re = np.log(np.maximum(np.asarray(reynolds, dtype=float), 1.0))
    a = 4.0 / n**0.75 / np.log(10.0)
    b = np.maximum(a * (2.0 - n), 1e-6)
    d = a * log_re - 0.4 / n**1.2
    x = b * special.wrightomega(d / b - np.log(b))
    return np.asarray(x**-2.0)


def critical_reynolds(index: ArrayLike) -> Array:
    r"""Metzner-Reed number at which laminar flow of a power-law liquid ends.

    .. math:: Re'_c = \frac{6464\,n\,(2+n)^{(2+n)/(1+n)}}{(1+3n)^2}

    About 2100 at n = 1 and within 15 % of it for 0.2 <= n <= 1. Source: N. W. Ryan and M. M.
    Johnson, AIChE Journal 5 (1959) 433, from memory.

    >>> round(float(critical_reynolds(1.0)))
    2099
    """
    n = np.clip(np.asarray(index, dtype=float), _LEAST_INDEX, _MOST_INDEX)
    return np.asarray(6464.0 * n * (2.0 + n) ** ((2.0 + n) / (1.0 + n)) / (1.0 + 3.0 * n) ** 2)


def _turbulent_speed(wall: Array, liquid: Liquid, bore: M) -> Array:
    """Mean speed at which this stress rules the wall in turbulent flow, by Dodge and Metzner.

    With the tangent to the flow curve at this stress, Re' f^(1-n'/2) = 16 (V_lam/(V sqrt f))^n',
    where V_lam is the laminar speed at this stress.
    """
    n = np.clip(local_index(wall, liquid), _LEAST_INDEX, _MOST_INDEX)
    shear = np.sqrt(2.0 * wall / liquid.density)
    laminar = nominal_rate(wall, liquid) * bore / 8.0
    group = np.log10(16.0) + n * np.log10(np.maximum(laminar / shear, _TINY))
    return np.asarray(shear * (4.0 / n**0.75 * group - 0.4 / n**1.2))


def _turbulent_wall(speed: Array, laminar: Array, liquid: Liquid, bore: M) -> Array:
    """Stress on the wall in turbulent flow, never less than laminar."""
    pressure = liquid.density * speed**2 / 2.0
    if liquid.yield_stress == 0.0 and law_of(liquid).power_law_unyielding:
        reynolds = 16.0 * pressure / laminar
        return np.maximum(laminar, dodge_metzner(reynolds, liquid.index) * pressure)
    low, high = np.log(laminar), np.log(np.maximum(laminar, 0.05 * pressure))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        slow = _turbulent_speed(np.exp(middle), liquid, bore) < speed
        low, high = np.where(slow, middle, low), np.where(slow, high, middle)
    return np.exp(0.5 * (low + high))


def _joined(reynolds: Array, critical: Array, turbulent_share: Array) -> Array:
    """Turbulent over laminar stress, let in gradually from the critical number to 4000."""
    across = np.log(reynolds / critical) / np.log(TURBULENT_FROM / critical)
    return turbulent_share ** np.clip(across, 0.0, 1.0)


def _dodge(liquid: Liquid, speed: Array, bore: M, flow: tuple[Array, Array, Array]) -> Array:
    """Stress over laminar stress by Dodge and Metzner."""
    laminar, reynolds, critical = flow
    over = np.ones_like(laminar)
    past = reynolds > critical
    if np.any(past):
        stress = laminar[past]
        share = _turbulent_wall(speed[past], stress, liquid, bore) / stress
        over[past] = _joined(reynolds[past], critical[past], share)
    return over


def _darby(liquid: Liquid, speed: Array, bore: M, reynolds: Array) -> Array:
    """Fanning factor of the other published law, over the laminar one; 1 at no flow."""
    if "darby-melson" not in law_of(liquid).turbulent or liquid.yield_stress <= 0:
        raise BadInput(Message("The law of Darby and Melson is for Bingham liquids only."))
    laminar = 16.0 / np.maximum(reynolds, _STILL)
    plastic = liquid.density * speed * bore / liquid.consistency
    factor = darby_melson(plastic, hedstrom(liquid, bore), laminar)
    return np.where(plastic > 1.0, np.maximum(factor / laminar, 1.0), 1.0)


def fanning_friction(
    liquid: Liquid, speed: ArrayLike, bore: M, *, turbulent: Turbulent = "dodge-metzner"
) -> Friction:
    r"""Friction of this liquid at this mean speed in a smooth round bore.

    .. math:: Re' = 8\rho V^2/\tau_{w,\mathrm{laminar}}, \qquad f = 2\tau_w/(\rho V^2)

    Valid for ``speed >= 0`` m/s (may be an array)
    and any law; steady, fully developed flow. ``turbulent="darby-melson"`` takes that
    law for a Bingham liquid instead. Sources: see this module.

    Raises:
        BadInput: the other law is asked for a liquid that is not Bingham.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(fanning_friction(newtonian(0.001), 1.0, bore=0.02).reynolds))
    20000
    """
    shape = np.shape(speed)
    v = np.atleast_1d(np.asarray(speed, dtype=float))
    laminar = wall_stress(8.0 * v / bore, liquid)
    reynolds = 8.0 * liquid.density * v**2 / np.maximum(laminar, _TINY)
    index = local_index(laminar, liquid)
    critical = critical_reynolds(index)
    if turbulent == "darby-melson":
        over = _darby(liquid, v, bore, reynolds)
    else:
        over = _dodge(liquid, v, bore, (laminar, reynolds, critical))
    found = (reynolds, critical, index, laminar * over, over)
    return Friction(*(item.reshape(shape) for item in found))
