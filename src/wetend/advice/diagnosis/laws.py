"""Normal laws of the pumps' rows, fitted to those that count and drawn from again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.prior import LUMP, NUISANCES, SIZES
from wetend.advice.faults.tables import CARRIED_AWAY

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

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """So many rows."""
        rows = rng.standard_normal((count, SIZES))
        rows[:, self.columns] = self.mean + rows[:, self.columns] @ self.root.T
        return rows

    @cached_property
    def form(self) -> tuple[Array, Array, float]:
        """The logarithm of the density over the prior's, multiplied out: the matrix and the row of
        a square form, and what is taken off it.
        """
        back = np.linalg.inv(self.root)
        precise, pull = back.T @ back, back.T @ (back @ self.mean)
        scale = float(np.log(np.diag(self.root)).sum()) + 0.5 * float(self.mean @ pull)
        return 0.5 * (np.eye(len(pull)) - precise), pull, scale


def log_ratios(laws: Sequence[Normal], own: Array) -> Array:
    """Logarithm of each law's density over the prior's: laws by rows of its own columns."""
    shapes, pulls, scales = (
        np.array(each) for each in zip(*(law.form for law in laws), strict=True)
    )
    sloped = own @ shapes
    sloped += pulls[:, None]
    return np.asarray(np.einsum("kij,ij->ki", sloped, own) - scales[:, None])


def columns_of(present: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Columns that matter to a set of causes."""
    comes_loose = any(present[c] for clears in CARRIED_AWAY.values() for c in clears)
    loose = np.array([LUMP] if comes_loose else [], dtype=np.intp)
    return np.concatenate([np.arange(NUISANCES), NUISANCES + np.flatnonzero(present), loose])


def fitted(own: Array, weight: Array, columns: NDArray[np.intp]) -> Normal:
    """A normal law fitted to weighed rows, drawn towards the prior where there are few."""
    weight = weight / weight.sum()
    effective = 1.0 / float(np.sum(weight**2))
    size = len(columns)
    trust = effective / (effective + _CAUTION * size)
    mean = weight @ own
    off = own - mean
    spread = (off * weight[:, None]).T @ off
    mixed = trust * _WIDER * spread + (1.0 - trust) * np.eye(size)
    root = np.linalg.cholesky(mixed + 1e-9 * np.eye(size)).astype(np.float64)
    return Normal(columns, np.asarray(trust * mean), root)


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
