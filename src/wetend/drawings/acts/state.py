"""Which parts are off before an act, which move in it, and which way they come away.

A wet end comes apart in a few groups that move as one: the body with gland and static packings, the
cylinder, the rod with its piston, the foot-valve housing with its stack. A group that has come away
lies on the bench, and the acts on what it still holds are shown on it alone. Common practice, no
source; which part an operation brings away is the description's own word (``gives``).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from wetend.drawings.acts.pieces import PieceName
from wetend.pump.description import Pump
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation

Way = Literal["up", "down", "left", "right"]
"""Which way a part comes away, the pump upright."""

_GROUPS: Mapping[PartName, tuple[PieceName, ...]] = {
    "foot-housing": (
        "clamp-ring", "suction-elbow", "strainer", "foot-seat", "foot-ball", "cage", "soft-ring",
        "shim",
    ),
    "rod": ("piston", "piston-nut", "piston-ball", "piston-seat", "moving-packings"),
    "cylinder": (),
    "body": ("static-packings", "gland-nut", "wet-cup", "outlet-filter"),
    "drive": ("coupling",),
}  # fmt: skip
"""What leads each group, and what goes with it while it is still there."""

_COME_WITH: Mapping[PartName, tuple[PartName, ...]] = {
    "foot-housing": ("suction-elbow", "clamp-ring"), "rod": ("piston",),
}  # fmt: skip
"""Parts that an operation may give with their group's lead and that still depend on it."""

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

    shown: tuple[PieceName, ...]
    """Parts that are there and stay."""
    moving: tuple[PieceName, ...]
    """Parts that come away in it; none where something is only slackened or tightened."""
    lit: tuple[PieceName, ...]
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
    tools: tuple[str, ...] = ()
    """Keys of the tools it is done with."""

    @property
    def inverted(self) -> bool:
        """Whether it is done upside down: what is tapped out through the housing drops out."""
        return self.part == "foot-seat" and "soft-drift" in self.tools and bool(self.moving)


def lead_of(part: PieceName) -> PartName:
    """The part that leads the group which a part goes with."""
    return next(lead for lead in _GROUPS if part in _members(lead))


def _members(lead: PartName) -> tuple[PieceName, ...]:
    return (lead, *_GROUPS[lead])


@dataclass
class Standing:
    """What is off, and which groups still hold together, after some operations."""

    pump: Pump
    off: set[PieceName]
    together: list[set[PartName]]
    """Leads of groups that depend on one another, a set per lot on the bench or in the frame."""

    @classmethod
    def after(cls, pump: Pump, done: Collection[str]) -> Standing:
        """As it stands once these operations are done."""
        now = cls(pump, set(), [set(_GROUPS)])
        for operation in pump.strip.operations:
            if operation.key in done:
                now.do(operation)
        return now

    def _lot(self, lead: PartName) -> set[PartName]:
        """What hangs together with a group."""
        return next(lot for lot in self.together if lead in lot)

    def _leaving(self, operation: Operation) -> set[PartName]:
        """Leads of the groups that an operation takes from what they depend on."""
        lot = self._lot(lead_of(operation.part))
        if operation.ends_hold and {"drive", "body"} <= lot:
            return lot - {"drive"}
        given = _GROUPS.keys() & set(operation.gives) - {"body"}
        gone = {lead for lead in given if len(self._lot(lead)) > 1}
        if "cylinder" in gone and "foot-housing" in self._lot("cylinder"):
            gone.add("foot-housing")  # still screwed to its end
        return gone

    def do(self, operation: Operation) -> None:
        """Carry an operation out."""
        given, leaving = _taken_off(operation), self._leaving(operation)
        if leaving:
            self.together = [lot - leaving for lot in self.together if lot - leaving] + [leaving]
        for lead in _GROUPS.keys() & given:
            given -= {lead, *_COME_WITH.get(lead, ())}
        self.off |= given

    def _there(self, lead: PartName) -> Iterator[PieceName]:
        yield from (part for part in _members(lead) if part not in self.off)

    def act(self, operation: Operation, used: Sequence[str] | None = None) -> Act:
        """An operation from here.

        Args:
            operation: of this pump.
            used: keys of the tools it is done with; not given, the first that would do of each.
        """
        if used is None:
            used = [need.any_of[0].tool for need in operation.needs]
        part, tools = _held(self.pump, operation), set(used)
        lot, leaving = self._lot(lead_of(part)), self._leaving(operation)
        context = [p for lead in _GROUPS if lead in lot for p in self._there(lead)]
        if leaving:
            moving = [p for p in context if lead_of(p) in leaving]
        else:
            taken = _taken_off(operation)
            moving = [p for p in context if p in taken and p not in _GROUPS]
        bolted = any(
            o.part == operation.part and _any_of(_tools(o), _ON_BOLTS)
            for o in self.pump.strip.operations
        )
        return Act(
            part=part,
            shown=tuple(p for p in context if p not in moving),
            moving=tuple(moving),
            lit=tuple(moving) or tuple(p for p in (part,) if p in context),
            way="down" if "body" in leaving else _WAYS[part],
            turned=not bolted and part in _THREADED and _turns(tools),
            left_hand=part in ("foot-housing", "clamp-ring")
            and self.pump.stack.hand == "left",
            bolted=bolted and _any_of(tools, (*_ON_BOLTS, *_GRIPS, "breaker", "screwdriver")),
            struck=bool(tools & _BLOWS),
            tools=tuple(used),
        )  # fmt: skip


def _held(pump: Pump, operation: Operation) -> PartName:
    """The part that an operation is about, on this pump.

    A form lets any pump come apart in either way: then what holds the foot valve is what the pump
    has, clamp ring or housing.
    """
    part = operation.part
    if part == "clamp-ring" and pump.stack.held_by == "thread":
        return "foot-housing"
    ring = any(o.part == "clamp-ring" for o in pump.strip.operations)
    if part == "foot-housing" and pump.stack.held_by == "clamp-ring" and not ring:
        return "clamp-ring"
    return part


def _taken_off(operation: Operation) -> set[PieceName]:
    """What an operation brings away; the piston's lower end goes before all that it holds."""
    taken: set[PieceName] = set(operation.gives)
    opens = operation.part == "piston" and not taken
    if opens or taken & {"piston-ball", "piston-seat", "moving-packings"}:
        taken.add("piston-nut")
    return taken


def _tools(operation: Operation) -> set[str]:
    return {choice.tool for need in operation.needs for choice in need.any_of}


def _any_of(tools: Collection[str], words: Collection[str]) -> bool:
    return any(word in tool for tool in tools for word in words)


def _turns(tools: Collection[str]) -> bool:
    """Whether what these tools do to a threaded part is to turn it; by hand, it is."""
    return not tools or _any_of(tools, _GRIPS) or bool(_BLOWS & set(tools))
