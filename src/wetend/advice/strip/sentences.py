"""A plan's steps in words: tools, stand-ins, how the pump lies, why the order is the shortest."""

from __future__ import annotations

from collections.abc import Iterator

from wetend.advice.reasons import Figure, Working
from wetend.advice.strip.order import Ordered
from wetend.advice.strip.tools import title_of
from wetend.advice.strip.ways import SPOILT, Choice, Way
from wetend.pump.strip_graph import Pose
from wetend.units.message import Message, joined, plural, raised
from wetend.units.quantity import S, SAsMinutes, unit_of

TURN: dict[Pose, str] = {
    "upright": Message("Stand it upright."),
    "lying": Message("Lay it down on timber."),
    "inverted": Message("Stand it upside down, on timber."),
}
"""How to lay the pump before a step."""


def tool_names_text(way: Way) -> tuple[str, ...]:
    """Titles of the tools picked up, stand-ins named as such."""
    return tuple(_picked_up(choice) for choice in way.choices)


def _picked_up(choice: Choice) -> str:
    tool = title_of(choice.tool)
    if not choice.instead_of:
        return tool
    return Message(
        "{tool} in place of the {other}", tool=tool, other=title_of(choice.instead_of).lower()
    )


def stand_in_notes(way: Way) -> Iterator[str]:
    """A sentence on each stand-in, or second choice, that costs time or risks a part."""
    for choice in way.choices:
        costs = []
        if choice.slower > 1:
            costs.append(Message("takes {slower:.3g} times as long", slower=choice.slower))
        if choice.risk > 0:
            costs.append(Message("{risk:.2g} chance of damaging a part", risk=choice.risk))
        if costs or choice.instead_of:
            tool = title_of(choice.tool)
            cost = joined(", ", costs) if costs else Message("as good")
            if choice.note:
                yield Message("{tool}: {cost} ({note}).", tool=tool, cost=cost, note=choice.note)
            else:
                yield Message("{tool}: {cost}.", tool=tool, cost=cost)


def proof_text(ordered: Ordered) -> str:
    """Why no shorter order exists, or how far from shortest this one may be."""
    if ordered.within > 1:
        return Message(
            "The description says little about which operation comes after which, so "
            "there are too many orders to prove one the shortest. This one takes at most "
            "{within:g} times the least time; describe what more operations come after "
            "to have it proven.",
            within=ordered.within,
        )
    many = (
        f"{ordered.orders:,}" if ordered.orders is not None else Message("more than can be counted")
    )
    obey = plural(
        "{many} order obeys all the rules.",
        "{many} orders obey all the rules.",
        ordered.orders or 2,
        many=many,
    )
    return Message(
        "{obey} What remains depends only on which parts are off, which tools are in hand, how the "
        "pump lies and at which end you work; {states:,} such states were examined, and every "
        "other one would take longer even if it needed no further change of tools.",
        obey=raised(obey),
        states=ordered.states,
    )


def time_working(
    ordered: Ordered, time: S, *, title: str = Message("Expected time of the strip")
) -> Working:
    """The working behind a plan's time."""
    minutes = unit_of(SAsMinutes)
    bare = sum(p.way.time for p in ordered.placed)
    spoilt = sum(p.way.risk for p in ordered.placed) * SPOILT
    return Working(
        title=title,
        formula="work × slower + fetching tools + turning the pump + risk × time of a damaged part",
        given=(
            Figure(Message("Work with these tools"), bare, minutes),
            Figure(
                Message("Fetching tools, turning and going round the pump"), time - bare, minutes
            ),
            Figure(Message("A damaged part costs"), SPOILT, minutes),
        ),
        result=(
            Figure(Message("Time on the tools"), time, minutes),
            Figure(Message("Risk weighed in"), spoilt, minutes),
            Figure(Message("Expected time, the least possible"), ordered.expected, minutes),
        ),
        source="Best-first search over sets done (Held and Karp 1962; Hart, Nilsson and Raphael "
        "1968); times and risks from the pump's description and common practice",
        validity=Message(
            "Times are for a practised hand and a pump that comes apart freely; a seized "
            "thread takes longer."
        ),
    )
