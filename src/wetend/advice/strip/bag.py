"""The tools of a bag by name, and whether all of them are known."""

from __future__ import annotations

from wetend.advice.strip.tools import TOOLS, title_of
from wetend.advice.strip.ways import tools_named
from wetend.errors import Problem, UnknownName
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all


def tool_titles(pump: Pump | None = None) -> dict[str, str]:
    """All tools the tool knows, key to title, in the order to show them.

    With a pump, tools that only its own description names come after the others.
    """
    own = sorted(tools_named(pump) - set(TOOLS)) if pump else []
    return {**TOOLS, **{t: title_of(t) for t in own}}


def check_bag(pump: Pump, bag: ToolBag) -> None:
    """See that every tool in the bag is one that this list or the pump's description knows.

    A plan leaves tools it does not know aside; this is for the moment a bag is written down.

    Raises:
        UnknownName: with a :class:`Problem` for each tool that is not known.
    """
    known = tool_titles(pump)
    problems = tuple(
        Problem(
            "tools",
            Message(
                "There is no tool “{tool}”; {there_are}",
                tool=tool,
                there_are=near_or_all(tool, known),
            ),
        )
        for tool in bag.tools
        if tool not in known
    )
    if problems:
        raise UnknownName(problems[0].sentence, problems)
