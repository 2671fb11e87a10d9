"""How a liquid's viscosity changes with temperature."""

from __future__ import annotations

import math
from dataclasses import replace

from wetend.errors import BadInput
from wetend.physics.rheology.liquid import Liquid
from wetend.units.quantity import K, M2PerS, PaS

COATING_ACTIVATION = 3500.0
"""Kelvin: fall of viscosity of a usual solvent-borne coating near room temperature, about 4 % a
kelvin. Common practice, no source; half as much to twice as much is met. Measure where it matters.
"""


def andrade_factor(temperature: K, reference: K, activation: K = COATING_ACTIVATION) -> float:
    r"""Viscosity at one temperature over viscosity at another.

    .. math:: \mu/\mu_0 = \exp[B\,(1/T - 1/T_0)]

    Valid within about 30 K of the reference, far from freezing and curing. Source: E. N. da C.
    Andrade, Philosophical Magazine 17 (1934) 497, from memory.

    >>> round(andrade_factor(303.15, 293.15), 3)
    0.674
    """
    return math.exp(activation * (1.0 / temperature - 1.0 / reference))


def activation_of(cool: tuple[K, PaS], warm: tuple[K, PaS]) -> K:
    """Constant B of :func:`andrade_factor` from two measured pairs of temperature and viscosity.

    Raises:
        BadInput: both pairs were measured at one temperature.

    >>> round(activation_of((293.15, 1.0), (303.15, 0.674)))
    3506
    """
    if cool[0] == warm[0]:
        raise BadInput("Give viscosities at two different temperatures.")
    return math.log(cool[1] / warm[1]) / (1.0 / cool[0] - 1.0 / warm[0])


def at_temperature(
    liquid: Liquid, temperature: K, reference: K, activation: K = COATING_ACTIVATION
) -> Liquid:
    """The liquid at another temperature: every stress scaled as by Andrade, density kept.

    The yield stress of real coatings falls less than their viscosity; scaling both alike is a
    simplification of ours.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(at_temperature(newtonian(0.5), 303.15, 293.15).consistency, 3)
    0.337
    """
    factor = andrade_factor(temperature, reference, activation)
    return replace(
        liquid,
        yield_stress=liquid.yield_stress * factor,
        consistency=liquid.consistency * factor,
    )


def vogel(temperature: K, *, a: float, b: K, c: K) -> PaS:
    r"""Viscosity of a pure liquid by the three constants of Vogel.

    .. math:: \log_{10}(\mu/\mathrm{mPa\,s}) = A + \frac{B}{C - T}

    Valid inside the range the constants were fitted for. Source: D. S. Viswanath and G. Natarajan,
    Data Book on the Viscosity of Liquids (1989), as held in the chemicals library 1.5.2.

    >>> round(vogel(298.15, a=-1.7722, b=-431.58, c=29.726) * 1000, 4)
    0.6849
    """
    return 1e-3 * math.exp(math.log(10.0) * (a + b / (c - temperature)))


def walther(temperature: K, cool: tuple[K, M2PerS], warm: tuple[K, M2PerS]) -> M2PerS:
    r"""Kinematic viscosity of an oil between two measured temperatures.

    .. math:: \log_{10}\log_{10}(\nu + 0.7) = A - B \log_{10} T

    with the viscosity in mm2/s. Valid for petroleum liquids above 2 mm2/s: hydraulic and wet-cup
    oils rather than coatings. Source: form of ASTM D341, from memory.

    Raises:
        BadInput: both pairs were measured at one temperature.

    >>> round(walther(313.15, (313.15, 46e-6), (373.15, 6.8e-6)) * 1e6, 6)
    46.0
    """
    if cool[0] == warm[0]:
        raise BadInput("Give viscosities at two different temperatures.")
    left, right = (math.log10(math.log10(v * 1e6 + 0.7)) for _, v in (cool, warm))
    slope = (right - left) / math.log10(warm[0] / cool[0])
    height = left + slope * math.log10(temperature / cool[0])
    return float((10.0 ** (10.0**height) - 0.7) * 1e-6)
