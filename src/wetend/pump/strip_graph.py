"""What it takes to open a wet end: operations, what must go first, tools, what is exposed."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Literal, Self

from pydantic import Field, model_validator

from wetend.pump.hazard import StepCaution
from wetend.pump.parts import PartName
from wetend.units.message import Message, joined
from wetend.units.noun import Line, Name, Noun, Slug
from wetend.units.quantity import NM, Ratio, S

Surface = Literal["rod", "rod-end", "seal-land", "seat", "thread", "bore", "ball", "packings"]
"""Surfaces that nothing hard may touch."""

Pose = Literal["upright", "lying", "inverted"]


class ToolChoice(Noun):
    """One tool, or a stand-in for it, that can do an operation's work."""

    tool: Slug
    slower: Ratio = Field(
        default=1.0, ge=1.0, le=20, description=Message("Time against the right tool's")
    )
    risk: Ratio = Field(default=0.0, ge=0, le=1, description=Message("Chance of damaging a part"))
    note: Line = ""


class Need(Noun):
    """One thing an operation needs: any of these will do."""

    any_of: tuple[ToolChoice, ...] = Field(min_length=1, max_length=12)


class Operation(Noun):
    """One thing the hands do while stripping."""

    key: Slug
    title: Name
    how: Line = ""
    part: PartName
    time: S = Field(ge=0.1, le=14400)
    after: tuple[Slug, ...] = Field(
        default=(), description=Message("Operations that must be done first")
    )
    needs: tuple[Need, ...] = Field(default=(), max_length=4)
    pose: Pose | None = Field(
        default=None, description=Message("How the pump must lie, if it matters")
    )
    exposes: tuple[Surface, ...] = Field(
        default=(), description=Message("Surfaces laid bare by this")
    )
    swings_near: tuple[Surface, ...] = Field(
        default=(), description=Message("Surfaces a tool swings near")
    )
    unshields: tuple[Surface, ...] = Field(
        default=(), description=Message("Takes the shield off these surfaces")
    )
    needs_held: bool = Field(
        default=False, description=Message("Needs the assembly still held together")
    )
    ends_hold: bool = Field(
        default=False, description=Message("After this the assembly is no longer held")
    )
    needs_vice: bool = False
    gives: tuple[PartName, ...] = Field(
        default=(), description=Message("Parts that can be judged after this")
    )
    cautions: tuple[StepCaution, ...] = Field(
        default=(),
        max_length=6,
        description=Message("What can hurt at this step of this very pump"),
    )
    leads: bool = Field(
        default=False, description=Message("Comes before all others in any plan that includes it")
    )
    back_title: Line = Field(
        default="", description=Message("Name of the refitting step; blank: from the part")
    )
    back_how: Line = Field(default="", description=Message("How to refit; blank: common practice"))
    back_torque: NM | None = Field(
        default=None,
        ge=0.01,
        le=5000,
        description=Message("Torque on refitting, if the maker gives one"),
    )


class StripGraph(Noun):
    """All operations of a pump and their order."""

    operations: tuple[Operation, ...] = Field(min_length=1, max_length=24)
    tool_change: S = Field(default=15.0, ge=0, le=600)
    pose_change: S = Field(default=60.0, ge=0, le=3600)
    end_change: S = Field(
        default=5.0, ge=0, le=600, description=Message("Going to work at another end of the pump")
    )

    @model_validator(mode="after")
    def _sound(self) -> Self:
        keys = {o.key for o in self.operations}
        if len(keys) != len(self.operations):
            raise ValueError(Message("every operation needs a key of its own"))
        for operation in self.operations:
            lost = [a for a in operation.after if a not in keys]
            if lost:
                raise ValueError(
                    Message(
                        "operation {key!r} comes after {lost!r}, which does not exist",
                        key=operation.key,
                        lost=lost[0],
                    )
                )
        ring = _ring(must_precede(self.operations))
        if ring:
            raise ValueError(
                Message(
                    "these operations each have to come before the next and so can't be put in "
                    "order (after, leads, shielding and holding counted): {ring}",
                    ring=joined(", ", ring),
                )
            )
        return self


def must_precede(operations: Collection[Operation]) -> dict[str, set[str]]:
    """For each operation, by key, all that have to be done before it among those given.

    Four rules: ``after``; an operation that ``leads`` comes before all others; a tool swings near a
    surface only before the shield comes off it; what needs the assembly held comes before what
    ends the hold. Common practice of the trade, no source.
    """
    keys = {o.key for o in operations}
    return {
        later.key: (set(later.after) & keys)
        | {first.key for first in operations if first.key != later.key and _first(first, later)}
        for later in operations
    }


def _first(first: Operation, later: Operation) -> bool:
    """Whether a rule other than ``after`` puts one operation before another."""
    return (
        (first.leads and not later.leads)
        or not set(first.swings_near).isdisjoint(later.unshields)
        or (first.needs_held and later.ends_hold)
    )


def _ring(before: Mapping[str, set[str]]) -> tuple[str, ...]:
    """Operations that wait for each other, or ``()`` when all can be put in order."""
    waiting = {key: set(firsts) for key, firsts in before.items()}
    while ready := [key for key, firsts in waiting.items() if not firsts]:
        for key in ready:
            del waiting[key]
        for firsts in waiting.values():
            firsts.difference_update(ready)
    return tuple(_around(waiting)) if waiting else ()


def _around(waiting: Mapping[str, set[str]]) -> Iterator[str]:
    """One closed ring among operations that all wait, first to last."""
    path = [next(iter(waiting))]
    while (back := min(waiting[path[-1]])) not in path:
        path.append(back)
    yield from reversed(path[path.index(back) :])
