"""Which operations a goal needs, and their cheapest order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wetend.advice.strip.costs import Costs, Held
from wetend.advice.strip.sequence import (
    Jobs,
    Order,
    TooMany,
    cheapest_order,
    count_orders,
)
from wetend.advice.strip.ways import Way
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation, StripGraph, must_precede
from wetend.units.quantity import S

GOAL_PARTS: dict[str, tuple[PartName, ...]] = {
    "foot-valve": ("foot-ball", "foot-seat"),
    "piston": ("piston-ball", "piston-seat", "moving-packings"),
    "static-packings": ("static-packings",),
    "whole": (),
}
"""Parts that must be in the hand for each goal; ``whole`` means every operation."""


def needed_for(
    graph: StripGraph, *goals: str
) -> tuple[tuple[Operation, ...], tuple[PartName, ...]]:
    """Operations some goals need, in the order described, and goal parts that no operation gives.

    An operation is needed when it gives one of the goal's parts or must come before one that does
    (by ``after``); an operation that leads belongs to a plan only when something in it comes after.
    """
    if "whole" in goals:
        return graph.operations, ()
    parts = tuple(dict.fromkeys(part for goal in goals for part in GOAL_PARTS[goal]))
    by_key = {o.key: o for o in graph.operations}
    waiting = [o.key for o in graph.operations if set(o.gives) & set(parts)]
    needed: set[str] = set()
    while waiting:
        key = waiting.pop()
        if key not in needed:
            needed.add(key)
            waiting += by_key[key].after
    chosen = tuple(o for o in graph.operations if o.key in needed)
    given = {part for o in chosen for part in o.gives}
    return chosen, tuple(p for p in parts if p not in given)


@dataclass(frozen=True)
class Placed:
    """One operation in its place, done in one of its ways."""

    operation: Operation
    way: Way
    turned: bool
    """The pump is laid another way before it."""
    time: S


@dataclass(frozen=True)
class Ordered:
    """The cheapest order of operations."""

    placed: tuple[Placed, ...]
    expected: S
    """Time with the chance of damaging a part weighed in."""
    states: int
    within: float
    """How many times the least expected time this is at most; 1 is proven least."""
    orders: int | None
    """Orders that keep the rules; ``None`` when too many to count."""


WITHIN = (1.0, 1.05, 1.5, 4.0)
"""How near the least expected time is asked for, in turn, when the one before takes too long."""
MOST_STATES = 60_000
"""Given up beyond so many, about two seconds."""


def put_in_order(
    graph: StripGraph,
    operations: Sequence[Operation],
    ways: Mapping[str, Sequence[Way]],
    *,
    start: Held = Held(),  # noqa: B008 - a plain immutable tuple
) -> Ordered:
    """The cheapest order of operations that can all be done, from where the work stands.

    With many operations and hardly a rule among them the proof can take too long; then an order
    within a stated share of the least is given, and ``within`` says so.

    Raises:
        NoAnswer: no order could be found in good time.
    """
    firsts = must_precede(operations)
    place = {o.key: i for i, o in enumerate(operations)}
    before = tuple(sum(1 << place[k] for k in firsts[o.key]) for o in operations)
    costs = Costs(graph, operations, [ways[o.key] for o in operations])
    jobs = Jobs(before, costs.moves, costs.least)
    order, within = _near_enough(jobs, start)
    placed = tuple(_placed(costs, order, start))
    return Ordered(placed, order.cost, order.states, within, count_orders(before))


def _near_enough(jobs: Jobs[Held], start: Held) -> tuple[Order[Held], float]:
    for within in WITHIN[:-1]:
        try:
            return cheapest_order(jobs, start, within=within, most_states=MOST_STATES), within
        except TooMany:
            continue
    return cheapest_order(jobs, start, within=WITHIN[-1], most_states=MOST_STATES), WITHIN[-1]


def _placed(costs: Costs, order: Order[Held], held: Held) -> Iterable[Placed]:
    """The moves of an order with the changes before each."""
    for move in order.moves:
        way = costs.ways[move.job][move.way]
        yield Placed(
            operation=costs.operations[move.job],
            way=way,
            turned=move.context.pose != held.pose,
            time=way.time + costs.change(held, move.context),
        )
        held = move.context
