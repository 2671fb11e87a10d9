"""Normal laws of the pumps' rows, fitted to those that count and drawn from again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import combinations_of_causes
from wetend.advice.diagnosis.prior import LUMP, NUISANCES, SIZES
from wetend.advice.faults.tables import CARRIED_AWAY
from wetend.keeping import constant

Array = NDArray[np.float64]

_WIDER = 1.25
_CAUTION = 3.0
"""Pumps a column before a fit is trusted as much as the prior: a law fitted to few lies too close
about them, and takes their weight away."""


@dataclass(frozen=True, eq=False)
class Normal:
    """A normal law of the rows, for one set of causes.

    Only the columns that matter to it are fitted (mean, root of the covariance); the rest stay as
    the prior has them, so that few pumps are enough for a fit.
    """

    columns: NDArray[np.intp]
    mean: Array
    root: Array
    shape: Array
    pull: Array
    scale: float
    """The logarithm of the density over the prior's, multiplied out: the matrix and the row of a
    square form, and what is taken off it."""

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """So many rows."""
        rows = rng.standard_normal((count, SIZES))
        rows[:, self.columns] = self.mean + rows[:, self.columns] @ self.root.T
        return rows

    def log_ratio(self, own: Array) -> Array:
        """Logarithm of the density over the prior's, of rows of its own columns."""
        sloped = own @ self.shape
        sloped += self.pull
        return np.asarray(np.einsum("ij,ij->i", sloped, own) - self.scale)


def normals(
    columns: Sequence[NDArray[np.intp]], means: Sequence[Array], roots: Sequence[Array]
) -> list[Normal]:
    """Laws of these columns, means and roots; what is computed of matrices is computed for all
    those of a size at once, as each call takes longer than the computing for one.
    """
    sizes, found = np.array([len(mean) for mean in means]), {}
    for size in np.unique(sizes):
        which = np.flatnonzero(sizes == size).tolist()
        mean, root = (np.stack([each[k] for k in which]) for each in (means, roots))
        back = np.linalg.inv(root)
        turned = back.transpose(0, 2, 1)
        pull = (turned @ (back @ mean[:, :, None]))[:, :, 0]
        scale = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        scale = scale + 0.5 * np.sum(mean * pull, axis=1)
        shape = 0.5 * (np.eye(size) - turned @ back)
        for place, k in enumerate(which):
            found[k] = Normal(
                columns[k], mean[place], root[place], shape[place], pull[place], float(scale[place])
            )
    return [found[k] for k in range(len(columns))]


def log_ratios(laws: Sequence[Normal], own: Array) -> Array:
    """Logarithm of each law's density over the prior's: laws by rows of its own columns."""
    return np.array([law.log_ratio(own) for law in laws])


@constant("columns that matter to each set of causes")
def columns_of_rows() -> tuple[NDArray[np.intp], ...]:
    """Columns that matter to each set of causes, by row."""
    return tuple(_columns_of(row) for row in combinations_of_causes())


def _columns_of(present: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Columns that matter to a set of causes."""
    comes_loose = any(present[c] for clears in CARRIED_AWAY.values() for c in clears)
    loose = np.array([LUMP] if comes_loose else [], dtype=np.intp)
    return np.concatenate([np.arange(NUISANCES), NUISANCES + np.flatnonzero(present), loose])


@dataclass(frozen=True, eq=False)
class Weighed:
    """Rows of one set of causes with their weights, to fit a law to."""

    own: Array
    weight: Array
    columns: NDArray[np.intp]

    def moments(self) -> tuple[Array, Array]:
        """Mean and covariance for the law, drawn towards the prior where there are few."""
        weight = self.weight / self.weight.sum()
        effective = 1.0 / float(np.sum(weight**2))
        size = len(self.columns)
        trust = effective / (effective + _CAUTION * size)
        mean = weight @ self.own
        off = self.own - mean
        spread = (off * weight[:, None]).T @ off
        mixed = trust * _WIDER * spread + (1.0 - trust + 1e-9) * np.eye(size)
        return trust * mean, mixed


def fitted(rows: Sequence[Weighed]) -> list[Normal]:
    """A normal law fitted to each of some weighed rows."""
    means, spreads = zip(*(each.moments() for each in rows), strict=True)
    roots = [np.linalg.cholesky(spread) for spread in spreads]
    return normals([each.columns for each in rows], means, roots)


@dataclass(eq=False)
class Drawn:
    """The pumps of one set of causes so far, and the laws besides the prior they came from."""

    columns: NDArray[np.intp]
    own: Array
    """Those columns of their rows."""
    place: NDArray[np.intp]
    """Among all pumps."""
    laws: list[Normal] = field(default_factory=list)
    log_counts: list[float] = field(default_factory=list)
    """How many came from each."""

    def log_densities(self, own: Array, *, since: int = 0) -> Array:
        """Of the laws from one on, each weighed by what came from it: laws by pumps."""
        ratios = log_ratios(self.laws[since:], own)
        return np.asarray(ratios + np.array(self.log_counts[since:])[:, None])

    def take(self, own: Array, first: int) -> None:
        """More pumps, the first of them in this place."""
        self.own = np.concatenate([self.own, own])
        self.place = np.concatenate([self.place, first + np.arange(len(own))])
