r"""Renewals: how many of a part are used up by a time, when each failed one is replaced at once.

.. math:: M(t) = F(t) + \int_0^t M(t-x)\,dF(x), \qquad
          \hat M(s) = \frac{\hat f(s)}{s\,[1-\hat f(s)]}

Source: H. C. Tijms, A First Course in Stochastic Models (2003), section 8.1 (table 8.1.1 is
a test).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.lazy_import import special
from wetend.units.message import Message

Complexes = NDArray[np.complex128]
_FEW = 0.1
"""(t/scale)^shape up to which the power series is summed: a dozen terms do."""
_POINTS, _ANGLE = 18, 0.9
"""Points on the hyperbola and its opening: twelve figures by the reference, at these."""
_LOGS = np.linspace(-42.0, 6.0, 1200)
"""Logarithms of the integration variable: e^-w is spent before and after."""
_DAMPING = 1e-11
"""What wraps round in a discrete transform is damped to this."""
_MOST_STEPS = 2**18


def weibull_mean(shape: float, scale: float) -> float:
    """Mean of a Weibull life.

    >>> weibull_mean(1.0, 3.0)
    3.0
    """
    return scale * float(special.gamma(1.0 + 1.0 / shape))


def _series(shape: float, power: float) -> float:
    r"""By the power series in z = (t/scale)^shape, for small z.

    .. math:: M = \sum_k (-1)^{k-1} \frac{A_k z^k}{\Gamma(k\beta+1)}, \quad
              A_n = \gamma_n - \sum_{j<n} \gamma_j A_{n-j}, \quad
              \gamma_n = \frac{\Gamma(n\beta+1)}{n!}

    Source: W. L. Smith, M. R. Leadbetter, Technometrics 5 (1963) 393 (from memory).
    """
    terms = range(1, 21)
    of = [math.exp(math.lgamma(n * shape + 1) - math.lgamma(n + 1)) for n in range(21)]
    found = [0.0] * 21
    for n in terms:
        found[n] = of[n] - math.fsum(of[j] * found[n - j] for j in range(1, n))
    return math.fsum(
        -found[k] * (-power) ** k / math.exp(math.lgamma(k * shape + 1)) for k in terms
    )


def _not_transformed(s: Complexes, shape: float) -> Complexes:
    r"""1 less the Laplace transform of the density of a Weibull life of scale 1.

    .. math:: 1-\hat f(s) = \int_0^\infty e^{-w}\left(1-e^{-s w^{1/\beta}}\right)dw

    along a ray turned against s, so that nothing oscillates much; the trapezoidal rule in log w.
    """
    turn = -0.5 * shape * np.angle(s)[:, None]
    w = np.exp(_LOGS + 1j * turn)
    exponent = s[:, None] * np.exp((_LOGS + 1j * turn) / shape)
    lost = -np.expm1(-np.where(exponent.real > 700.0, 700.0, exponent))
    step = float(_LOGS[1] - _LOGS[0])
    return np.asarray(step * np.sum(w * np.exp(-w) * lost, axis=1), np.complex128)


def _inverted(shape: float, time: float) -> float:
    r"""By the inverse of the Laplace transform; scale 1, shape up to 1.

    There the density is a mixture of exponentials, and the transform is analytic but for the
    negative axis, round which the integral runs on a hyperbola.
    Source: J. A. C. Weideman, L. N. Trefethen, Math. Comp. 76 (2007) 1341 (from memory).
    """
    wide = math.acosh(2 * _ANGLE / ((4 * _ANGLE - math.pi) * math.sin(_ANGLE)))
    step = wide / _POINTS
    reach = (4 * math.pi * _ANGLE - math.pi**2) / wide * _POINTS / time
    u = 1j * step * (np.arange(_POINTS) + 0.5) - _ANGLE
    s, slope = reach * (1 + np.sin(u)), 1j * reach * np.cos(u)
    rest = _not_transformed(s, shape)
    return float(step / math.pi * np.sum(np.exp(s * time) * (1 - rest) / (s * rest) * slope).imag)


def _on_grid(shape: float, time: float, steps: int) -> float:
    """By the midpoint recursion of M. Xie (1989), all steps in one discrete transform; scale 1.

    The recursion is a convolution: M(z) = F(z)/(1 - a(z)), a the masses between midpoints.
    """
    at = np.arange(steps + 1.0)
    grid, step = at * (time / steps), time / steps
    with np.errstate(over="ignore"):
        reached = -np.expm1(-(grid**shape))
        masses = np.diff(-np.expm1(-((grid + 0.5 * step) ** shape)), prepend=0.0)
    length = 1 << (2 * steps + 1).bit_length()
    damped = np.exp(math.log(_DAMPING) / length * at)
    whole = np.fft.rfft(reached * damped, length) / (1.0 - np.fft.rfft(masses * damped, length))
    return float(np.fft.irfft(whole, length)[steps] / damped[steps])


def _stepped(shape: float, time: float, *, mean: float, spread: float) -> float:
    """The recursion at two step sizes, extrapolated (Richardson); scale 1, shape over 1."""
    steps = int(min(max(200.0, 120.0 * time / mean, 12.0 * time / spread), _MOST_STEPS))
    coarse, fine = _on_grid(shape, time, steps), _on_grid(shape, time, 2 * steps)
    return fine + (fine - coarse) / 3.0


def renewals(shape: float, scale: float, time: float) -> float:
    r"""Expected Weibull renewals by a time.

    By power series, inverse Laplace transform (shape up to 1) or recursion; where the ripples have
    died away the asymptote :math:`t/\mu + (c^2-1)/2`, c the coefficient of variation. To seven
    figures.

    Raises:
        BadInput: shape, scale or time is not positive (time may be 0), or the shape is below 0.05.

    >>> round(renewals(1.0, 2.0, 3.0), 6)
    1.5
    """
    if shape < 0.05 or scale <= 0 or time < 0 or not math.isfinite(shape + scale + time):
        raise BadInput(
            Message(
                "Shape and scale must be positive (the shape at least 0.05), and the time "
                "not negative."
            )
        )
    if time == 0:
        return 0.0
    mean, lived = weibull_mean(shape, 1.0), time / scale
    if shape == 1.0:
        return lived
    squared = float(special.gamma(1.0 + 2.0 / shape)) / mean**2 - 1.0
    if shape > 1.0:
        if lived > (12.0 + 0.6 / squared) * mean:
            return lived / mean + (squared - 1.0) / 2.0
        return _stepped(shape, lived, mean=mean, spread=mean * math.sqrt(squared))
    power = lived**shape
    return _series(shape, power) if power < _FEW else _inverted(shape, lived)
