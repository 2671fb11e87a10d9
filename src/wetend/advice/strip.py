"""The shortest safe order to open a pump with the tools to hand."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.reasons import Caution, Working
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation
from wetend.units.quantity import Ratio, S


@dataclass(frozen=True)
class Step:
    """One step of the plan."""

    number: int
    operation: Operation
    tools: tuple[str, ...]
    """Titles of the tools picked up for it, stand-ins named as such."""
    stand_ins: tuple[str, ...]
    """What a stand-in costs or risks, a sentence each."""
    time: S
    """With tool changes and turning the pump over before it."""
    turn_to: str
    """How to lay the pump before this step, or ``""``."""
    shielded: tuple[str, ...]
    """Surfaces still shielded while this is done."""
    risk: Ratio
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class StripPlan:
    """The strip card."""

    goal: str
    possible: bool
    why_not: tuple[str, ...]
    """Where not possible: each operation that can't be done here, and what it lacks."""
    steps: tuple[Step, ...]
    time: S
    risk: Ratio
    """Chance of spoiling a part over the whole plan."""
    keep: tuple[str, ...]
    """What to keep and protect while apart."""
    proof: str
    """Why no shorter order exists."""
    working: Working | None


def tool_titles() -> dict[str, str]:
    """All tools the tool knows, key to title, in the order to show them."""
    raise NotImplementedError


def plan_strip(pump: Pump, bag: ToolBag) -> StripPlan:
    """Least expected time over all orders that respect precedence, tools, holding and shielding."""
    raise NotImplementedError
