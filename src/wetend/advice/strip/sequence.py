"""The cheapest order of jobs of which some must come before others: exact, by best-first search.

A state is the set of jobs done and a *context* (the last job, or the tools in hand and how the pump
lies): what went before matters for what follows through these alone, so one best way into each
state is enough. That is Held and Karp's dynamic programme over sets (J. SIAM 10, 1962, 196-210),
searched in the order of cost so far plus a lower bound on the rest (Hart, Nilsson and Raphael,
IEEE Trans. SSC-4, 1968, 100-107), both cited from memory. The first complete order taken from the
heap is the cheapest, because no state left on it can be completed for less. With the bound on the
rest stretched by a factor the search is quicker and its order costs at most that factor more
(Pohl, Artificial Intelligence 1, 1970, 193-204, from memory).
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from wetend.errors import NoAnswer
from wetend.units.message import Message

Context = TypeVar("Context", bound=Hashable)
MOST_STATES = 400_000


class TooMany(NoAnswer):
    """More states than were allowed; no order is proven."""


@dataclass(frozen=True)
class Move(Generic[Context]):
    """One job done next, in one of its ways."""

    job: int
    way: int
    cost: float
    context: Context
    """After the job."""


@dataclass(frozen=True)
class Jobs(Generic[Context]):
    """Jobs to put in order.

    Attributes:
        before: for each job, the bit set of jobs that must be done first.
        moves: the moves worth trying from a context among the jobs ready to be done.
        least: a lower bound on the cost of all jobs left (a bit set), from a context. It must not
            fall by more than a move costs when that move is made.
    """

    before: tuple[int, ...]
    moves: Callable[[Context, Sequence[int]], Iterable[Move[Context]]]
    least: Callable[[int, Context], float]


@dataclass(frozen=True)
class Order(Generic[Context]):
    """The cheapest order."""

    moves: tuple[Move[Context], ...]
    cost: float
    states: int
    """States examined to prove it."""


_State = tuple[int, Context]


def cheapest_order(
    jobs: Jobs[Context],
    start: Context,
    *,
    within: float = 1.0,
    most_states: int = MOST_STATES,
) -> Order[Context]:
    """Put all jobs in the order of least total cost.

    Args:
        jobs: what must come first and what each move costs.
        start: the context before the first job.
        within: be content with an order of so many times the least cost.
        most_states: give up beyond so many states met.

    Raises:
        TooMany: there are too many states to prove an order.
        NoAnswer: the jobs wait for each other.
    """
    everything = (1 << len(jobs.before)) - 1
    origin: _State[Context] = (0, start)
    cost: dict[_State[Context], float] = {origin: 0.0}
    came: dict[_State[Context], tuple[_State[Context], Move[Context]]] = {}
    heap = [(jobs.least(everything, start), 0, 0, 0.0, origin)]
    pushed = examined = 0
    while heap:
        _, _, _, spent, state = heapq.heappop(heap)
        if spent > cost[state]:
            continue
        examined += 1
        if state[0] == everything:
            return Order(_traced(came, state), spent, examined)
        if len(cost) > most_states:
            raise TooMany(
                Message(
                    "There are too many orders to prove one the shortest; describe what more "
                    "operations come after."
                )
            )
        done, context = state
        for move in jobs.moves(context, _ready(jobs.before, done)):
            after = (done | 1 << move.job, move.context)
            total = spent + move.cost
            if total < cost.get(after, float("inf")):
                cost[after], came[after] = total, (state, move)
                pushed += 1
                bound = total + within * jobs.least(everything & ~after[0], move.context)
                depth = -after[0].bit_count()
                heapq.heappush(heap, (bound, depth, pushed, total, after))
    raise NoAnswer(Message("These operations wait for each other; none of them can go first."))


def _ready(before: Sequence[int], done: int) -> list[int]:
    return [j for j, first in enumerate(before) if not done >> j & 1 and not first & ~done]


def _traced(
    came: dict[_State[Context], tuple[_State[Context], Move[Context]]], state: _State[Context]
) -> tuple[Move[Context], ...]:
    """The moves that led to a state, first to last."""
    moves = []
    while state in came:
        state, move = came[state]
        moves.append(move)
    return tuple(reversed(moves))


def count_orders(before: Sequence[int], *, most_sets: int = 50_000) -> int | None:
    """How many orders respect the precedence; ``None`` when counting would take too long.

    >>> count_orders([0, 0, 0b001])
    3
    """
    everything = (1 << len(before)) - 1
    layer = {0: 1}
    seen = 1
    while layer and everything not in layer:
        following: dict[int, int] = {}
        for done, ways in layer.items():
            for job in _ready(before, done):
                after = done | 1 << job
                following[after] = following.get(after, 0) + ways
        layer = following
        seen += len(layer)
        if seen > most_sets:
            return None
    return layer.get(everything, 0)
