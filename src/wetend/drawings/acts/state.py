"""Which parts are off before an act, which move in it, and which way they come away.

A wet end comes apart in a few groups that move as one: the body with gland and static packings, the
cylinder, the rod with its piston, the foot-valve housing with its stack. A group that has come away
lies on the bench, and the acts on what it still holds are shown on it alone. Common practice, no
source; which part an operation brings away is the description's own word (``gives``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from wetend.pump.description import Pump
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation

Way = Literal["up", "down", "left", "right"]
"""Which way a part comes away, the pump upright."""

_GROUPS: Mapping[PartName, tuple[PartName, ...]] = {
    "foot-housing": (
        "clamp-ring", "suction-elbow", "strainer", "foot-seat", "foot-ball", "cage", "soft-ring",
        "shim",
    ),
    "rod": ("piston", "piston-ball", "piston-seat", "moving-packings"),
    "cylinder": (),
    "body": ("static-packings", "gland-nut", "wet-cup", "outlet-filter"),
    "drive": ("coupling",),
}  # fmt: skip
"""What leads each group, and what goes with it while it is still there."""

_COME_WITH: Mapping[PartName, tuple[PartName, ...]] = {
    "foot-housing": ("suction-elbow", "clamp-ring"), "rod": ("piston",),
}  # fmt: skip
"""Parts that an operation may give with their group's lead and that still hang on it."""

_WAYS: Mapping[PartName, Way] = {
    "suction-elbow": "down", "strainer": "right", "foot-housing": "down", "clamp-ring": "down",
    "shim": "up", "cage": "up", "soft-ring": "up", "foot-ball": "up", "foot-seat": "up",
    "cylinder": "down", "piston": "down", "piston-ball": "down", "piston-seat": "down",
    "moving-packings": "down", "rod": "down", "static-packings": "up", "gland-nut": "up",
    "wet-cup": "up", "outlet-filter": "left", "coupling": "right", "body": "down", "drive": "up",
}  # fmt: skip
_THREADED: frozenset[PartName] = frozenset({
    "foot-housing", "clamp-ring", "cylinder", "gland-nut", "piston", "strainer", "outlet-filter",
    "coupling",
})  # fmt: skip
"""Parts that are screwed, or held by a nut that is."""
_BLOWS = frozenset({"hammer", "soft-hammer", "soft-drift"})
_ON_BOLTS = ("socket", "hexagon-key", "hex-key")
"""Tools, by what their names hold, that turn nuts or screws round a part, never the part."""
_GRIPS = ("spanner", "wrench", "adjustable")
"""Tools that turn what they grip."""


@dataclass(frozen=True)
class Act:
    """One act on the pump as it stands then."""

    part: PartName
    """The part that the operation names."""

    shown: tuple[PartName, ...]
    """Parts that are there and stay."""
    moving: tuple[PartName, ...]
    """Parts that come away in it; none where something is only slackened or tightened."""
    lit: tuple[PartName, ...]
    """Parts the act is about."""
    way: Way
    turned: bool
    """Whether the part turns on its own thread, or a nut about the same axis."""
    left_hand: bool
    """Whether that thread is left-handed."""
    bolted: bool
    """Whether nuts or screws round it are turned."""
    struck: bool
    """Whether it is tapped out."""


def _group_of(part: PartName) -> PartName:
    return next((lead for lead, held in _GROUPS.items() if part == lead or part in held), part)


def _members(lead: PartName) -> tuple[PartName, ...]:
    return (lead, *_GROUPS[lead])


@dataclass
class Standing:
    """What is off and what lies apart, after some operations."""

    pump: Pump
    off: set[PartName]
    apart: set[PartName]
    """Leads of groups that lie on the bench by themselves."""
    hung: bool = True
    """Whether the wet end still hangs from the drive."""

    @classmethod
    def after(cls, pump: Pump, done: Collection[str]) -> Standing:
        """As it stands once these operations are done."""
        now = cls(pump, set(), set())
        for operation in pump.strip.operations:
            if operation.key in done:
                now.do(operation)
        return now

    def do(self, operation: Operation) -> None:
        """Carry an operation out."""
        given = set(operation.gives)
        for lead in _GROUPS.keys() & given:
            if lead != "body" and lead not in self.apart:
                self.apart.add(lead)
                given -= {lead, *_COME_WITH.get(lead, ())}
        self.off |= given - {"body"}
        if operation.ends_hold:
            self.hung = False

    def _there(self, lead: PartName) -> Iterator[PartName]:
        yield from (part for part in _members(lead) if part not in self.off)

    def act(self, operation: Operation) -> Act:
        """An operation from here."""
        part, given = operation.part, tuple(operation.gives)
        lead = _group_of(part)
        after = Standing(self.pump, set(self.off), set(self.apart), self.hung)
        after.do(operation)
        leaving = [g for g in after.apart if g not in self.apart]
        if lead in self.apart:
            context = list(self._there(lead))
        else:
            context = [p for g in _GROUPS if g not in self.apart for p in self._there(g)
                       if g != "drive" or self.hung]  # fmt: skip
        if operation.ends_hold and self.hung:
            moving = [p for p in context if _group_of(p) != "drive"]
        elif leaving:
            moving = [p for g in leaving for p in self._there(g)]
        else:
            moving = [p for p in given if p in context and (p != "body" or part == "body")]
        lit = tuple(moving) or tuple(p for p in (part,) if p in context)
        tools = _tools(operation)
        bolted = any(
            o.part == part and _any_of(_tools(o), _ON_BOLTS) for o in self.pump.strip.operations
        )
        return Act(
            part=part,
            shown=tuple(p for p in context if p not in moving),
            moving=tuple(moving), lit=lit,
            way="down" if operation.ends_hold and self.hung else _WAYS[part],
            turned=not bolted and part in _THREADED and _turns(tools),
            left_hand=part in ("foot-housing", "clamp-ring")
            and self.pump.stack.hand == "left",
            bolted=bolted and _any_of(tools, (*_ON_BOLTS, *_GRIPS)),
            struck=bool(tools & _BLOWS),
        )  # fmt: skip


def _tools(operation: Operation) -> set[str]:
    return {choice.tool for need in operation.needs for choice in need.any_of}


def _any_of(tools: Collection[str], words: Collection[str]) -> bool:
    return any(word in tool for tool in tools for word in words)


def _turns(tools: Collection[str]) -> bool:
    """Whether what these tools do to a threaded part is to turn it; by hand, it is."""
    return not tools or _any_of(tools, _GRIPS) or bool(_BLOWS & set(tools))
