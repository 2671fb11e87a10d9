"""What a piston pump displaces, and how much of it slips back."""

from __future__ import annotations

import math
from typing import Literal

from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.quantity import M3, M, M3PerS, PerS, Ratio

Action = Literal["single", "double", "double-rod-neglected"]


def displacement(bore: M, stroke: M, *, rod: M = 0.0, action: Action = "double") -> M3:
    r"""Volume displaced in one cycle (two strokes).

    .. math:: V = A_b S \quad\text{or}\quad (2A_b - A_r)\,S

    ``single``: delivers on one stroke, or draws in on one and delivers on both, as a wet end with a
    piston valve does. ``double``: draws in and delivers on both strokes, with a rod on one side.
    Source: Hydraulic Institute form, after piping-designer.com, "Volume of Fluid Displaced for
    Pumps".

    Raises:
        BadInput: the rod is not thinner than the bore.

    >>> round(displacement(0.15, 0.30, action="single") * 50 / 60, 8)
    0.00441786
    """
    if not 0 <= rod < bore:
        raise BadInput(Message("The rod must be thinner than the bore."))
    area = math.pi * bore**2 / 4.0
    if action == "single":
        return area * stroke
    taken = 0.0 if action == "double-rod-neglected" else math.pi * rod**2 / 4.0
    return (2.0 * area - taken) * stroke


def ideal_flow(cycle_volume: M3, rate: PerS) -> M3PerS:
    """Flow without slip, m^3/s, at this many cycles a second.

    Source: definition.

    >>> ideal_flow(0.01, 0.5)
    0.005
    """
    return cycle_volume * rate


def slip(actual: M3PerS, ideal: M3PerS) -> Ratio:
    r"""Share of the displacement that is not delivered.

    .. math:: s = 1 - Q/Q_\mathrm{ideal}

    A well packed pump slips 3 to 5 %, more as it wears (pump handbook text at
    civilengineeringhandbook.tk). Negative means the inertia of the suction column overfills, or a
    wrong reading. Source: Sarkar, Fluid Mechanics and Hydraulic Machines, 1999, ex. 9.4,
    as transcribed in the FOSSEE Python Textbook Companions.

    >>> round(slip(0.0042, 0.00441786) * 100, 2)
    4.93
    """
    return 1.0 - actual / ideal


def volumetric_efficiency(actual: M3PerS, ideal: M3PerS) -> Ratio:
    """Share of the displacement that is delivered; the coefficient of discharge of older books.

    Source: as :func:`slip`.

    >>> round(volumetric_efficiency(0.0042, 0.00441786), 4)
    0.9507
    """
    return actual / ideal
