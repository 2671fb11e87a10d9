"""What one more tool in the bag would save on a strip."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.strip.plan import StripPlan, plan_strip
from wetend.advice.strip.tools import title_of
from wetend.advice.strip.ways import tools_named, tools_to_hand
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.units.quantity import Ratio, S

WORTH = 60.0
"""Less than a minute saved is not worth naming: our choice."""


@dataclass(frozen=True)
class Help:
    """One tool that is not there, and what it would change."""

    tool: str
    title: str
    makes_possible: bool
    """Without it the strip can't be done here."""
    saves: S
    """Of the expected time; 0 where it is what makes the strip possible."""
    spares: Ratio
    """Less chance of spoiling a part."""


def would_help(pump: Pump, bag: ToolBag) -> tuple[Help, ...]:
    """Each tool that alone would make the strip possible or shorten it, the most helpful first.

    Raises:
        NoAnswer: as :func:`~wetend.advice.strip.plan.plan_strip`.
    """
    now = plan_strip(pump, bag)
    missing = sorted(tools_named(pump) - tools_to_hand(bag))
    found = []
    for tool in missing:
        more = bag.model_copy(update={"tools": (*bag.tools, tool)})
        help_ = _gained(tool, now, plan_strip(pump, more))
        if help_.makes_possible or help_.saves >= WORTH:
            found.append(help_)
    return tuple(sorted(found, key=lambda h: (not h.makes_possible, -h.saves)))


def _gained(tool: str, now: StripPlan, then: StripPlan) -> Help:
    both = now.possible and then.possible
    return Help(
        tool=tool,
        title=title_of(tool),
        makes_possible=then.possible and not now.possible,
        saves=max(now.expected - then.expected, 0.0) if both else 0.0,
        spares=max(now.risk - then.risk, 0.0) if both else 0.0,
    )
