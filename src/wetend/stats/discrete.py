r"""Beliefs over a finite list of states: what readings do to them, and how much a reading tells.

A belief is an array of weights, one a state; a channel is a table with a row for each thing that
may be read and a column for each state, of the chance to read it there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike


def entropy(weights: ArrayLike) -> float:
    r"""How undecided a belief is, in bits.

    .. math:: H = -\sum_s p_s \log_2 p_s

    Source: Shannon 1948.

    >>> entropy([0.5, 0.5]), entropy([1.0, 0.0])
    (1.0, 0.0)
    """
    held = np.asarray(weights, dtype=float).ravel()
    held = held[held > 0]
    return max(float(-np.sum(held * np.log2(held))), 0.0)


def information(joint: ArrayLike) -> float:
    r"""What two things tell of each other, in bits, from the table of their joint chances.

    .. math:: I = H(\text{rows}) + H(\text{columns}) - H(\text{table})

    Source: Shannon's mutual information.

    >>> information([[0.5, 0.0], [0.0, 0.5]]), information([[0.25, 0.25], [0.25, 0.25]])
    (1.0, 0.0)
    """
    table = np.asarray(joint, dtype=float)
    return max(entropy(table.sum(axis=1)) + entropy(table.sum(axis=0)) - entropy(table), 0.0)
