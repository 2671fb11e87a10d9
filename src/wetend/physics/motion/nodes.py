r"""Pressure in a closed space from how much aerated liquid it holds.

Content ``m`` is the volume of its liquid at atmospheric pressure. With :math:`q = p - p_v` and
:math:`q_0 = p_a - p_v`, liquid of bulk modulus B with free air of r times its volume fills

.. math:: V + G (q - q_0) = m \left(1 - \frac{q - q_0}{B} + r\,\frac{q_0}{q}\right)

where G is how much the walls give. A quadratic in q with one root above zero, so that the
pressure never falls below the vapour pressure: where liquid is lacking, air and vapour fill the
space. Air obeys Boyle's law (isothermal) and does not dissolve. Source: bulk modulus and Boyle's
law; derived here. The effective modulus that follows is the textbook one for entrained air (H. E.
Merritt, Hydraulic Control Systems, 1967, section 2-3, from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Real, Reals, inlined, reals
from wetend.physics.motion import layout as at

Array = NDArray[np.float64]


@inlined(reals(3)(Reals, Real, Real, Real))
def node(p: Array, content: float, volume: float, give: float) -> tuple[float, float, float]:
    """Absolute pressure of a space, and its slopes with content and with volume."""
    bulk, gas, air = p[at.P_BULK], p[at.P_GAS], p[at.P_AIR]
    stiff = give + content / bulk
    lack = volume - give * gas - content * (1.0 + gas / bulk)
    root = math.sqrt(lack * lack + 4.0 * stiff * content * air * gas)
    q = 2.0 * content * air * gas / (root + lack) if lack > 0.0 else (root - lack) / (2.0 * stiff)
    with_content = (q * (1.0 + gas / bulk) + air * gas - q * q / bulk) / root
    return q + p[at.P_VAPOUR], with_content, -q / root


def content(p: Array, pressure: float, volume: float, give: float) -> float:
    """How much a space holds at an absolute pressure: the inverse of :func:`node`."""
    q, gas = pressure - p[at.P_VAPOUR], p[at.P_GAS]
    share = 1.0 - (q - gas) / p[at.P_BULK] + p[at.P_AIR] * gas / q
    return (volume + give * (q - gas)) / share
