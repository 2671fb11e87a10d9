r"""Pressures in spaces and flows through passages, each with its slopes.

Flow through a passage has drag along it and head lost at its ends:

.. math::

    Q = \frac{2 Q_l}{1 + \sqrt{1 + 4 (Q_l/Q_i)^2}}, \qquad
    Q_l = g\,\Delta p\,P^{1/n - 1}, \quad Q_i = k \sqrt{P}, \quad
    P = \sqrt{\Delta p^2 + \epsilon^2}

The law of the steady stroke (:func:`wetend.physics.stroke.gap.blend`), rounded off within
``layout.SMOOTH`` of no pressure, and with g held so low that the slope stays finite where inertia
alone resists (``layout.EASY``). Leaks, open valves and the nozzle all take it.

The pressure in a closed space follows from how much aerated liquid it holds. Content ``m`` is the
volume of its liquid at atmospheric pressure. With :math:`q = p - p_v` and :math:`q_0 = p_a - p_v`,
liquid of bulk modulus B with free air of r times its volume fills

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

from wetend.jit.kinds import Real, Reals, Whole, inlined, reals
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


@inlined(reals(4)(Real, Real, Real, Real))
def passage(drop: float, slow: float, fast: float, power: float) -> tuple[float, ...]:
    """Flow, its slope with pressure, and those with the logarithms of ``slow`` and ``fast``.

    ``slow`` is g, ``fast`` is k, ``power`` is 1/n of the formula above.

    >>> flow, slope, _, _ = passage(1e7, 1e-12, 1e-8, 1.0)  # 1e7 = Q / 1e-12 + (Q / 1e-8)^2
    >>> round(flow * 1e6, 2), round(slope * 1e12, 3)
    (9.16, 0.845)
    """
    if slow <= 0.0 or fast <= 0.0:
        return 0.0, 0.0, 0.0, 0.0
    square = drop * drop + at.SMOOTH * at.SMOOTH
    size = math.sqrt(square)
    gain = slow if power == 1.0 else slow * size ** (power - 1.0)
    held = fast / (fast + at.EASY * gain)
    gain *= held
    laminar = gain * drop
    rise = gain * (1.0 + held * (power - 1.0) * drop * drop / square)
    root = math.sqrt(1.0 + 4.0 * laminar * laminar / (fast * fast * size))
    flow = 2.0 * laminar / (1.0 + root)
    viscous = flow / root
    slope = 2.0 * rise / ((1.0 + root) * root) + 0.5 * (flow - viscous) * drop / square
    return flow, slope, viscous * held, flow - viscous * held


@inlined(reals(2)(Reals, Whole, Real))
def curve(p: Array, start: int, x: float) -> tuple[float, float]:
    """A tabulated odd curve at ``x``, and its slope.

    Cubic between knots evenly spaced in the square root of ``x`` over the curve's end; straight
    within the first, and beyond the last.
    """
    end = p[start]
    size = abs(x)
    last = at.KNOTS - 1
    first = end / (last * last)
    if size <= first:
        slope = p[start + 2] / first
        return slope * x, slope
    if size >= end:
        slope = p[start + at.KNOTS + last + 1] * 0.5 / end
        value = p[start + at.KNOTS] + slope * (size - end)
        return (value if x >= 0.0 else -value), slope
    root = math.sqrt(size / end)
    place = root * last
    k = int(place)
    s = place - k
    a, b = p[start + 1 + k], p[start + 2 + k]
    step = 1.0 / last
    da = p[start + 1 + at.KNOTS + k] * step
    db = p[start + 2 + at.KNOTS + k] * step
    c = 3.0 * (b - a) - 2.0 * da - db
    d = 2.0 * (a - b) + da + db
    value = a + s * (da + s * (c + s * d))
    slope = (da + s * (2.0 * c + 3.0 * s * d)) * last * 0.5 / (root * end)
    return (value if x >= 0.0 else -value), slope


@inlined(reals(3)(Reals, Whole, Real, Real))
def curtain(p: Array, ball: int, lift: float, drop: float) -> tuple[float, float, float]:
    r"""Flow past a lifted ball, and its slopes with pressure and with lift.

    .. math:: Q_i = C_d A(X) \sqrt{2 P / \rho}

    with the exact opening A of :func:`wetend.physics.valves.seat_opening`, looked up; the slow
    limit is a slit of height :math:`X\sin\alpha` round the contact circle, as long as the cone.
    """
    if lift <= 1e-12:
        return 0.0, 0.0, 0.0
    area, widens = curve(p, int(p[ball + at.B_OPENING]), lift)
    gap = lift * p[ball + at.B_SINE]
    power = p[at.P_POWER]
    if power == 1.0:
        slow = p[ball + at.B_SLIT] * gap * gap * gap
    else:
        slow = p[ball + at.B_SLIT] * gap * gap * gap**power
    flow, slope, with_slow, with_fast = passage(drop, slow, p[at.P_ORIFICE] * area, power)
    return flow, slope, with_slow * (2.0 + power) / lift + with_fast * widens / area


@inlined(reals(2)(Reals, Whole, Real))
def ball_drag(p: Array, ball: int, speed: float) -> tuple[float, float]:
    r"""Force of liquid that moves past a ball, and its slope with speed.

    .. math:: F = \tfrac{\pi}{8}\rho d^2 \left(\sqrt{24\mu |u| / (\rho d)} + 0.5407 |u|\right)^2
              + 3\pi\mu d (K-1) |u|

    with the sign of u. Source: F. F. Abraham, Physics of Fluids 13 (1970) 2194, from memory; extra
    creeping drag of the wall as :func:`wetend.physics.valves.fall_speed`.
    """
    u = abs(speed)
    creep = math.sqrt(p[ball + at.B_CREEP] * u)
    whole = creep + 0.5407 * u
    force = p[ball + at.B_FORM] * whole * whole + p[ball + at.B_WALL] * u
    steep = p[ball + at.B_CREEP] + 1.5 * 2.0 * 0.5407 * creep + 2.0 * 0.5407 * 0.5407 * u
    slope = p[ball + at.B_FORM] * steep + p[ball + at.B_WALL]
    return (force if speed >= 0.0 else -force), slope
