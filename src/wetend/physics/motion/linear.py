"""Small dense linear systems, solved again and again: invert once, then multiply for each stage.

At a dozen unknowns an inverse costs little more than factors, and a product with it is quicker than
two triangular solutions, each row of which has to wait for the one before.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Reals, Table, Whole, Wholes, compiled, inner

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@inner(Whole(Table, Whole))
def largest_above(matrix: Array, k: int) -> int:
    """Row at or above ``k`` with the largest number in column ``k``."""
    best = k
    large = abs(matrix[k, k])
    for i in range(k):
        if abs(matrix[i, k]) > large:
            large = abs(matrix[i, k])
            best = i
    return best


@inner(Nothing(Table, Wholes))
def put_back(matrix: Array, order: Integers) -> None:
    """Exchange columns as rows were exchanged, the last exchange first."""
    n = matrix.shape[0]
    for k in range(n):
        best = order[k]
        if best != k:
            for i in range(n):
                matrix[i, k], matrix[i, best] = matrix[i, best], matrix[i, k]


@compiled(Whole(Table, Wholes))
def invert(matrix: Array, order: Integers) -> int:
    """Invert the square left part of a matrix in place; 1 if it is singular.

    Columns right of the square are multiplied by the inverse. ``order`` is working space, an entry
    a row. It begins at the last row and skips zeros, so that a matrix is cheap whose last columns
    hold little. Source: Gauss-Jordan elimination with partial pivoting, any textbook.
    """
    n, wide = matrix.shape
    for k in range(n - 1, -1, -1):
        best = largest_above(matrix, k)
        order[k] = best
        if not abs(matrix[best, k]) > 0.0:
            return 1
        if best != k:
            for j in range(wide):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
        inverse = 1.0 / matrix[k, k]
        matrix[k, k] = 1.0
        for j in range(wide):
            matrix[k, j] *= inverse
        for i in range(n):
            share = matrix[i, k]
            if i != k and share != 0.0:
                matrix[i, k] = 0.0
                for j in range(wide):
                    matrix[i, j] -= share * matrix[k, j]
    put_back(matrix, order)
    return 0


@compiled(Nothing(Reals, Table, Reals))
def multiply(row: Array, matrix: Array, out: Array) -> None:
    """Product of a row (its first entries, one for each row of the matrix) with a matrix.

    >>> matrix, out = np.array([[0.0, 2.0, 1.0], [4.0, 1.0, 0.0]]), np.zeros(3)
    >>> invert(matrix, np.zeros(2, np.int64))
    0
    >>> multiply(np.array([2.0, 9.0]), matrix, out)
    >>> out
    array([4.25, 0.5 , 4.25])
    """
    n, wide = matrix.shape
    for i in range(wide):
        out[i] = 0.0
    j = 0
    while j + 4 <= n:
        a, b, c, d = row[j], row[j + 1], row[j + 2], row[j + 3]
        for i in range(wide):
            out[i] += (a * matrix[j, i] + b * matrix[j + 1, i]) + (
                c * matrix[j + 2, i] + d * matrix[j + 3, i]
            )
        j += 4
    for k in range(j, n):
        a = row[k]
        for i in range(wide):
            out[i] += a * matrix[k, i]
