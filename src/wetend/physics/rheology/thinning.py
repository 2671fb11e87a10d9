"""What thinner does to a coating's viscosity."""

from __future__ import annotations

import math

from wetend.units.quantity import PaS, Ratio


def thinned_viscosity(viscosity: PaS, thinner_viscosity: PaS, thinner: Ratio) -> PaS:
    r"""Viscosity after adding ``thinner`` volumes to each volume of coating.

    .. math:: \ln\mu = \frac{\ln\mu_1 + R\,\ln\mu_2}{1 + R}

    A first guess: real coatings fall by a half to twice as much; stir, and measure with the cup.
    Thin only within the data sheet of the coating. Source: logarithmic rule of Arrhenius (1887),
    from memory.

    >>> round(thinned_viscosity(0.8, 0.0007, 0.10), 3)
    0.422
    """
    total = math.log(viscosity) + thinner * math.log(thinner_viscosity)
    return math.exp(total / (1.0 + thinner))


def thinner_needed(viscosity: PaS, thinner_viscosity: PaS, wanted: PaS) -> Ratio:
    """Volumes of thinner to a volume of coating for the viscosity wanted; zero if thin enough.

    The inverse of :func:`thinned_viscosity`, valid while ``wanted`` is above the thinner's own.

    Source: as :func:`thinned_viscosity`.

    >>> round(thinner_needed(0.8, 0.0007, 0.422), 2)
    0.1
    """
    if wanted >= viscosity:
        return 0.0
    return math.log(viscosity / wanted) / math.log(wanted / thinner_viscosity)
