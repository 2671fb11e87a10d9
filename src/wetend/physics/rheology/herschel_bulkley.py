"""The law of Herschel and Bulkley: a yield stress, then a power law. The other laws are its limits.

Flow in a round bore comes from the integral of Rabinowitsch and Mooney, which for this law has a
closed form; its inverse (wall stress from flow) is found by Newton's rule inside a bracket.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wetend.lazy_import import special
from wetend.physics.rheology.law import CONSISTENCY, INDEX, YIELD_STRESS, Law
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaLow, PaSN, Ratio

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike
else:
    from wetend.lazy_import import numpy as np

_ROUNDS = 80
_CLOSE = 1e-14


def herschel_bulkley(
    yield_stress: PaLow, consistency: PaSN, index: Ratio, density: KgPerM3 = 1000.0
) -> Liquid:
    """A Herschel-Bulkley liquid.

    Source: Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291, from memory.

    Raises:
        BadInput: consistency, index or density is not positive, or the yield stress is negative.

    >>> herschel_bulkley(12.0, 6.5, 0.6, 1360.0).index
    0.6
    """
    return Liquid("herschel-bulkley", density, yield_stress, consistency, index)


def _shape(y: Array, n: float) -> tuple[Array, Array]:
    """Velocity profile's share of the nominal rate, and its slope in ``y = 1 - phi``."""
    phi = 1.0 - y
    share = y**2 / (3 * n + 1) + 2 * phi * y / (2 * n + 1) + phi**2 / (n + 1)
    slope = 2 * y / (3 * n + 1) + 2 * (1 - 2 * y) / (2 * n + 1) - 2 * phi / (n + 1)
    return share, slope


def nominal_rate(wall_stress: ArrayLike, liquid: Liquid) -> Array:
    r"""Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    .. math::
        \frac{8V}{D} = 4n \left(\frac{\tau_w}{K}\right)^{1/n} (1-\phi)^{(n+1)/n}
        \left[\frac{(1-\phi)^2}{3n+1} + \frac{2\phi(1-\phi)}{2n+1} + \frac{\phi^2}{n+1}\right],
        \qquad \phi = \tau_y/\tau_w

    Zero below the yield stress. Valid for steady, fully developed laminar flow of any of the four
    laws. Source: R. P. Chhabra and J. F. Richardson, Non-Newtonian Flow and Applied Rheology,
    section 3.2.4, from memory; checked against integration.

    >>> round(float(nominal_rate(60.0, herschel_bulkley(10.0, 2.0, 0.6))), 3)
    167.424
    """
    stress = np.asarray(wall_stress, dtype=float)
    n = liquid.index
    above = np.maximum(stress - liquid.yield_stress, 0.0)
    y = above / np.maximum(stress, np.finfo(float).tiny)
    share, _ = _shape(y, n)
    with np.errstate(over="ignore"):  # a rate past the largest number is unlimited
        return np.asarray(4 * n * (above / liquid.consistency) ** (1 / n) * y * share)


def _log_rate(u: Array, liquid: Liquid) -> tuple[Array, Array]:
    """Logarithm of the nominal rate, and its slope, at excess stress ``exp(u)``."""
    n = liquid.index
    excess = np.exp(u)
    y = excess / (excess + liquid.yield_stress)
    share, slope = _shape(y, n)
    log_rate = np.log(4 * n) + (u - np.log(liquid.consistency)) / n + np.log(y * share)
    return log_rate, 1 / n + (1 - y) * (1 + y * slope / share)


def _bracket(log_rate: Array, liquid: Liquid) -> tuple[Array, Array]:
    """Bounds on the logarithm of the excess stress, from bounds on the integral."""
    n, log_k = liquid.index, float(np.log(liquid.consistency))
    low = log_k + n * (log_rate + np.log((n + 1) / (4 * n)))
    far = np.log((3 * n + 1) / (4 * n)) + np.log(2.0) + log_rate
    high = log_k + n * far
    if liquid.yield_stress > 0:
        near = n / (n + 1) * (far + np.log(liquid.yield_stress) + log_k / n)
        high = np.maximum(high, near)
    return low - 1e-9, high + 1e-9


def wall_stress(rate: ArrayLike, liquid: Liquid) -> Array:
    r"""Stress on the wall of a round bore at this nominal shear rate 8V/D: the inverse of
    :func:`nominal_rate`.

    At no flow it is the yield stress. Valid for any ``rate >= 0`` and any of the four laws, laminar
    flow. The logarithm of the rate is a rising, concave function of the logarithm of the excess
    stress, so that Newton's rule started from the lower bound can't overshoot.

    Source: :func:`nominal_rate` turned round.

    >>> round(float(wall_stress(167.42356, herschel_bulkley(10.0, 2.0, 0.6))), 5)
    60.0
    """
    rates = np.asarray(rate, dtype=float)
    flowing = rates > 0
    log_rate = np.log(np.where(flowing, rates, 1.0))
    low, high = _bracket(log_rate, liquid)
    u = low
    for _ in range(_ROUNDS):
        value, slope = _log_rate(u, liquid)
        step = (log_rate - value) / slope
        low, high = np.where(step > 0, u, low), np.where(step > 0, high, u)
        moved = u + step
        moved = np.where((moved < low) | (moved > high), 0.5 * (low + high), moved)
        done = np.max(np.abs(moved - u), initial=0.0)
        u = moved
        if done < _CLOSE * 10:
            break
    return np.asarray(np.where(flowing, liquid.yield_stress + np.exp(u), liquid.yield_stress))


