"""Flow cups: from the seconds a cup takes to empty to a kinematic viscosity, and back."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.errors import NoAnswer
from wetend.materials.cups import Cup
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.temperature import COATING_ACTIVATION
from wetend.units.message import Message
from wetend.units.quantity import K, KgPerM3, M2PerS, PerS, Ratio, S

CUP_RATE = 200.0
"""1/s: about what a coating is sheared at in a cup's hole (100 mL through 4 mm in a minute)."""
_PAIR = 2.8
"""Reproducibility over standard deviation: 1.96 times the root of 2 (ISO 5725-6, from memory)."""
_PLAIN_CUP = 0.05
"""Standard spread of a cup that names no reproducibility. Common practice, no source."""
_INDEX_DOUBT = 0.15
"""Standard doubt of the flow index of a coating known by one cup. Common practice, no source."""
_OUTSIDE = 0.2
"""Added where the time is outside the formula's range. Common practice, no source."""


def kinematic_viscosity(time: S, cup: Cup) -> M2PerS:
    r"""Kinematic viscosity of a liquid that empties this cup in this time.

    .. math:: \nu = a\,(t - t_0) - b/t

    with the coefficients of the cup's row in the table of flow cups, which names its source. Valid
    between the cup's shortest and longest time, for a newtonian liquid without bubbles or lumps.

    Raises:
        NoAnswer: the time is so short that the formula gives no viscosity.

    >>> from wetend.materials.cups import find_cup
    >>> round(kinematic_viscosity(80.0, find_cup("ford-4")) * 1e6, 4)
    290.7135
    """
    found = cup.slope * (time - cup.zero_time) - cup.falling / time
    if not 0 < found < math.inf:
        raise NoAnswer(
            Message(
                "{time:g} s is too short for the {title}; take a cup with a smaller hole, so "
                "that it runs for at least {shortest:g} s.",
                time=time,
                title=cup.title,
                shortest=cup.shortest,
            )
        )
    return found


def drain_time(viscosity: M2PerS, cup: Cup) -> S:
    r"""Seconds in which a liquid of this kinematic viscosity empties the cup: the inverse.

    .. math:: t = \frac{B + \sqrt{B^2 + 4 a b}}{2a}, \qquad B = \nu + a\,t_0

    Source: :func:`kinematic_viscosity` solved for the time.

    >>> from wetend.materials.cups import find_cup
    >>> round(drain_time(438.6302e-6, find_cup("din-4mm")), 2)
    97.0
    """
    middle = viscosity + cup.slope * cup.zero_time
    return (middle + math.sqrt(middle**2 + 4.0 * cup.slope * cup.falling)) / (2.0 * cup.slope)


def in_range(time: S, cup: Cup) -> bool:
    """Whether the formula of this cup holds for this time.

    Source: the cup's row in the table.

    >>> from wetend.materials.cups import find_cup
    >>> in_range(20.0, find_cup("iso-4mm"))
    False
    """
    return cup.shortest <= time <= cup.longest


@dataclass(frozen=True, slots=True)
class CupReading:
    """A coating known by one cup reading: the newtonian liquid it looks like, and how surely."""

    liquid: Liquid
    spread: Ratio
    """Relative standard uncertainty of the viscosity at the cup's rate of shear."""

    def spread_at(self, rate: PerS) -> Ratio:
        r"""Relative standard uncertainty of the viscosity at another rate of shear.

        .. math:: u(\dot\gamma)=\sqrt{u^2+\left(0.15\,\ln\frac{\dot\gamma}{200}\right)^2}

        One cup can't tell how much a coating thins with shear, so the doubt grows with the distance
        to the rate it was measured at. A doubt of 0.15 in the index: common practice, no source.

        >>> from wetend.materials.cups import find_cup
        >>> reading = cup_reading(80.0, find_cup("ford-4"), density=1300.0)
        >>> round(reading.spread, 3), round(reading.spread_at(20_000.0), 2)
        (0.096, 0.7)
        """
        return math.hypot(self.spread, _INDEX_DOUBT * math.log(max(rate, 1e-9) / CUP_RATE))

    def limits(self, rate: PerS = CUP_RATE, *, width: float = 2.0) -> tuple[float, float]:
        """Viscosities ``width`` standard uncertainties below and above, on a scale of logarithms.

        >>> from wetend.materials.cups import find_cup
        >>> low, high = cup_reading(80.0, find_cup("zahn-2"), density=1300.0).limits()
        >>> round(high / low, 2)
        1.78
        """
        times = math.exp(width * self.spread_at(rate))
        return self.liquid.consistency / times, self.liquid.consistency * times


def cup_spread(
    time: S,
    cup: Cup,
    *,
    timing: S = 0.5,
    temperature_doubt: K = 2.0,
    activation: K = COATING_ACTIVATION,
    temperature: K = 293.15,
) -> Ratio:
    r"""Relative standard uncertainty of a viscosity from one cup reading.

    .. math:: u^2=\left(\frac{R}{2.8}\right)^2
              +\left(\frac{t}{\nu}\frac{d\nu}{dt}\frac{u_t}{t}\right)^2
              +\left(\frac{B\,u_T}{T^2}\right)^2\;(+\,0.2^2\text{ outside the cup's range})

    R is the cup's published reproducibility, where its standard names one, else 14 %; ``timing``
    the standard uncertainty of the stopwatch; ``temperature_doubt`` how well the coating's
    temperature was known, at about 4 % a kelvin. Source: propagation of
    uncertainty, JCGM 100:2008, 5.1.2.

    >>> from wetend.materials.cups import find_cup
    >>> round(cup_spread(35.0, find_cup("zahn-2")), 3)
    0.145
    """
    viscosity = kinematic_viscosity(time, cup)
    slope = cup.slope + cup.falling / time**2
    instrument = _PLAIN_CUP if cup.reproducibility is None else cup.reproducibility / _PAIR
    parts = [
        instrument,
        slope * timing / viscosity,
        activation * temperature_doubt / temperature**2,
    ]
    if not in_range(time, cup):
        parts.append(_OUTSIDE)
    return math.hypot(*parts)


def cup_reading(
    time: S,
    cup: Cup,
    *,
    density: KgPerM3,
    timing: S = 0.5,
    temperature_doubt: K = 2.0,
    temperature: K = 293.15,
) -> CupReading:
    """A coating from one cup reading and its temperature, with its honest spread.

    Source: :func:`kinematic_viscosity` and :func:`cup_spread`.

    Raises:
        NoAnswer: the time is so short that the formula gives no viscosity.

    >>> from wetend.materials.cups import find_cup
    >>> round(cup_reading(80.0, find_cup("ford-4"), density=1300.0).liquid.consistency, 3)
    0.378
    """
    spread = cup_spread(
        time, cup, timing=timing, temperature_doubt=temperature_doubt, temperature=temperature
    )
    return CupReading(newtonian(kinematic_viscosity(time, cup) * density, density), spread)
