r"""What to do on an uncertain belief: best acts, what knowing more is worth, in what order to try.

Actions and states are numbered; a set of actions is a number with one bit an action.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wetend.keeping import MB, kept

Array = NDArray[np.float64]
Sets = NDArray[np.intp]


def ratio_order(chances: ArrayLike, costs: ArrayLike) -> list[int]:
    r"""In which order to try actions of which just one is needed: by falling chance over cost.

    Least expected cost :math:`\sum_k c_k (1 - \sum_{j<k} p_j)`. Source: Kadane and Simon, "Optimal
    strategies for a class of constrained sequential problems", Annals of Statistics 5 (1977).

    >>> ratio_order([0.5, 0.3, 0.2], [10.0, 2.0, 8.0])
    [1, 0, 2]
    """
    ratio = np.asarray(chances, dtype=float) / np.asarray(costs, dtype=float)
    return [int(k) for k in np.argsort(-ratio, kind="stable")]


def expected_cost(order: Sequence[int], needed: ArrayLike, costs: ArrayLike) -> float:
    r"""Expected cost of trying actions in this order until all that are needed are done.

    .. math:: \sum_k c(a_k \mid S_{k-1})\, P(\text{needed} \not\subseteq S_{k-1})

    Args:
        order: actions, first to last.
        needed: chance of each set of actions being the set needed, ``2**n`` entries.
        costs: cost of each action, or a table of it by the set already done (``2**n`` by n).
    """
    chance = np.asarray(needed, dtype=float)
    table = _by_set(costs, len(chance))
    held = covered(chance)
    done, total = 0, 0.0
    for action in order:
        total += float(table[done, action]) * (float(chance.sum()) - float(held[done]))
        done |= 1 << action
    return total


def covered(needed: Array) -> Array:
    """For each set of actions, the chance that nothing outside it is needed.

    The last axis runs over sets. Source: sum over subsets one bit at a time (Yates 1937).

    >>> covered(np.array([0.1, 0.2, 0.3, 0.4])).tolist()
    [0.1, 0.30000000000000004, 0.4, 1.0]
    """
    held = np.array(needed, dtype=float, order="C")
    for bit in reversed(range(int(held.shape[-1]).bit_length() - 1)):
        pairs = held.reshape(-1, 2, 1 << bit)
        pairs[:, 1] += pairs[:, 0]
    return held


def _by_set(costs: ArrayLike, sets: int) -> Array:
    table = np.asarray(costs, dtype=float)
    return np.broadcast_to(table, (sets, table.shape[-1]))


@dataclass(frozen=True, eq=False)
class Plan:
    """The order of least expected cost, for each belief."""

    cost: Array
    """Expected cost, one a belief."""
    first: NDArray[np.intp]
    """Beliefs by sets: the next action when that set is done."""

    def order(self, which: int = 0) -> list[int]:
        """All actions, first to last."""
        done, found = 0, []
        while done < self.first.shape[1] - 1:
            action = int(self.first[which, done])
            found.append(action)
            done |= 1 << action
        return found


@kept("sets of actions", most=8 * MB)
def _levels(actions: int) -> tuple[tuple[Sets, Sets], ...]:
    """Sets of so many actions with the sets that one action more leads to (sets by actions), those
    of most actions first; an action done already leads to the set itself.
    """
    sets = np.arange(2**actions - 1)
    many = np.array([done.bit_count() for done in sets.tolist()])
    after = sets[:, None] | 1 << np.arange(actions)
    return tuple((sets[many == k], after[many == k]) for k in reversed(range(actions)))


def least_cost_order(needed: ArrayLike, costs: ArrayLike) -> Plan:
    r"""The order of least :func:`expected_cost`, for one belief or many.

    .. math:: V(S) = \min_{a \notin S} \; c(a \mid S)\, P(\text{needed} \not\subseteq S)
              + V(S \cup a)

    Exact, whatever the chances, even if costs depend on what is done. Source: dynamic programming
    over sets (Held and Karp 1962).

    Args:
        needed: chance of each set of actions being the set needed; ``2**n`` entries, or a row of
            them a belief. Rows need not add up to 1.
        costs: as in :func:`expected_cost`.
    """
    chance = np.atleast_2d(np.asarray(needed, dtype=float))
    beliefs, sets = chance.shape
    table = _by_set(costs, sets)
    left = np.ascontiguousarray((chance.sum(axis=1, keepdims=True) - covered(chance)).T)
    cost = np.zeros((sets, beliefs))
    first = np.zeros((sets, beliefs), dtype=np.intp)
    for done, after in _levels(table.shape[1]):  # sets of as many actions hang on larger ones alone
        tries = table[done][:, :, None] * left[done][:, None]
        tries += cost[after]
        tries[after == done[:, None]] = np.inf
        first[done], cost[done] = tries.argmin(axis=1), tries.min(axis=1)
    return Plan(cost[0], np.ascontiguousarray(first.T))
