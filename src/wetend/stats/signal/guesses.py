"""First guesses of the two stroke times, from how a signal agrees with itself later."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.stats.signal.alternation import LONGEST, SHORTEST
from wetend.units.quantity import S

Floats = NDArray[np.float64]


def self_agreement(signal: Floats, step: S, longest: S) -> Floats:
    """Autocorrelation at lags up to ``longest``, corrected for the shrinking overlap.

    By the fast Fourier transform (Wiener-Khinchin), 1 at no lag.
    """
    n = signal.size
    lags = min(int(longest / step) + 1, n // 2)
    size = 1 << (2 * n - 1).bit_length()
    spectrum = np.fft.rfft(signal - signal.mean(), size)
    raw = np.fft.irfft(np.abs(spectrum) ** 2, size)[: lags + 1]
    even = raw / (n - np.arange(lags + 1))
    agreed: Floats = even / even[0] if even[0] > 0 else even
    return agreed


def _widened(agreed: Floats, reach: int) -> Floats:
    kernel = np.hanning(2 * reach + 3)
    smoothed: Floats = np.convolve(agreed, kernel / kernel.sum(), mode="same")
    return smoothed


def _tops(values: Floats, most: int) -> list[int]:
    """Places of the highest local maxima, highest first."""
    inner = values[1:-1]
    at = np.flatnonzero((inner >= values[:-2]) & (inner > values[2:])) + 1
    return [int(i) for i in at[np.argsort(values[at])[::-1]][:most]]


def stroke_guesses(
    signal: Floats, step: S, *, cycles: int = 5, splits: int = 3, longest: S = LONGEST
) -> list[tuple[S, S]]:
    """Pairs of stroke times under which the signal agrees best with itself.

    The likeliest times of a whole cycle are those after which it agrees most, of which the shorter
    go first, since it agrees as well after two cycles as after one. Each is split in the two
    strokes where it agrees most at either time, and evenly.

    Args:
        signal: larger where the pump may be turning, evenly sampled.
        step: time between samples.
        cycles: cycle times tried.
        splits: ways each is split.
        longest: longest stroke thought of; never so long that three cycles do not fit the record.
    """
    far = min(2 * longest, signal.size * step / 3)
    if far <= 3 * SHORTEST:
        return []
    thin = max(1, round(0.02 / step))
    agreed = _widened(self_agreement(signal, step, far), thin)[::thin]
    grid = step * thin
    least = int(np.ceil(SHORTEST / grid))
    found: list[tuple[S, S]] = []
    known = agreed[2 * least :]
    nearer = np.maximum(known, 0.0) / np.sqrt(np.arange(known.size) + 2.0 * least)
    for top in _tops(nearer, cycles):
        cycle = top + 2 * least
        lags = np.arange(least, cycle // 2 + 1)
        either = agreed[lags] + agreed[cycle - lags]
        chosen = [int(lags[i - 1]) for i in _tops(np.pad(either, 1, constant_values=-9.0), splits)]
        shares = dict.fromkeys([*chosen, cycle // 2])
        found.extend((lag * grid, (cycle - lag) * grid) for lag in shares)
    return found
