"""Flow cups: from the seconds a cup takes to empty to a kinematic viscosity, and back."""

from __future__ import annotations

import math

from wetend.errors import NoAnswer
from wetend.materials.cups import Cup
from wetend.units.quantity import M2PerS, S


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
            f"{time:g} s is too short for the {cup.title}; take a cup with a smaller hole, "
            f"so that it runs for at least {cup.shortest:g} s."
        )
    return found


def drain_time(viscosity: M2PerS, cup: Cup) -> S:
    r"""Seconds in which a liquid of this kinematic viscosity empties the cup: the inverse.

    .. math:: t = \frac{B + \sqrt{B^2 + 4 a b}}{2a}, \qquad B = \nu + a\,t_0

    >>> from wetend.materials.cups import find_cup
    >>> round(drain_time(438.6302e-6, find_cup("din-4mm")), 2)
    97.0
    """
    middle = viscosity + cup.slope * cup.zero_time
    return (middle + math.sqrt(middle**2 + 4.0 * cup.slope * cup.falling)) / (2.0 * cup.slope)


def in_range(time: S, cup: Cup) -> bool:
    """Whether the formula of this cup holds for this time.

    >>> from wetend.materials.cups import find_cup
    >>> in_range(20.0, find_cup("iso-4mm"))
    False
    """
    return cup.shortest <= time <= cup.longest
