"""Friction in a smooth round bore, laminar and turbulent, for all four flow laws by one rule.

Every liquid is placed by the Reynolds number of Metzner and Reed, which is *defined* so that the
Fanning friction factor is 16/Re' in laminar flow, and by the slope n' of its flow curve. Turbulent
friction is that of Dodge and Metzner at this Re' and n'. For a newtonian liquid this is the law of
Prandtl and Nikuradse. For liquids with a yield stress n' is taken at the laminar wall stress of
the same flow: a choice of ours, which keeps the answer explicit and every law the exact limit of
the next. :mod:`.bingham` holds the other published law for Bingham liquids, for comparison.

Between the critical Re' and 4000, where real flow flickers, the two are joined by a straight line
on logarithmic scales, again a choice of ours: no step, and loss always rises with flow.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import wrightomega

from wetend.physics.rheology.herschel_bulkley import local_index, wall_stress
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.quantity import M

TURBULENT_FROM = 4000.0
"""Metzner-Reed number from which flow is taken as turbulent."""
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
    x = b * wrightomega(d / b - np.log(b))
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


def _turbulent(reynolds: Array, critical: Array, index: Array) -> Array:
    """Fanning factor above the critical number: a line across the gap, then the turbulent law."""
    start = 16.0 / critical
    end = dodge_metzner(TURBULENT_FROM, index)
    across = np.log(np.maximum(reynolds, critical) / critical) / np.log(TURBULENT_FROM / critical)
    joined = start * (end / start) ** np.minimum(across, 1.0)
    return np.where(reynolds < TURBULENT_FROM, joined, dodge_metzner(reynolds, index))


def fanning_friction(liquid: Liquid, speed: ArrayLike, bore: M) -> Friction:
    r"""Friction of this liquid at this mean speed in a smooth round bore.

    .. math:: Re' = 8\rho V^2/\tau_{w,\mathrm{laminar}}, \qquad f = \max(16/Re',\; f_\mathrm{turb})

    Turbulent friction is never less than laminar. Valid for ``speed >= 0`` m/s (may be an array)
    and any of the four laws; steady, fully developed flow. Sources: see this module.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(float(fanning_friction(newtonian(0.001), 1.0, bore=0.02).reynolds))
    20000
    """
    v = np.asarray(speed, dtype=float)
    laminar = wall_stress(8.0 * v / bore, liquid)
    reynolds = 8.0 * liquid.density * v**2 / np.maximum(laminar, _TINY)
    index = local_index(laminar, liquid)
    critical = critical_reynolds(index)
    factor = _turbulent(reynolds, critical, index)
    over = np.where(reynolds > critical, np.maximum(reynolds * factor / 16.0, 1.0), 1.0)
    return Friction(reynolds, critical, index, laminar * over, over)
