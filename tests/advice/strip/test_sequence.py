"""The sequencing core against published optima and against trying every order."""

from __future__ import annotations

import itertools
import math
import random

import pytest

from wetend.advice.strip.sequence import Jobs, Move, cheapest_order, count_orders
from wetend.errors import NoAnswer

# TSPLIB, sequential ordering problems: -1 in row i, column j says that j comes before i.
# Instances of Escudero; optima as published with the library.
ESC07 = """
0 0 0 0 0 0 0 0 1000000
-1 0 100 200 75 0 300 100 0
-1 400 0 500 325 400 600 0 0
-1 700 800 0 550 700 900 800 0
-1 -1 250 225 0 275 525 250 0
-1 -1 100 200 -1 0 -1 -1 0
-1 -1 1100 1200 1075 1000 0 1100 0
-1 -1 0 500 325 400 600 0 0
-1 -1 -1 -1 -1 -1 -1 -1 0
"""
ESC11 = """
0 0 0 0 0 0 0 0 0 0 0 0 1000000
-1 0 387 440 682 657 584 688 708 362 357 927 0
-1 -1 0 10 935 439 127 769 498 836 341 956 0
-1 -1 -1 0 596 865 70 513 512 373 824 220 0
-1 319 277 439 0 428 212 412 771 620 651 605 0
-1 -1 -1 60 988 0 326 279 687 295 738 270 0
-1 312 158 704 881 696 0 277 413 396 268 156 0
-1 512 939 784 271 432 771 0 279 436 31 444 0
-1 875 927 364 629 419 788 923 0 858 761 139 0
-1 365 43 766 924 845 437 395 991 0 980 359 0
-1 978 839 918 822 885 276 96 537 211 0 608 0
-1 864 168 211 455 543 904 412 535 954 971 0 0
-1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 -1 0
"""

Matrix = list[list[int]]


def matrix_of(text: str) -> Matrix:
    return [[int(x) for x in line.split()] for line in text.strip().splitlines()]


def jobs_of(costs: Matrix) -> Jobs[int]:
    """A sequential ordering problem as jobs: the context is the node stood at, node 0 the start."""
    size = len(costs)
    before = tuple(sum(1 << j for j in range(size) if costs[i][j] == -1) for i in range(size))
    columns = [[costs[i][j] for i in range(size) if i != j] for j in range(size)]
    into = [min((c for c in column if c >= 0), default=0) for column in columns]

    def moves(at, ready):
        return [Move(j, 0, 0 if j == at else costs[at][j], j) for j in ready]

    def least(left, at):
        return sum(into[j] for j in range(size) if left >> j & 1 and j != at)

    return Jobs(before, moves, least)


@pytest.mark.parametrize(("text", "optimum"), [(ESC07, 2125), (ESC11, 2075)])
def test_published_optimum_of_sequential_ordering(text: str, optimum: int) -> None:
    costs = matrix_of(text)
    order = cheapest_order(jobs_of(costs), 0)
    nodes = [m.job for m in order.moves]
    assert order.cost == optimum
    assert sum(costs[a][b] for a, b in itertools.pairwise(nodes)) == optimum
    assert sorted(nodes) == list(range(len(costs)))
    for place, node in enumerate(nodes):
        assert all(costs[node][later] != -1 for later in nodes[place + 1 :])


def test_esc07_agrees_with_all_252_orders() -> None:
    # the optimum is reached, and nothing of the 252 feasible orders is below it
    costs = matrix_of(ESC07)
    feasible = []
    for middle in itertools.permutations(range(1, 8)):
        nodes = (0, *middle, 8)
        if all(costs[a][b] != -1 for a, b in itertools.combinations(nodes, 2)):
            feasible.append(sum(costs[a][b] for a, b in itertools.pairwise(nodes)))
    assert len(feasible) == 252
    assert min(feasible) == cheapest_order(jobs_of(costs), 0).cost
    before = jobs_of(costs).before
    assert count_orders(before) == 252


def random_before(rng: random.Random, size: int, share: float) -> tuple[int, ...]:
    return tuple(sum(1 << j for j in range(i) if rng.random() < share) for i in range(size))


@pytest.mark.parametrize("seed", range(40))
def test_cheapest_order_equals_trying_every_order(seed: int) -> None:
    rng = random.Random(seed)
    size = rng.randint(2, 7)
    before = random_before(rng, size, rng.random() * 0.6)
    costs = [[rng.randint(0, 50) for _ in range(size)] for _ in range(size)]
    first = [rng.randint(0, 50) for _ in range(size)]

    def moves(at, ready):
        return [Move(j, 0, first[j] if at < 0 else costs[at][j], j) for j in ready]

    best = math.inf
    count = 0
    for nodes in itertools.permutations(range(size)):
        done = 0
        for node in nodes:
            if before[node] & ~done:
                break
            done |= 1 << node
        else:
            count += 1
            pairs = itertools.pairwise(nodes)
            best = min(best, first[nodes[0]] + sum(costs[a][b] for a, b in pairs))
    order = cheapest_order(Jobs(before, moves, lambda left, at: 0.0), -1)
    assert order.cost == best
    assert count_orders(before) == count


@pytest.mark.parametrize("within", [1.0, 1.1, 2.0])
def test_an_order_within_a_share_of_the_least_is_within_it(within: float) -> None:
    jobs = jobs_of(matrix_of(ESC11))
    least = cheapest_order(jobs, 0)
    near = cheapest_order(jobs, 0, within=within)
    assert least.cost <= near.cost <= within * least.cost
    assert near.states <= least.states


def test_jobs_that_wait_for_each_other_have_no_order() -> None:
    def moves(at, ready):
        return [Move(j, 0, 1.0, j) for j in ready]

    with pytest.raises(NoAnswer, match="wait for each other"):
        cheapest_order(Jobs((0b10, 0b01), moves, lambda left, at: 0.0), -1)
    assert count_orders((0b10, 0b01)) == 0


def test_too_loose_a_set_is_given_up_with_a_sentence() -> None:
    rng = random.Random(3)
    costs = [[rng.randint(1, 99) for _ in range(12)] for _ in range(12)]

    def moves(at, ready):
        return [Move(j, 0, costs[at][j], j) for j in ready]

    with pytest.raises(NoAnswer, match="too many orders"):
        cheapest_order(Jobs((0,) * 12, moves, lambda left, at: 0.0), 0, most_states=200)


def test_orders_too_many_to_count_are_not_counted() -> None:
    assert count_orders((0,) * 24) is None
    assert count_orders((0,) * 6) == math.factorial(6)
