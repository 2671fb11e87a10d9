"""Lifetimes as they come: seen to fail, still going, or failed some time between two looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.units.message import Message

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Lifetimes:
    """Lifetimes with right, left and interval censoring.

    ``failed`` holds exact lives, ``going`` the ages of those still running, ``between`` pairs
    (low, high] for those that failed unseen; low 0 is left censoring. Each part has its own design
    matrix of covariates, one row a life; without covariates the matrices have one column of ones.
    """

    failed: Floats
    going: Floats
    between: Floats
    failed_x: Floats
    going_x: Floats
    between_x: Floats

    @property
    def failures(self) -> int:
        """How many are known to have failed."""
        return len(self.failed) + len(self.between)

    @property
    def covariates(self) -> int:
        """Columns of the design matrix."""
        return int(self.failed_x.shape[1])


def _matrix(rows: Sequence[Sequence[float]] | None, count: int, columns: int) -> Floats:
    given = [] if rows is None else rows
    if columns and len(given) != count:
        raise BadInput(Message("Give covariates for every life or for none."))
    matrix = np.asarray(given, dtype=float).reshape(count, columns)
    return np.column_stack([np.ones(count), matrix])


def lifetimes(
    failed: Sequence[float] = (),
    *,
    going: Sequence[float] = (),
    between: Sequence[tuple[float, float]] = (),
    failed_x: Sequence[Sequence[float]] | None = None,
    going_x: Sequence[Sequence[float]] | None = None,
    between_x: Sequence[Sequence[float]] | None = None,
) -> Lifetimes:
    """Lifetimes gathered and checked.

    Args:
        failed: ages at failure.
        going: ages of those that have not failed.
        between: pairs of ages: alive at the first (0 if never looked), failed by the second.
        failed_x: covariates of each failed life, without the constant; likewise the other two.
        going_x: covariates of those going.
        between_x: covariates of those between.

    Raises:
        BadInput: an age is not positive and finite, or a pair is not in order.
    """
    f, g = np.asarray(failed, dtype=float), np.asarray(going, dtype=float)
    b = np.asarray(between, dtype=float).reshape(-1, 2)
    ages = np.concatenate([f, g, b[:, 1]])
    if not (np.all(np.isfinite(ages)) and np.all(ages > 0)):
        raise BadInput(Message("Every age must be a positive number."))
    if np.any(b[:, 0] < 0) or np.any(b[:, 0] >= b[:, 1]):
        raise BadInput(
            Message("A pair of ages must be in order: last seen sound, then found failed.")
        )
    wide = next((len(x[0]) for x in (failed_x, going_x, between_x) if x), 0)
    return Lifetimes(
        f, g, b, _matrix(failed_x, len(f), wide), _matrix(going_x, len(g), wide),
        _matrix(between_x, len(b), wide),
    )  # fmt: skip
