r"""What a liquid of any law does: stress and viscosity, laminar flow in a bore, a slit or a duct.

By the law's closed form where its record has one. Else by quadrature over the part of the section
that shears, with

.. math:: M_k = \frac{1}{\tau_w^{\,k}}\int_{\tau_y}^{\tau_w}\tau^{k-1}\,\dot\gamma(\tau)\,d\tau

which gives a round bore's nominal rate 8V/D as 4 M_3 (Rabinowitsch and Mooney), a slit's flow as
M_2; and turned round by Newton's rule inside a bracket.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wetend.keeping import constant
from wetend.physics.rheology.laws import law_of
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.roots import rising_roots

_POINTS = 96
_TINY = float(np.finfo(float).tiny)
_WIDEST = 60
"""Times a bracket is moved on, each time by a factor of ten."""


def shear_stress(liquid: Liquid, shear_rate: ArrayLike) -> Array:
    """Stress at which the liquid shears at this rate.

    Valid for ``shear_rate >= 0``, inside the range the law was fitted in. At no shear it is the
    yield stress. Source: the law's own file.

    >>> bool(shear_stress(Liquid("bingham", 1500.0, 6.0, 0.18, 1.0), 100.0) == 24.0)
    True
    """
    return law_of(liquid).stress(np.asarray(shear_rate, dtype=float), liquid)


def effective_viscosity(liquid: Liquid, shear_rate: ArrayLike) -> Array:
    r"""Viscosity of the newtonian liquid that would need the same stress at this rate, Pa s.

    .. math:: \mu_\mathrm{eff} = \tau(\dot\gamma)/\dot\gamma

    Valid for ``shear_rate > 0``; at no shear it is unlimited for a liquid with a yield stress or
    with ``index < 1``, zero for ``index > 1``. Definition.

    >>> round(float(effective_viscosity(Liquid("power-law", 1400.0, 0.0, 3.2, 0.72), 100.0)), 4)
    0.8814
    """
    rate, law = np.asarray(shear_rate, dtype=float), law_of(liquid)
    with np.errstate(divide="ignore"):
        if law.viscosity is not None:
            return law.viscosity(rate, liquid)
        return np.asarray(law.stress(rate, liquid) / rate)


@constant("points of quadrature")
def _nodes() -> tuple[Array, Array]:
    """Gauss's points and weights on 0 to 1."""
    points, weights = np.polynomial.legendre.leggauss(_POINTS)
    return 0.5 * (points + 1.0), 0.5 * weights


def _quadrature(wall: Array, liquid: Liquid, power: float) -> Array:
    """The moment by Gauss's rule; the square in the variable takes a root at the yield away."""
    t, weights = _nodes()
    stress = np.maximum(wall, _TINY)[..., None]
    still = np.minimum(liquid.yield_stress / stress, 1.0)
    share = still + (1.0 - still) * t**2
    rate = law_of(liquid).rate(share * stress, liquid)
    return np.asarray(np.sum(share ** (power - 1.0) * rate * (1.0 - still) * 2.0 * t * weights, -1))


def moment(wall: ArrayLike, liquid: Liquid, power: float) -> Array:
    r"""Mean rate of shear weighted with a power of the stress, 1/s: M_k of this module.

    ``wall`` is the stress on the wall; ``power`` k is 3 in a round bore, 2 in a slit, 1 for the
    speed of the middle. Zero up to the yield stress. Source: integral of Rabinowitsch and Mooney.

    >>> round(float(moment(60.0, Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0), 3.0)), 6)
    30.0
    """
    stress, law = np.asarray(wall, dtype=float), law_of(liquid)
    if law.moment is not None:
        return law.moment(stress, liquid, power)
    return _quadrature(stress, liquid, power)


def slit_rate(wall: ArrayLike, liquid: Liquid) -> Array:
    """Flow through a slit over half its breadth times its height squared, 1/s.

    ``wall`` is the stress on its walls. Source: this module.

    >>> round(float(slit_rate(60.0, Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0))), 6)
    40.0
    """
    stress, law = np.asarray(wall, dtype=float), law_of(liquid)
    if law.slit_rate is not None:
        return law.slit_rate(stress, liquid)
    return _quadrature(stress, liquid, 2.0)


def nominal_rate(wall: ArrayLike, liquid: Liquid) -> Array:
    """Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    Zero up to the yield stress. Steady, fully developed laminar flow. Source: this module.

    >>> round(float(nominal_rate(60.0, Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0))), 6)
    120.0
    """
    stress, law = np.asarray(wall, dtype=float), law_of(liquid)
    if law.bore_rate is not None:
        return law.bore_rate(stress, liquid)
    return 4.0 * _quadrature(stress, liquid, 3.0)


def local_index(wall: ArrayLike, liquid: Liquid) -> Array:
    r"""Slope n' of the flow curve of a round bore at this stress on its wall.

    .. math:: n' = \frac{d \ln \tau_w}{d \ln N} = \frac{N}{4\dot\gamma(\tau_w) - 3N},
              \qquad N = 8V/D

    1 for a newtonian liquid, ``index`` for a power law, and less while a yield stress is felt.
    Definition: A. B. Metzner and J. C. Reed, AIChE Journal 1 (1955) 434, from memory; its form by
    Rabinowitsch and Mooney.

    >>> round(float(local_index(60.0, Liquid("power-law", 1000.0, 0.0, 2.0, 0.6))), 6)
    0.6
    """
    stress, law = np.asarray(wall, dtype=float), law_of(liquid)
    if law.bore_index is not None:
        return law.bore_index(stress, liquid)
    nominal = nominal_rate(stress, liquid)
    rise = 4.0 * law.rate(stress, liquid) - 3.0 * nominal
    return np.asarray(np.where(nominal > 0.0, nominal / np.maximum(rise, _TINY), 0.0))


def wall_stress(rate: ArrayLike, liquid: Liquid) -> Array:
    """Stress on the wall of a round bore at this nominal shear rate 8V/D.

    The inverse of :func:`nominal_rate`; at no flow it is the yield stress. Valid for any
    ``rate >= 0``. Source: :func:`nominal_rate` turned round.

    >>> round(float(wall_stress(120.0, Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0))), 6)
    60.0
    """
    rates, law = np.asarray(rate, dtype=float), law_of(liquid)
    if law.bore_stress is not None:
        return law.bore_stress(rates, liquid)
    flowing = rates > 0
    wanted = np.log(np.where(flowing, rates, 1.0)).ravel()

    def residual(u: Array) -> tuple[Array, Array]:
        """Of the logarithm of the excess stress."""
        excess = np.exp(u)
        stress = liquid.yield_stress + excess
        nominal = np.maximum(nominal_rate(stress, liquid), _TINY)
        steep = (4.0 * law.rate(stress, liquid) / nominal - 3.0) * excess / stress
        return np.log(nominal) - wanted, np.maximum(steep, 0.0)

    low = np.log(liquid.consistency) + liquid.index * wanted
    high = low.copy()
    for _ in range(_WIDEST):
        under, over = residual(low)[0] > 0, residual(high)[0] < 0
        if not (under.any() or over.any()):
            break
        low, high = np.where(under, low - np.log(10.0), low), np.where(over, high + 2.3, high)
    found = rising_roots(residual, low, high, start=high, tolerance=1e-13)
    excess = np.exp(found).reshape(rates.shape)
    return np.asarray(liquid.yield_stress + np.where(flowing, excess, 0.0))
