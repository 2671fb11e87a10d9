"""Which operations a goal needs, and their cheapest order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from wetend.advice.sequence import Jobs, Move, Order, cheapest_order, count_orders
from wetend.advice.strip_ways import Way
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

Held = tuple[frozenset[str], str]
"""Tools in hand, and how the pump lies."""
IN_PLACE: Held = (frozenset(), "upright")


def needed_for(graph: StripGraph, goal: str) -> tuple[tuple[Operation, ...], tuple[PartName, ...]]:
    """Operations a goal needs, in the order described, and goal parts that no operation gives.

    An operation is needed when it gives one of the goal's parts or must come before one that does
    (by ``after``); an operation that leads belongs to a plan only when something in it comes after.
    """
    if goal == "whole":
        return graph.operations, ()
    parts = GOAL_PARTS[goal]
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
    fetched: frozenset[str]
    """Tools picked up for it."""
    turned: bool
    """The pump is laid another way before it."""
    time: S


@dataclass(frozen=True)
class Ordered:
    """The cheapest order of operations."""

    placed: tuple[Placed, ...]
    expected: S
    """Time with the chance of spoiling a part weighed in."""
    states: int
    orders: int | None
    """Orders that keep the rules; ``None`` when too many to count."""


def put_in_order(
    graph: StripGraph,
    operations: Sequence[Operation],
    ways: Mapping[str, Sequence[Way]],
    *,
    start: Held = IN_PLACE,
) -> Ordered:
    """The cheapest order of operations that can all be done.

    Raises:
        NoAnswer: the operations are so loosely ordered that no order can be proven cheapest.
    """
    firsts = must_precede(operations)
    place = {o.key: i for i, o in enumerate(operations)}
    before = tuple(sum(1 << place[k] for k in firsts[o.key]) for o in operations)
    sums = _Sums(graph, tuple(operations), tuple(tuple(ways[o.key]) for o in operations))
    order = cheapest_order(Jobs(before, sums.moves, sums.least), start)
    placed = tuple(sums.placed(order, start))
    return Ordered(placed, order.cost, order.states, count_orders(before))


@dataclass(frozen=True)
class _Sums:
    """What moves cost and what the rest costs at least."""

    graph: StripGraph
    operations: tuple[Operation, ...]
    ways: tuple[tuple[Way, ...], ...]

    def after(self, held: Held, job: int, way: Way) -> Held:
        """Tools and pose after a job; a job by hand leaves the last tools within reach."""
        return way.tools or held[0], self.operations[job].pose or held[1]

    def change(self, held: Held, after: Held) -> S:
        """Time to pick up tools not in hand and to lay the pump another way."""
        turned = self.graph.pose_change if held[1] != after[1] else 0.0
        return self.graph.tool_change * len(after[0] - held[0]) + turned

    def moves(self, held: Held, ready: Sequence[int]) -> Iterable[Move[Held]]:
        """All moves, or one alone where it costs no change and no other way of it is cheaper.

        Such a move can go first at no loss: changes obey the triangle inequality, so taking the
        job out of its later place never adds to the rest.
        """
        found = []
        for job in ready:
            for number, way in enumerate(self.ways[job]):
                after = self.after(held, job, way)
                if number == 0 and after == held:
                    return [Move(job, 0, way.cost, held)]
                cost = way.cost + self.change(held, after)
                found.append(Move(job, number, cost, after))
        return found

    def least(self, left: int, held: Held) -> S:
        """Bare work left, each tool that can't be done without fetched once, each pose once."""
        jobs = [j for j in range(len(self.ways)) if left >> j & 1]
        work = sum(self.ways[j][0].cost for j in jobs)
        must = [frozenset.intersection(*(w.tools for w in self.ways[j])) for j in jobs]
        tools = frozenset[str]().union(*must) - held[0]
        poses = {p for j in jobs if (p := self.operations[j].pose)} - {held[1]}
        return work + self.graph.tool_change * len(tools) + self.graph.pose_change * len(poses)

    def placed(self, order: Order[Held], held: Held) -> Iterable[Placed]:
        """The moves of an order with the changes before each."""
        for move in order.moves:
            way = self.ways[move.job][move.way]
            yield Placed(
                operation=self.operations[move.job],
                way=way,
                fetched=move.context[0] - held[0],
                turned=move.context[1] != held[1],
                time=way.time + self.change(held, move.context),
            )
            held = move.context
