"""Small dense linear systems, solved again and again: factor once, then solve for each stage."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wetend.physics.motion.compiled import Nothing, Reals, Table, Whole, Wholes, compiled, inner

Array = NDArray[np.float64]
Integers = NDArray[np.int64]


@inner(Whole(Table, Whole))
def largest_below(matrix: Array, k: int) -> int:
    """Row at or below ``k`` with the largest number in column ``k``."""
    best = k
    large = abs(matrix[k, k])
    for i in range(k + 1, matrix.shape[0]):
        if abs(matrix[i, k]) > large:
            large = abs(matrix[i, k])
            best = i
    return best


@inner(Nothing(Table, Whole, Whole))
def exchange(matrix: Array, one: int, other: int) -> None:
    """Exchange two rows."""
    for j in range(matrix.shape[1]):
        matrix[one, j], matrix[other, j] = matrix[other, j], matrix[one, j]


@inner(Nothing(Table, Wholes))
def find_extents(matrix: Array, order: Integers) -> None:
    """Where each row's numbers start left of the diagonal and end right of it."""
    n = matrix.shape[0]
    for i in range(n):
        first, last = 0, n - 1
        while first < i and matrix[i, first] == 0.0:
            first += 1
        while last > i and matrix[i, last] == 0.0:
            last -= 1
        order[n + i] = first
        order[2 * n + i] = last + 1


@compiled(Whole(Table, Wholes))
def factor(matrix: Array, order: Integers) -> int:
    """Factor a square matrix in place, rows exchanged for the largest pivot; 1 if it is singular.

    ``order`` has three entries a row: which row it was exchanged with, and where its numbers start
    and end. Noughts are skipped, which makes a sparse matrix cheap. The diagonal is left as its
    inverse. Source: Gaussian elimination with partial pivoting, any textbook.
    """
    n = matrix.shape[0]
    for k in range(n):
        best = largest_below(matrix, k)
        order[k] = best
        if not abs(matrix[best, k]) > 0.0:
            return 1
        if best != k:
            exchange(matrix, k, best)
        inverse = 1.0 / matrix[k, k]
        matrix[k, k] = inverse
        end = n
        while matrix[k, end - 1] == 0.0:
            end -= 1
        for i in range(k + 1, n):
            if matrix[i, k] != 0.0:
                share = matrix[i, k] * inverse
                matrix[i, k] = share
                for j in range(k + 1, end):
                    matrix[i, j] -= share * matrix[k, j]
    find_extents(matrix, order)
    return 0


@compiled(Nothing(Table, Wholes, Reals))
def solve(matrix: Array, order: Integers, right: Array) -> None:
    """Solve in place with the factors that :func:`factor` left; ``right`` may be longer.

    >>> matrix, order = np.array([[0.0, 2.0], [4.0, 1.0]]), np.zeros(6, np.int64)
    >>> factor(matrix, order)
    0
    >>> right = np.array([2.0, 9.0])
    >>> solve(matrix, order, right)
    >>> right
    array([2., 1.])
    """
    n = matrix.shape[0]
    for k in range(n):
        best = order[k]
        right[k], right[best] = right[best], right[k]
    for i in range(1, n):
        total = right[i]
        for j in range(order[n + i], i):
            total -= matrix[i, j] * right[j]
        right[i] = total
    for i in range(n - 1, -1, -1):
        total = right[i]
        for j in range(i + 1, order[2 * n + i]):
            total -= matrix[i, j] * right[j]
        right[i] = total * matrix[i, i]
