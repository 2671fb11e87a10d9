"""Features made alike in spread, unlike one another and without memory: the odd stands out.

A matched filter is the best one only against white noise; site noise is anything but white: a gust
lifts every pitch together, a compressor beats. Whitening takes both out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.lazy_import import image
from wetend.units.quantity import Ratio, S

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_CLIP = 6.0
_SHRINK: Ratio = 0.1
"""Share by which features are taken to be uncorrelated anyway; steadies short records."""
_RHYTHM, _BEAT, _QUICK = 1.0, 0.15, 5.0
"""Hertz: width of smoothing about the pump's rhythm, about a quicker beat; where quick begins."""
_LEAST = 0.02
"""Least power left to divide by, as a share of the mean."""


def decorrelate(bands: Floats, known: Flags) -> Floats:
    r"""Features turned and scaled so that none goes with another: zero-phase, by the root.

    .. math:: Y = \Sigma^{-1/2} X, \qquad
              \Sigma = (1 - a) \hat\Sigma + a \operatorname{diag} \hat\Sigma

    Source: Ledoit and Wolf, "A well-conditioned estimator for large-dimensional covariance
    matrices", *Journal of Multivariate Analysis* 88 (2004) 365-411, for the shrinking, here with a
    fixed share; the inverse root is the Mahalanobis whitening of the textbooks.
    """
    seen = np.clip(bands[:, known], -_CLIP, _CLIP)
    if seen.shape[1] < 2 * bands.shape[0]:
        return bands
    spread = np.atleast_2d(np.cov(seen))
    spread = (1 - _SHRINK) * spread + _SHRINK * np.diag(np.diag(spread))
    values, axes = np.linalg.eigh(spread)
    root = axes @ np.diag(1 / np.sqrt(np.maximum(values, 1e-6 * values.max() + 1e-12))) @ axes.T
    turned: Floats = np.where(known[None, :], root @ bands, 0.0)
    return turned


def _shape(power: Floats, resolution: float) -> Floats:
    """A spectrum in time smoothed, but sharp enough above some hertz to show a machine's beat."""
    smooth = image.gaussian_filter1d(power, max(1.0, _RHYTHM / resolution), mode="nearest")
    sharp = image.gaussian_filter1d(power, max(1.0, _BEAT / resolution), mode="nearest")
    quick = np.arange(power.size) * resolution > _QUICK
    shape: Floats = np.where(quick, np.maximum(smooth, sharp), smooth)
    held: Floats = np.maximum(shape, _LEAST * shape.mean() + 1e-30)
    return held


def prewhiten(bands: Floats, step: S, known: Flags) -> Floats:
    """Features whose noise has no memory: each spectrum in time divided by its own smooth shape.

    The shape is smoothed more widely than the pump's own rhythm, which so stays; what beats more
    than five times a second is another machine and is divided out.
    """
    count = bands.shape[1]
    size = 1 << (2 * count - 1).bit_length()
    out = np.empty_like(bands)
    for i, row in enumerate(bands):
        spectrum = np.fft.rfft(row, size)
        calm = np.fft.rfft(np.clip(row, -_CLIP, _CLIP), size)
        shape = _shape(np.abs(calm) ** 2, 1 / (size * step))
        out[i] = np.fft.irfft(spectrum / np.sqrt(shape), size)[:count]
    out = np.where(known[None, :], out, 0.0)
    scale = 1.4826 * np.median(np.abs(out[:, known]), axis=1) if known.any() else np.ones(len(out))
    whitened: Floats = out / np.maximum(scale, 1e-12)[:, None]
    return whitened
