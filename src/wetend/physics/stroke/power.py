"""A power of many numbers at once, in sums that a processor does on several numbers together.

The library's own power is called number by number, and would be most of the work.
"""

from __future__ import annotations

import numpy as np

from wetend.physics.stroke.compiled import inner

_FRACTION = 0xFFFFFFFFFFFFF
"""Bits of a double that hold its fraction."""
_ONE = 0x3FF0000000000000
"""Bits of 1.0."""
_BIG = 0x4330000000000000
"""Bits of 2**52: a whole number in its last places is that number added to it."""
_TO_WHOLE = 6755399441055744.0
"""1.5 * 2**52: added to a number, rounds it to a whole one."""


@inner
def log2(x: float) -> float:
    r"""Logarithm to base 2 of an ordinary number above zero.

    .. math::

        x = 2^e m,\; \tfrac{1}{\sqrt 2} \le m < \sqrt 2: \qquad
        \ln m = 2 \left(s + \tfrac{s^3}{3} + \dots + \tfrac{s^{17}}{17}\right), \;
        s = \frac{m - 1}{m + 1}

    To 3e-15 of ln m. Source: series of the inverse hyperbolic tangent, any handbook.
    """
    bits = np.float64(x).view(np.int64)
    e = np.int64((bits >> 52) | _BIG).view(np.float64) - (4503599627370496.0 + 1023.0)
    m = np.int64((bits & _FRACTION) | _ONE).view(np.float64)
    high = m > 1.4142135623730951
    m = 0.5 * m if high else m
    e = e + 1.0 if high else e
    s = (m - 1.0) / (m + 1.0)
    q = s * s
    series = 1.0 / 15.0 + q * (1.0 / 17.0)
    series = 1.0 / 11.0 + q * (1.0 / 13.0 + q * series)
    series = 1.0 / 7.0 + q * (1.0 / 9.0 + q * series)
    series = 1.0 / 3.0 + q * (1.0 / 5.0 + q * series)
    return e + 2.8853900817779268 * s * (1.0 + q * series)


@inner
def exp2(y: float) -> float:
    r"""2 to the power y, for y between -1000 and 1000.

    .. math:: 2^y = 2^k \sum_{n=0}^{12} \frac{t^n}{n!}, \; t = (y - k) \ln 2,\; |t| \le 0.347

    To 2e-16, rounding aside. Source: series of the exponential, any handbook.
    """
    y = min(max(y, -1000.0), 1000.0)
    shifted = y + _TO_WHOLE
    t = 0.6931471805599453 * (y - (shifted - _TO_WHOLE))
    series = 1.0 / 39916800.0 + t * (1.0 / 479001600.0)
    series = 1.0 / 362880.0 + t * (1.0 / 3628800.0 + t * series)
    series = 1.0 / 5040.0 + t * (1.0 / 40320.0 + t * series)
    series = 1.0 / 120.0 + t * (1.0 / 720.0 + t * series)
    series = 1.0 / 6.0 + t * (1.0 / 24.0 + t * series)
    series = 1.0 + t * (1.0 + t * (0.5 + t * series))
    scale = np.int64((np.float64(shifted).view(np.int64) << 52) + _ONE).view(np.float64)
    return scale * series


@inner
def raised(x: float, power: float) -> float:
    """``x ** power`` for an ordinary x above zero, to 1e-13 while it lies within 2**±1000."""
    return exp2(power * log2(x))
