"""How loud a recording is by pitch, at even steps of time, with steady noise taken out."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from wetend.stats.signal.follow import Features, robust_spread, standardised
from wetend.stats.signal.whitening import decorrelate, prewhiten
from wetend.units.quantity import S

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

STEP: S = 0.005
_WINDOW: S = 0.02
_LOWEST, _HIGHEST, _BANDS = 30.0, 8000.0, 24
_BACKGROUND: S = 2.0
"""Span over which the background is taken as steady."""
_CHUNK = 4096


def _band_matrix(rate: float, size: int) -> Floats:
    pitches = np.fft.rfftfreq(size, 1 / rate)
    edges = np.geomspace(_LOWEST, min(_HIGHEST, 0.45 * rate), _BANDS + 1)
    rows = []
    for low, high in itertools.pairwise(edges):
        weights = ((pitches >= low) & (pitches < high)).astype(float)
        if weights.sum() == 0:
            weights[np.argmin(np.abs(pitches - np.sqrt(low * high)))] = 1.0
        rows.append(weights / weights.sum())
    matrix = np.stack(rows)
    keep = np.r_[True, np.any(matrix[1:] != matrix[:-1], axis=1)]
    kept: Floats = matrix[keep]
    return kept


def band_levels(samples: Floats, rate: float) -> Floats:
    """Level in decibels of each band of pitch at every step: a row a band.

    Short-time Fourier transform with a Hann window of 20 ms.
    """
    hop, size = STEP * rate, round(_WINDOW * rate)
    padded = 1 << (2 * size - 1).bit_length()
    count = max(int((samples.size - size) / hop) + 1, 0)
    matrix, window = _band_matrix(rate, padded), np.hanning(size)
    levels = np.empty((matrix.shape[0], count))
    for start in range(0, count, _CHUNK):
        at = np.round(np.arange(start, min(start + _CHUNK, count)) * hop).astype(int)
        frames = samples[at[:, None] + np.arange(size)[None, :]] * window
        power = np.abs(np.fft.rfft(frames, padded, axis=1)) ** 2
        levels[:, start : start + at.size] = 10 * np.log10(matrix @ power.T + 1e-12)
    return levels


def _background(levels: Floats) -> Floats:
    """Running median of each band, taken at quarter-seconds and drawn straight between them."""
    count = levels.shape[1]
    stride, half = max(1, round(0.25 / STEP)), round(_BACKGROUND / STEP / 2)
    at = np.arange(0, count, stride)
    middles = np.stack(
        [np.median(levels[:, max(0, i - half) : i + half + 1], axis=1) for i in at], axis=1
    )
    return np.stack([np.interp(np.arange(count), at, row) for row in middles])


def _rise(bands: Floats) -> Floats:
    """How much louder the next 40 ms are than the 40 ms before, in each band."""
    reach = round(0.04 / STEP)
    sums = np.cumsum(np.pad(bands, ((0, 0), (reach + 1, reach))), axis=1)
    count = bands.shape[1]
    i = np.arange(count) + reach
    after = sums[:, i + reach] - sums[:, i]
    before = sums[:, i] - sums[:, i - reach]
    rise: Floats = (after - before) / reach
    return rise


def _groups(bands: int) -> tuple[slice, ...]:
    third = bands // 3
    return (slice(0, bands), slice(0, third), slice(third, 2 * third), slice(2 * third, bands))


def features_of(samples: Floats, rate: float, known: Flags | None = None) -> Features:
    """Loudness by pitch of a recording, standardised, with signs of sudden rises.

    Args:
        samples: one channel.
        rate: samples a second.
        known: false where nothing was recorded; one flag a step, or ``None``.
    """
    levels = band_levels(samples, rate)
    count = levels.shape[1]
    heard = np.ones(count, dtype=bool) if known is None else known[:count]
    bands = levels - _background(levels)
    bands = np.stack([row / robust_spread(row[heard]) if heard.any() else row for row in bands])
    bands = np.where(heard[None, :], np.clip(bands, -6.0, 12.0), 0.0)
    rises = np.clip(_rise(bands), 0.0, 6.0)
    means = [standardised(rises[group].mean(axis=0), heard) for group in _groups(len(bands))]
    signs = tuple(prewhiten(np.stack(means), STEP, heard))
    white = prewhiten(decorrelate(bands, heard), STEP, heard)
    return Features(_WINDOW / 2, STEP, white, signs, heard)
