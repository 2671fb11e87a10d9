"""Small dense linear systems, solved again and again: factor once, then solve for each stage."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.physics.motion.compiled import Nothing, Reals, Table, Whole, Wholes, compiled

Array = NDArray[np.float64]


@compiled(Whole(Table, Wholes))
def factor(matrix: Array, order: NDArray[np.int64]) -> int:
    """Factor a square matrix in place, rows exchanged for the largest pivot; 1 if it is singular.

    Nought multipliers are skipped, which makes a sparse matrix cheap.
    Source: Gaussian elimination with partial pivoting, any textbook.
    """
    n = matrix.shape[0]
    for k in range(n):
        best = k
        large = abs(matrix[k, k])
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > large:
                large = abs(matrix[i, k])
                best = i
        order[k] = best
        if not large > 0.0:
            return 1
        if best != k:
            for j in range(n):
                held = matrix[k, j]
                matrix[k, j] = matrix[best, j]
                matrix[best, j] = held
        inverse = 1.0 / matrix[k, k]
        for i in range(k + 1, n):
            if matrix[i, k] != 0.0:
                share = matrix[i, k] * inverse
                matrix[i, k] = share
                for j in range(k + 1, n):
                    matrix[i, j] -= share * matrix[k, j]
        matrix[k, k] = inverse
    return 0


@compiled(Nothing(Table, Wholes, Reals))
def solve(matrix: Array, order: NDArray[np.int64], right: Array) -> None:
    """Solve in place with the factors that :func:`factor` left."""
    n = matrix.shape[0]
    for k in range(n):
        best = order[k]
        if best != k:
            held = right[k]
            right[k] = right[best]
            right[best] = held
    for i in range(1, n):
        total = right[i]
        for j in range(i):
            total -= matrix[i, j] * right[j]
        right[i] = total
    for i in range(n - 1, -1, -1):
        total = right[i]
        for j in range(i + 1, n):
            total -= matrix[i, j] * right[j]
        right[i] = total * matrix[i, i]