def local_index(wall: ArrayLike, liquid: Liquid) -> Array:
    r"""Slope n' of the flow curve of a round bore at this stress on its wall.

    .. math:: n' = \frac{d \ln \tau_w}{d \ln (8V/D)}

    1 for a newtonian liquid, ``index`` for a power law, and less while the yield stress is felt.
    Definition: A. B. Metzner and J. C. Reed, AIChE Journal 1 (1955) 434, from memory.

    >>> round(float(local_index(60.0, herschel_bulkley(0.0, 2.0, 0.6))), 6)
    0.6
    """
    stress = np.asarray(wall, dtype=float)
    excess = np.maximum(stress - liquid.yield_stress, np.finfo(float).tiny)
    _, slope = _log_rate(np.log(excess), liquid)
    return np.asarray(excess / (excess + liquid.yield_stress) / slope)


def stress_at(rate: Array, liquid: Liquid) -> Array:
    r"""Stress at a rate of shear.

    .. math:: \tau = \tau_y + K\,\dot\gamma^{\,n}

    Source: Herschel and Bulkley, Kolloid-Zeitschrift 39 (1926) 291, from memory.

    >>> float(stress_at(np.array(100.0), Liquid("bingham", 1500.0, 6.0, 0.18, 1.0)))
    24.0
    """
    return np.asarray(liquid.yield_stress + liquid.consistency * rate**liquid.index)


def _rate(stress: Array, liquid: Liquid) -> Array:
    above = np.maximum(stress - liquid.yield_stress, 0.0)
    return np.asarray((above / liquid.consistency) ** (1 / liquid.index))


def _slope(rate: Array, liquid: Liquid) -> Array:
    return np.asarray(liquid.consistency * liquid.index * rate ** (liquid.index - 1.0))


def _work(rate: Array, liquid: Liquid) -> Array:
    up = liquid.index + 1.0
    return np.asarray(liquid.yield_stress * rate + liquid.consistency * rate**up / up)


def _viscosity(rate: Array, liquid: Liquid) -> Array:
    thick = liquid.consistency * rate ** (liquid.index - 1.0)
    if liquid.yield_stress > 0:
        thick = thick + liquid.yield_stress / rate
    return np.asarray(thick)


def _free(wall: Array, liquid: Liquid) -> tuple[Array, Array]:
    """Share of the section that shears, and that times the rate of shear at the wall."""
    above = np.maximum(wall - liquid.yield_stress, 0.0)
    free = above / np.maximum(wall, np.finfo(float).tiny)
    with np.errstate(over="ignore"):  # a liquid that hardly resists: unlimited
        return free, np.asarray((above / liquid.consistency) ** (1 / liquid.index) * free)


def slit_rate(wall: Array, liquid: Liquid) -> Array:
    r"""Flow through a slit over half its breadth times its height squared, 1/s.

    .. math:: \frac{2Q}{w h^2}=\frac{n}{n+1}\left(\frac{\tau_w}{K}\right)^{1/n}
              (1-\phi)^{(n+1)/n}\left[1-\frac{n}{2n+1}(1-\phi)\right],\qquad
              \phi=\tau_y/\tau_w

    Source: R. P. Chhabra and J. F. Richardson, *Non-Newtonian Flow and Applied Rheology*, section
    3.6 (from memory); checked against integration.

    >>> round(float(slit_rate(np.array(60.0), Liquid("newtonian", 1000.0, 0.0, 0.5, 1.0))), 6)
    40.0
    """
    n = liquid.index
    free, speed = _free(wall, liquid)
    return np.asarray(n / (n + 1) * speed * (1 - n / (2 * n + 1) * free))


def duct_moment(wall: Array, liquid: Liquid, power: float) -> Array:
    r"""Mean rate of shear weighted with a power of the stress, as :func:`.flow.moment`.

    .. math:: \frac{1}{\tau_w^k}\int_{\tau_y}^{\tau_w}\tau^{k-1}\,\dot\gamma\,d\tau
              =\left(\frac{\tau_w-\tau_y}{K}\right)^{1/n}
        \frac{1-\phi}{1+1/n}\;{}_2F_1\!\left(1-k,\,1;\,2+\tfrac1n;\,1-\phi\right)

    Source: integration by parts; checked against quadrature.

    >>> round(float(duct_moment(np.array(60.0), Liquid("newtonian", 1.0, 0.0, 0.5, 1.0), 3.0)), 6)
    30.0
    """
    n = liquid.index
    free, speed = _free(wall, liquid)
    if power == 1.0:
        return np.asarray(speed / (1 + 1 / n))
    return np.asarray(speed / (1 + 1 / n) * special.hyp2f1(1 - power, 1.0, 2 + 1 / n, free))


_YIELD_LEFT_OUT = Message(
    "In leaks under working pressure the yield stress is left out: the stress on "
    "their walls is thousands of times greater."
)

LAW = Law(
    name="herschel-bulkley", title=Message("Herschel-Bulkley"),
    parameters=(YIELD_STRESS, CONSISTENCY, INDEX), make=herschel_bulkley,
    stress=stress_at, rate=_rate, slope=_slope, work=_work, viscosity=_viscosity,
    bore_rate=nominal_rate, bore_stress=wall_stress, bore_index=local_index,
    slit_rate=slit_rate, moment=duct_moment,
    fitted=("yield_stress", "consistency", "index"), family=True, power_law_unyielding=True,
    limits={"leak": _YIELD_LEFT_OUT},
)  # fmt: skip
"""The whole family's curves; the others of it take them over."""
