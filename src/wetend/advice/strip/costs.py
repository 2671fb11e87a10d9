"""What each next operation costs from where the work stands, and what the rest costs at least."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple

from wetend.advice.strip.sequence import Move
from wetend.advice.strip.ways import Way
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation, Pose, StripGraph
from wetend.units.quantity import S

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


class Held(NamedTuple):
    """Where the work stands: tools in hand, how the pump lies, at which end the hands are."""

    tools: int = 0
    """A bit for each tool."""
    pose: Pose = "upright"
    end: End | None = None


class _Rest(NamedTuple):
    """What a set of operations still to come needs, whatever their order."""

    work: S
    tools: int
    poses: frozenset[Pose]
    ends: frozenset[End]


class Costs:
    """Moves and lower bounds for some operations in their ways, for the search over orders.

    Going from one operation to the next costs the tools that are not in hand yet, laying the pump
    another way, and going to another end. These changes obey the triangle inequality.
    """

    def __init__(
        self, graph: StripGraph, operations: Sequence[Operation], ways: Sequence[Sequence[Way]]
    ) -> None:
        self.operations = operations
        self.ways = ways
        self._graph = graph
        named = sorted({t for each in ways for w in each for t in w.fetched})
        bit = {tool: 1 << place for place, tool in enumerate(named)}
        self._tools = [[sum(bit[t] for t in w.fetched) for w in each] for each in ways]
        self._costs = [[w.cost for w in each] for each in ways]
        self._ends = [END_OF[o.part] for o in operations]
        self._rests: dict[int, _Rest] = {0: _Rest(0.0, 0, frozenset(), frozenset())}

    def after(self, held: Held, job: int, way: int) -> Held:
        """Where the work stands after a job; one by hand leaves the last tools within reach."""
        return Held(
            self._tools[job][way] or held.tools,
            self.operations[job].pose or held.pose,
            self._ends[job],
        )

    def change(self, held: Held, after: Held) -> S:
        """Time to fetch tools, to lay the pump another way and to go to another end."""
        time = self._graph.tool_change * (after.tools & ~held.tools).bit_count()
        if after.pose != held.pose:
            time += self._graph.pose_change
        if held.end is not None and after.end != held.end:
            time += self._graph.end_change
        return time

    def moves(self, held: Held, ready: Sequence[int]) -> Iterable[Move[Held]]:
        """All moves, or one alone where it costs no change and no other way of it is cheaper.

        Such a move can go first at no loss: by the triangle inequality, taking the job out of its
        later place never adds to the rest.
        """
        found = []
        for job in ready:
            for way, cost in enumerate(self._costs[job]):
                after = self.after(held, job, way)
                if way == 0 and after == held:
                    return [Move(job, 0, cost, held)]
                found.append(Move(job, way, cost + self.change(held, after), after))
        return found

    def least(self, left: int, held: Held) -> S:
        """Bare work left; each tool not to be done without, pose and end still to come, once."""
        rest = self._rests.get(left) or self._rest(left)
        graph = self._graph
        fetches = (rest.tools & ~held.tools).bit_count()
        turns = len(rest.poses) - (held.pose in rest.poses)
        here = held.end in rest.ends if held.end is not None else bool(rest.ends)
        goes = len(rest.ends) - here
        return (
            rest.work
            + graph.tool_change * fetches
            + graph.pose_change * turns
            + graph.end_change * goes
        )

    def _rest(self, left: int) -> _Rest:
        """Kept for each set, since many contexts share it: built up from the set less one job."""
        job = left.bit_length() - 1
        less = left & ~(1 << job)
        fewer = self._rests.get(less) or self._rest(less)
        pose = self.operations[job].pose
        must = ~0
        for tools in self._tools[job]:
            must &= tools
        rest = _Rest(
            fewer.work + self._costs[job][0],
            fewer.tools | must,
            fewer.poses | {pose} if pose else fewer.poses,
            fewer.ends | {self._ends[job]},
        )
        self._rests[left] = rest
        return rest
