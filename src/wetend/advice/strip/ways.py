"""Ways of doing one operation with the tools to hand: which tools, how long, what they risk."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import prod

from wetend.advice.strip.tools import (
    ALWAYS,
    STAND_INS,
    TUBE_INSTEAD,
    safe_together,
    title_of,
)
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Need, Operation, ToolChoice
from wetend.units.message import Message, joined
from wetend.units.quantity import Ratio, S

_HAMMERS = frozenset({"hammer", "soft-hammer"})
SPOILT = 7200.0
"""What a spoilt part costs, in seconds: two hours to fetch and fit a fresh one. Common practice, no
source; it weighs the risk of a stand-in against the time the right tool takes to fetch."""


@dataclass(frozen=True)
class Choice:
    """One tool that answers one need."""

    tool: str
    slower: float
    risk: Ratio
    instead_of: str
    """Key of the right tool when this is a stand-in, or ``""``."""
    note: str


@dataclass(frozen=True)
class Way:
    """One way of doing an operation."""

    choices: tuple[Choice, ...]
    time: S
    """Without tool changes."""
    risk: Ratio

    @property
    def tools(self) -> frozenset[str]:
        """Keys of the tools it uses."""
        return frozenset(c.tool for c in self.choices)

    @property
    def fetched(self) -> frozenset[str]:
        """Keys of the tools that have to be picked up for it; what lies there anyway is not."""
        return self.tools - ALWAYS

    @property
    def cost(self) -> S:
        """Expected time: the work, and the chance of damaging a part times what that costs."""
        return self.time + self.risk * SPOILT


def tools_to_hand(bag: ToolBag) -> frozenset[str]:
    """Everything that can be used: the bag, the vice, and what every site has."""
    return ALWAYS | set(bag.tools) | ({"vice"} if bag.vice else set())


def tools_named(pump: Pump) -> set[str]:
    """Tools that a pump's own operations name."""
    operations = pump.strip.operations
    return {c.tool for o in operations for need in o.needs for c in need.any_of}


def ways_of(operation: Operation, tools: frozenset[str], *, tool_change: S) -> tuple[Way, ...]:
    """All ways worth trying, the cheapest first; none when something it needs is not there.

    A way is left out when another, with picking its tools up and putting them back counted in, is
    never dearer: that can't lengthen any plan.
    """
    if operation.needs_vice and "vice" not in tools:
        return ()
    best: dict[frozenset[str], Way] = {}
    for choices in product(*(tuple(_choices(need, tools)) for need in operation.needs)):
        way = _way(operation, choices)
        # one tool can't answer two needs at once, and no tube goes where it would slip
        if len(way.tools) == len(choices) and safe_together(way.tools):
            known = best.get(way.tools)
            if known is None or way.cost < known.cost:
                best[way.tools] = way
    ranked = sorted(best.values(), key=lambda w: (w.cost, sorted(w.tools)))
    kept: list[Way] = []
    for way in ranked:
        if not any(_never_dearer(other, way, tool_change) for other in kept):
            kept.append(way)
    return tuple(kept)


def _way(operation: Operation, choices: tuple[Choice, ...]) -> Way:
    slower = prod(c.slower for c in choices)
    return Way(choices, operation.time * slower, 1 - prod(1 - c.risk for c in choices))


def _never_dearer(one: Way, other: Way, tool_change: S) -> bool:
    if not other.fetched and one.fetched:
        return False
    return one.cost + tool_change * len(one.fetched ^ other.fetched) <= other.cost


def _choices(need: Need, tools: frozenset[str]) -> Iterator[Choice]:
    """Every tool to hand that answers a need: named ones, then stand-ins for named ones."""
    named = {c.tool for c in need.any_of}
    for choice in need.any_of:
        if choice.tool in _HAMMERS and "tube" in named:  # a hammer on a spanner is no lever
            continue
        if choice.tool in tools:
            yield Choice(choice.tool, choice.slower, choice.risk, "", choice.note)
            continue
        for stand_in in STAND_INS.get(choice.tool, ()):
            if stand_in.tool in tools and stand_in.tool not in named:
                yield Choice(
                    stand_in.tool,
                    choice.slower * stand_in.slower,
                    1 - (1 - choice.risk) * (1 - stand_in.risk),
                    choice.tool,
                    stand_in.note,
                )


def lacking(operation: Operation, tools: frozenset[str]) -> tuple[str, ...]:
    """What an operation needs and does not find, in words; ``()`` when it can be done."""
    lacks: list[str] = [Message("a vice")] if operation.needs_vice and "vice" not in tools else []
    met = [tuple(_choices(need, tools)) for need in operation.needs]
    lacks += [
        _any_of(need.any_of) for need, found in zip(operation.needs, met, strict=True) if not found
    ]
    together = [c for c in product(*met) if len({x.tool for x in c}) == len(c)]
    if not lacks and together and not any(safe_together([x.tool for x in c]) for c in together):
        lacks = [TUBE_INSTEAD]
    if not lacks and not together:
        found = sorted({title_of(c.tool).lower() for choices in met for c in choices})
        lacks = [
            Message(
                "more tools at once than there are; only {found} will do", found=joined(", ", found)
            )
        ]
    return tuple(lacks)


def _any_of(choices: tuple[ToolChoice, ...]) -> str:
    """Every tool that would do, stand-ins too."""
    wanted = [c.tool for c in choices]
    wanted += [s.tool for c in choices for s in STAND_INS.get(c.tool, ()) if s.tool not in wanted]
    return joined(Message(" or "), (title_of(t).lower() for t in dict.fromkeys(wanted)))
