"""Two lengths of stroke mixed together, told apart without knowing which is which."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.quantity import Ratio

Floats = NDArray[np.float64]
_ROUNDS = 500


@dataclass(frozen=True)
class Mixture:
    """Two normal laws mixed: the shorter first."""

    share: Ratio
    """Share of the first."""
    means: tuple[float, float]
    spreads: tuple[float, float]
    log_likelihood: float


def _log_density(x: Floats, mean: float, spread: float) -> Floats:
    z = (x - mean) / spread
    density: Floats = -0.5 * z * z - np.log(spread) - 0.5 * np.log(2 * np.pi)
    return density


def two_normals(values: Sequence[float], *, tolerance: float = 1e-10) -> Mixture:
    """Shares, means and spreads of two normal laws mixed, by expectation and maximisation.

    Begun from the halves either side of the median; a spread never falls below a thousandth of
    the whole range. Source: Dempster, Laird and Rubin, "Maximum likelihood from incomplete data
    via the EM algorithm", *Journal of the Royal Statistical Society* B 39 (1977) 1-38.

    Raises:
        BadInput: fewer than four values, all alike, or one not an ordinary number.

    >>> two_normals([0.98, 1.0, 1.02, 1.4, 1.41, 1.39, 1.43]).means
    (1.0, 1.4075)
    """
    x = np.sort(np.asarray(values, dtype=float))
    if x.size < 4 or not np.isfinite(x).all() or x[0] == x[-1]:
        raise BadInput(Message("Two lengths need at least four ordinary numbers, not all alike."))
    floor = float(x[-1] - x[0]) * 1e-3
    half = x.size // 2
    parts = (x[:half], x[half:])
    share = np.array([0.5, 0.5])
    means = np.array([p.mean() for p in parts])
    spreads = np.array([max(float(p.std()), floor) for p in parts])
    last = -np.inf
    for _ in range(_ROUNDS):
        logs = np.stack(
            [np.log(share[k]) + _log_density(x, means[k], spreads[k]) for k in (0, 1)]
        )  # fmt: skip
        whole = np.logaddexp(logs[0], logs[1])
        now = float(whole.sum())
        if now - last < tolerance * abs(now):
            break
        last = now
        held = np.exp(logs - whole)
        count = np.maximum(held.sum(axis=1), 1e-9)
        share = np.clip(count / x.size, 1e-9, 1.0)
        means = held @ x / count
        squares = (held * (x - means[:, None]) ** 2).sum(axis=1) / count
        spreads = np.maximum(np.sqrt(squares), floor)
    first, second = (0, 1) if means[0] <= means[1] else (1, 0)
    return Mixture(
        float(share[first]), (float(means[first]), float(means[second])),
        (float(spreads[first]), float(spreads[second])), now,
    )  # fmt: skip
