r"""The Casson law: a yield stress, then a thinning that dies out, as of pigment in a binder.

.. math:: \sqrt\tau = \sqrt{\tau_c} + \sqrt{\mu_c\,\dot\gamma}

At high rates of shear it tends to a newtonian liquid of the Casson viscosity, but slowly: by the
root of the stress, where a Bingham liquid does by the stress itself. Source: N. Casson, in C. C.
Mill (ed.), Rheology of Disperse Systems (1959), p. 84, from memory; the law itself as public flow
solvers have it. Its flow in bore and slit is integrated here, and agrees with the closed form of R.
P. Chhabra and J. F. Richardson, Non-Newtonian Flow and Applied Rheology (from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wetend.physics.rheology.law import YIELD_STRESS, Law, Parameter
from wetend.physics.rheology.liquid import Array, Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaLow, PaS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike
else:
    from wetend.lazy_import import numpy as np


def casson(yield_stress: PaLow, casson_viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A Casson liquid.

    Source: N. Casson (1959), from memory.

    Raises:
        BadInput: the viscosity or the density is not positive, or the stress is negative.

    >>> casson(4.0, 0.25, 1300.0).yield_stress
    4.0
    """
    return Liquid("casson", density, yield_stress, casson_viscosity, 1.0)


def _stress(rate: Array, liquid: Liquid) -> Array:
    roots = np.sqrt(liquid.yield_stress) + np.sqrt(liquid.consistency * rate)
    return np.asarray(roots * roots)


def _rate(stress: Array, liquid: Liquid) -> Array:
    above = np.maximum(np.sqrt(np.maximum(stress, 0.0)) - np.sqrt(liquid.yield_stress), 0.0)
    return np.asarray(above * above / liquid.consistency)


def _slope(rate: Array, liquid: Liquid) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(
            liquid.consistency + np.sqrt(liquid.yield_stress * liquid.consistency / rate)
        )


def _work(rate: Array, liquid: Liquid) -> Array:
    mixed = 4.0 / 3.0 * np.sqrt(liquid.yield_stress * liquid.consistency * rate) * rate
    return np.asarray(liquid.yield_stress * rate + mixed + 0.5 * liquid.consistency * rate**2)


def _root_share(wall: ArrayLike, liquid: Liquid) -> tuple[Array, Array]:
    stress = np.asarray(wall, dtype=float)
    share = np.minimum(liquid.yield_stress / np.maximum(stress, np.finfo(float).tiny), 1.0)
    return stress, np.sqrt(share)


def nominal_rate(wall: ArrayLike, liquid: Liquid) -> Array:
    r"""Nominal shear rate 8V/D in a round bore at this stress on its wall, 1/s.

    .. math:: \frac{8V}{D} = \frac{\tau_w}{\mu_c}
        \left(1 - \tfrac{16}{7}\sqrt\phi + \tfrac43\phi - \tfrac1{21}\phi^4\right),
        \qquad \phi = \tau_c/\tau_w

    Zero below the yield stress. Steady, fully developed laminar flow. Source: integral of
    Rabinowitsch and Mooney, done here; as Chhabra and Richardson have it, from memory.

    >>> round(float(nominal_rate(16.0, casson(4.0, 0.5))), 4)
    6.0893
    """
    stress, s = _root_share(wall, liquid)
    # the polynomial over (1-s)^3, which keeps its figures near the yield stress
    rest = 21.0 + s * (15.0 + s * (10.0 + s * (6.0 + s * (3.0 + s))))
    return np.asarray(stress / liquid.consistency * (1.0 - s) ** 3 * rest / 21.0)


def slit_rate(wall: ArrayLike, liquid: Liquid) -> Array:
    r"""Flow through a slit over half its breadth times its height squared, 1/s.

    .. math:: \frac{2Q}{w h^2} = \frac{\tau_w}{\mu_c}
        \left(\tfrac13 - \tfrac45\sqrt\phi + \tfrac12\phi - \tfrac1{30}\phi^3\right)

    Zero below the yield stress. Source: integrated here.

    >>> round(float(slit_rate(16.0, casson(4.0, 0.5))), 4)
    1.85
    """
    stress, s = _root_share(wall, liquid)
    rest = 10.0 + s * (6.0 + s * (3.0 + s))
    return np.asarray(stress / liquid.consistency * (1.0 - s) ** 3 * rest / 30.0)


LAW = Law(
    name="casson",
    title=Message("Casson"),
    parameters=(YIELD_STRESS, Parameter("casson_viscosity", PaS, 1e-7, 1e6, (1e-5, 1000.0))),
    make=casson,
    stress=_stress,
    rate=_rate,
    slope=_slope,
    work=_work,
    bore_rate=nominal_rate,
    slit_rate=slit_rate,
    fitted=("yield_stress", "consistency"),
    power_law_unyielding=True,
    limits={
        "leak": Message(
            "In leaks under working pressure a Casson coating is taken as newtonian, of its Casson "
            "viscosity, which lets a few per cent more past, the more the thinner the leak."
        ),
        "turbulence": Message(
            "Turbulent friction of a Casson liquid was not found measured; it is taken by the law "
            "of Dodge and Metzner from the slope of its own flow curve."
        ),
    },
)
