r"""Beliefs over a finite list of states: what readings do to them, and how much a reading tells.

A belief is an array of weights, one a state; a channel is a table with a row for each thing that
may be read and a column for each state, of the chance to read it there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def updated(belief: ArrayLike, *likelihoods: ArrayLike) -> Array:
    r"""A belief after readings that are independent given the state.

    .. math:: P(s \mid r) \propto P(s) \prod_k P(r_k \mid s)

    Source: Bayes' rule. Readings impossible in every state leave the belief as it was.

    >>> updated([0.5, 0.3, 0.2], [0.1, 0.3, 0.5]).round(4).tolist()
    [0.2083, 0.375, 0.4167]
    """
    before = np.asarray(belief, dtype=float)
    weight = before.copy()
    for likelihood in likelihoods:
        weight = weight * np.asarray(likelihood, dtype=float)
    total = float(weight.sum())
    return np.asarray((weight if total > 0 else before) / (total if total > 0 else before.sum()))


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


def expected_information(belief: ArrayLike, channel: ArrayLike) -> float:
    """What reading a channel is expected to tell of the state, in bits (Lindley 1956).

    >>> expected_information([0.5, 0.5], [[0.9, 0.1], [0.1, 0.9]])  # 1 - H(0.1)
    0.531004
    """
    return information(np.asarray(channel, dtype=float) * np.asarray(belief, dtype=float))


def chance_of_each(belief: ArrayLike, members: ArrayLike) -> Array:
    """Chance of each of several properties, from a belief over states and a table of which has
    which (states by properties).

    >>> chance_of_each([0.2, 0.3, 0.5], [[1, 0], [1, 1], [0, 1]]).tolist()
    [0.5, 0.8]
    """
    weights = np.asarray(belief, dtype=float)
    return np.asarray(weights @ np.asarray(members, dtype=float) / weights.sum())
