"""Which operations a goal needs, and their cheapest order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from wetend.advice.sequence import Jobs, Move, Order, cheapest_order, count_orders
from wetend.advice.strip_ways import Way
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation, Pose, StripGraph, must_precede
from wetend.units.quantity import S

GOAL_PARTS: dict[str, tuple[PartName, ...]] = {
    "foot-valve": ("foot-ball", "foot-seat"),
    "piston": ("piston-ball", "piston-seat", "moving-packings"),
    "static-packings": ("static-packings",),
    "whole": (),
}
"""Parts that must be in the hand for each goal; ``whole`` means every operation."""

End = Literal["foot", "piston", "gland", "outlet"]
END_OF: dict[PartName, End] = {
    **dict.fromkeys(("suction-elbow", "strainer", "foot-housing", "clamp-ring", "shim", "cage",
                     "soft-ring", "foot-ball", "foot-seat"), "foot"),
    **dict.fromkeys(("cylinder", "piston", "piston-ball", "piston-seat", "moving-packings",
                     "rod"), "piston"),
    **dict.fromkeys(("static-packings", "gland-nut", "wet-cup", "coupling", "body", "drive"),
                    "gland"),
    "outlet-filter": "outlet",
}  # fmt: skip
"""At which end of the pump each part is worked on."""


@dataclass(frozen=True)
class Held:
    """Where the work stands: tools in hand, how the pump lies, at which end the hands are."""

    tools: frozenset[str] = frozenset()
    pose: Pose = "upright"
    end: End | None = None


IN_PLACE = Held()


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
    chosen = tuple(tuple(ways[o.key]) for o in operations)
    must = tuple(frozenset.intersection(*(w.fetched for w in each)) for each in chosen)
    sums = _Sums(graph, tuple(operations), chosen, must)
    order = cheapest_order(Jobs(before, sums.moves, sums.least), start)
    placed = tuple(sums.placed(order, start))
    return Ordered(placed, order.cost, order.states, count_orders(before))


@dataclass(frozen=True)
class _Sums:
    """What moves cost and what the rest costs at least."""

    graph: StripGraph
    operations: tuple[Operation, ...]
    ways: tuple[tuple[Way, ...], ...]
    must: tuple[frozenset[str], ...]
    """For each operation, what every way of it has to fetch."""

    def after(self, held: Held, job: int, way: Way) -> Held:
        """Where the work stands after a job; one by hand leaves the last tools within reach."""
        operation = self.operations[job]
        return Held(way.fetched or held.tools, operation.pose or held.pose, END_OF[operation.part])

    def change(self, held: Held, after: Held) -> S:
        """Time to pick up tools not in hand, to lay the pump another way, to go to another end."""
        fetched = self.graph.tool_change * len(after.tools - held.tools)
        turned = self.graph.pose_change if held.pose != after.pose else 0.0
        moved = self.graph.end_change if held.end not in (None, after.end) else 0.0
        return fetched + turned + moved

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
        """Bare work left; each tool not to be done without, pose and end still to come, once."""
        jobs = [j for j in range(len(self.ways)) if left >> j & 1]
        work = sum(self.ways[j][0].cost for j in jobs)
        tools = frozenset[str]().union(*(self.must[j] for j in jobs)) - held.tools
        poses = {p for j in jobs if (p := self.operations[j].pose)} - {held.pose}
        ends = {END_OF[self.operations[j].part] for j in jobs} - {held.end}
        moves = len(ends) - (held.end is None and bool(ends))
        graph = self.graph
        return (
            work
            + graph.tool_change * len(tools)
            + graph.pose_change * len(poses)
            + graph.end_change * moves
        )

    def placed(self, order: Order[Held], held: Held) -> Iterable[Placed]:
        """The moves of an order with the changes before each."""
        for move in order.moves:
            way = self.ways[move.job][move.way]
            yield Placed(
                operation=self.operations[move.job],
                way=way,
                fetched=move.context.tools - held.tools,
                turned=move.context.pose != held.pose,
                time=way.time + self.change(held, move.context),
            )
            held = move.context
