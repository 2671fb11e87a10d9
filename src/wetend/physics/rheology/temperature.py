"""How a liquid's viscosity changes with temperature."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from wetend.errors import BadInput, NoAnswer
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.units.message import Message
from wetend.units.quantity import K, PaS

Method = Literal["andrade", "vogel", "d341"]
"""Laws of viscosity and temperature that two measured points settle."""
VOGEL_POLE = 178.15
"""Kelvin (-95 degC): the temperature of Vogel's law at which viscosity is unlimited, where only two
points are known. A. Cameron, Basic Lubrication Theory (1971), for mineral oils, from memory; for
coatings measure a third point.
"""
COATING_ACTIVATION = 3500.0
"""Kelvin: fall of viscosity of a usual solvent-borne coating near room temperature, about 4 % a
kelvin. Common practice, no source; half as much to twice as much is met. Measure where it matters.
"""

_TOO_FAR = 300.0
"""Logarithm of a ratio of viscosities that no liquid has."""


def andrade_factor(temperature: K, reference: K, activation: K = COATING_ACTIVATION) -> float:
    r"""Viscosity at one temperature over viscosity at another.

    .. math:: \mu/\mu_0 = \exp[B\,(1/T - 1/T_0)]

    Valid within about 30 K of the reference, far from freezing and curing. Source: E. N. da C.
    Andrade, Philosophical Magazine 17 (1934) 497, from memory.

    Raises:
        NoAnswer: the factor is beyond all counting: two readings at all but one temperature.

    >>> round(andrade_factor(303.15, 293.15), 3)
    0.674
    """
    exponent = activation * (1.0 / temperature - 1.0 / reference)
    if not abs(exponent) < _TOO_FAR:
        raise NoAnswer(Message("That is too far from the points measured to tell a viscosity."))
    return math.exp(exponent)


def activation_of(cool: tuple[K, PaS], warm: tuple[K, PaS]) -> K:
    """Constant B of :func:`andrade_factor` from two measured pairs of temperature and viscosity.

    Source: :func:`andrade_factor` solved for B.

    Raises:
        BadInput: both pairs were measured at one temperature.

    >>> round(activation_of((293.15, 1.0), (303.15, 0.674)))
    3506
    """
    if cool[0] == warm[0]:
        raise BadInput(Message("Give viscosities at two different temperatures."))
    return math.log(cool[1] / warm[1]) / (1.0 / cool[0] - 1.0 / warm[0])


def at_temperature(
    liquid: Liquid, temperature: K, reference: K, activation: K = COATING_ACTIVATION
) -> Liquid:
    """The liquid at another temperature: every stress scaled as by Andrade, density kept.

    The yield stress of real coatings falls less than their viscosity; scaling both alike is a
    simplification of ours.

    Source: :func:`andrade_factor`.

    >>> from wetend.physics.rheology.newtonian import newtonian
    >>> round(at_temperature(newtonian(0.5), 303.15, 293.15).consistency, 3)
    0.337
    """
    return thickened(liquid, andrade_factor(temperature, reference, activation))


@dataclass(frozen=True, slots=True)
class ThroughTwo:
    r"""Viscosity against temperature through two measured points, there and back.

    .. math::
        y = y_1 + (y_2 - y_1)\frac{x - x_1}{x_2 - x_1}, \qquad
        \begin{cases}
        y = \ln\mu,\; x = 1/T & \text{Andrade}\\
        y = \ln\mu,\; x = 1/(T - C) & \text{Vogel}\\
        y = \log\log(\nu + 0.7),\; x = \log T & \text{form of ASTM D341}
        \end{cases}

    ``cool`` and ``warm`` are pairs of kelvin and viscosity: Pa s for Andrade and Vogel, m2/s for
    D341. Valid between the points and some 30 K beyond, far from freezing and curing; D341 for
    petroleum liquids above 2 mm2/s. Sources: Andrade, Philosophical Magazine 17 (1934) 497; H.
    Vogel, Physikalische Zeitschrift 22 (1921) 645; ASTM D341; all from memory.

    Raises:
        BadInput: one temperature twice, one viscosity twice, or a point at or below Vogel's pole.

    >>> line = ThroughTwo("andrade", (293.15, 1.0), (303.15, 0.6))
    >>> round(line.viscosity(298.15), 4), round(line.temperature(0.7713) - 273.15, 1)
    (0.7713, 25.0)
    """

    method: Method
    cool: tuple[K, float]
    warm: tuple[K, float]
    pole: K = VOGEL_POLE

    def __post_init__(self) -> None:
        if self.cool[0] == self.warm[0]:
            raise BadInput(Message("Give viscosities at two different temperatures."))
        if self.method == "vogel" and min(self.cool[0], self.warm[0]) <= self.pole:
            raise BadInput(Message("Both temperatures must be above the pole of Vogel's law."))
        if self.method == "d341" and min(self.cool[1], self.warm[1]) <= 0.31e-6:
            raise BadInput(Message("The form of ASTM D341 is for liquids above 0.3 mm2/s."))
        if self._height(self.cool[1]) == self._height(self.warm[1]):
            raise BadInput(Message("Give two different viscosities."))

    def _place(self, temperature: K) -> float:
        if self.method == "d341":
            return math.log(temperature)
        return 1.0 / (temperature - (self.pole if self.method == "vogel" else 0.0))

    def _height(self, viscosity: float) -> float:
        if self.method == "d341":
            return math.log(math.log10(viscosity * 1e6 + 0.7))
        return math.log(viscosity)

    @property
    def _slope(self) -> float:
        rise = self._height(self.warm[1]) - self._height(self.cool[1])
        return rise / (self._place(self.warm[0]) - self._place(self.cool[0]))

    def viscosity(self, temperature: K) -> float:
        """Viscosity at this temperature, in the unit of the points.

        Raises:
            NoAnswer: the law has none there: below Vogel's pole, or too large or small to tell.
        """
        if self.method == "vogel" and temperature <= self.pole:
            raise NoAnswer(
                Message("Vogel's law holds only above its pole; that is far too cold for it.")
            )
        away = self._place(temperature) - self._place(self.cool[0])
        height = self._height(self.cool[1]) + self._slope * away
        if not abs(height) < (5.0 if self.method == "d341" else 300.0):
            raise NoAnswer(Message("That is too far from the points measured to tell a viscosity."))
        if self.method != "d341":
            return math.exp(height)
        power = math.exp(height)
        if power > 300.0 or 10.0**power <= 0.7:
            raise NoAnswer(Message("That is too far from the points measured to tell a viscosity."))
        return float(10.0**power - 0.7) * 1e-6

    def temperature(self, viscosity: float) -> K:
        """Temperature at which the liquid has this viscosity.

        Raises:
            NoAnswer: it has it at no temperature that can be.
        """
        if self.method == "d341" and viscosity <= 0.31e-6:
            raise NoAnswer(Message("The form of ASTM D341 is for liquids above 0.3 mm2/s."))
        away = (self._height(viscosity) - self._height(self.cool[1])) / self._slope
        place = self._place(self.cool[0]) + away
        if self.method == "d341":
            found = math.exp(place) if place < 20.0 else math.inf
        else:
            pole = self.pole if self.method == "vogel" else 0.0
            found = pole + 1.0 / place if place > 0 else math.inf
        if not 0 < found < 2000.0:
            raise NoAnswer(Message("By this law the liquid has that viscosity at no temperature."))
        return found


def vogel_pole(points: tuple[tuple[K, PaS], tuple[K, PaS], tuple[K, PaS]]) -> K:
    r"""The pole C of Vogel's law through three measured points, in closed form.

    .. math::
        C = \frac{R\,(T_3 - T_2)\,T_1 - (T_2 - T_1)\,T_3}{R\,(T_3 - T_2) - (T_2 - T_1)},
        \qquad R = \frac{\ln(\mu_1/\mu_2)}{\ln(\mu_2/\mu_3)}

    Source: Vogel's law written at three points and solved.

    Raises:
        BadInput: a temperature or a viscosity stands twice.
        NoAnswer: the readings do not bend as Vogel's law does.

    >>> cold, middle, warm = ((t, math.exp(500.0 / (t - 149.39))) for t in (280.0, 300.0, 340.0))
    >>> round(vogel_pole((cold, middle, warm)), 2)
    149.39
    """
    (t1, m1), (t2, m2), (t3, m3) = sorted(points)
    if len({t1, t2, t3}) < 3 or len({m1, m2, m3}) < 3:
        raise BadInput(
            Message("Give three different temperatures with three different viscosities.")
        )
    ratio = math.log(m1 / m2) / math.log(m2 / m3)
    bottom = ratio * (t3 - t2) - (t2 - t1)
    if bottom <= 0 or ratio <= 0:
        raise NoAnswer(
            Message("These three readings do not bend as Vogel's law does; use two of them.")
        )
    pole = (ratio * (t3 - t2) * t1 - (t2 - t1) * t3) / bottom
    if not -1e4 < pole < t1:
        raise NoAnswer(
            Message("These three readings do not bend as Vogel's law does; use two of them.")
        )
    return pole
