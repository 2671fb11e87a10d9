"""Tools of the bag, and what stands in for a tool that is not there.

Times and risks of stand-ins are common practice, no source: they put the orders of a plan in rank,
and a pump's own description overrides them by naming its own choices.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from wetend.units.message import Message

TOOLS: dict[str, str] = {
    "timber-block": Message("Timber block"),
    "timber-dowel": Message("Timber dowel or wedge"),
    "rag": Message("Rag or cardboard"),
    "c-spanner": Message("C-spanner"),
    "long-c-spanner": Message("Long C-spanner"),
    "pin-spanner": Message("Pin spanner"),
    "strap-wrench": Message("Strap wrench"),
    "chain-wrench": Message("Chain wrench"),
    "pipe-wrench": Message("Pipe wrench"),
    "second-pipe-wrench": Message("Second pipe wrench"),
    "adjustable": Message("Adjustable spanner"),
    "second-adjustable": Message("Second adjustable spanner"),
    "open-spanners": Message("Open and ring spanners"),
    "socket-set": Message("Sockets and ratchet"),
    "breaker-bar": Message("Long breaker bar for the sockets"),
    "slogging-spanner": Message("Slogging spanner that fits, with its hammer"),
    "hexagon-keys": Message("Hexagon keys"),
    "tube": Message("Tube for leverage"),
    "soft-drift": Message("Soft (brass) drift"),
    "hammer": Message("Hammer"),
    "soft-hammer": Message("Soft-faced hammer"),
    "screwdriver": Message("Flat screwdriver"),
    "packing-hook": Message("Packing hook"),
    "circlip-pliers": Message("Circlip pliers"),
    "torque-wrench": Message("Torque wrench"),
    "feeler": Message("Feeler gauges"),
    "vice": Message("Vice"),
}
"""Key to title, in the order to show them."""

ALWAYS = frozenset({"timber-block", "timber-dowel", "rag"})
"""What every site has, ticked or not."""

LEVERED = frozenset({
    "tube", "pipe-wrench", "second-pipe-wrench", "c-spanner", "long-c-spanner", "strap-wrench",
    "chain-wrench", "breaker-bar", "adjustable", "second-adjustable",
})  # fmt: skip
"""Tools that slip under a hard pull."""

SPANNERS = frozenset({"open-spanners", "socket-set", "hexagon-keys"})
"""Tools that slip when something tight is cracked loose with them."""

STRUCK = frozenset({"hammer", "soft-hammer", "soft-drift", "slogging-spanner"})
"""Tools that strike or are struck."""

NO_TUBE_ON = frozenset({
    "adjustable", "second-adjustable", "strap-wrench", "pipe-wrench", "second-pipe-wrench",
    "chain-wrench", "slogging-spanner",
})  # fmt: skip
"""Tools that a tube lets slip, bend or break (common practice, no source)."""

TUBE_INSTEAD = Message(
    "a slogging spanner, a long C-spanner or a breaker bar that fits: a tube on "
    "an adjustable, strap, chain or pipe wrench slips, and no hammer goes on a "
    "spanner; without one it can't be done safely"
)
"""What is lacking where only a tube on such a tool would do."""


@dataclass(frozen=True)
class StandIn:
    """One tool used in place of another."""

    tool: str
    slower: float
    """Time against the right tool's."""
    risk: float
    """Chance of spoiling a part."""
    note: str


STAND_INS: dict[str, tuple[StandIn, ...]] = {
    "c-spanner": (
        StandIn("strap-wrench", 1.5, 0.005, Message("slips on a tight nut: dry both first")),
        StandIn("pipe-wrench", 1.5, 0.04, Message("its teeth bite: pack with rag and pull square")),
    ),
    "pin-spanner": (
        StandIn(
            "pipe-wrench", 1.6, 0.05, Message("its teeth bite: pack with rag, keep off threads")
        ),
    ),
    "strap-wrench": (
        StandIn(
            "pipe-wrench",
            1.2,
            0.05,
            Message("squeezes a sleeve out of round: grip at the thick end"),
        ),
    ),
    "pipe-wrench": (StandIn("strap-wrench", 1.4, 0.005, Message("holds less: dry both first")),),
    "second-pipe-wrench": (
        StandIn("vice", 1.0, 0.005, Message("soft jaws, grip the flats or the thick end")),
        StandIn("strap-wrench", 1.3, 0.005, Message("holds less: dry both first")),
        StandIn("adjustable", 1.3, 0.01, Message("on flats only")),
    ),
    "adjustable": (
        StandIn("open-spanners", 1.0, 0.0, Message("if one fits")),
        StandIn("second-adjustable", 1.0, 0.0, ""),
        StandIn("pipe-wrench", 1.5, 0.05, Message("its teeth round off flats")),
    ),
    "second-adjustable": (
        StandIn("open-spanners", 1.0, 0.0, Message("if one fits")),
        StandIn("vice", 1.1, 0.005, Message("soft jaws on the flats")),
        StandIn("pipe-wrench", 1.5, 0.05, Message("its teeth round off flats")),
    ),
    "open-spanners": (
        StandIn("adjustable", 1.2, 0.01, Message("set it tight: it rounds off corners")),
    ),
    "socket-set": (
        StandIn("open-spanners", 1.3, 0.0, ""),
        StandIn("adjustable", 1.6, 0.01, Message("set it tight: it rounds off corners")),
    ),
    "long-c-spanner": (
        StandIn(
            "c-spanner",
            1.6,
            0.005,
            Message("by hand alone: if it does not move, fetch the long one"),
        ),
        StandIn("soft-drift", 2.0, 0.03, Message("tapped round by its slots, short blows")),
    ),
    "chain-wrench": (
        StandIn("pipe-wrench", 1.2, 0.04, Message("its teeth bite: pack with rag and pull square")),
        StandIn("strap-wrench", 1.4, 0.005, Message("holds less: dry both first")),
    ),
    "breaker-bar": (
        StandIn("slogging-spanner", 1.3, 0.0, Message("struck square, a fitting one only")),
    ),
    "slogging-spanner": (StandIn("breaker-bar", 1.0, 0.0, Message("with the socket that fits")),),
    "soft-drift": (
        StandIn("timber-dowel", 1.4, 0.005, Message("splits: tap lightly and clear the splinters")),
    ),
    "hammer": (StandIn("timber-block", 1.5, 0.005, Message("swing the block itself")),),
    "soft-hammer": (
        StandIn("hammer", 1.2, 0.01, Message("timber between hammer and part")),
        StandIn("timber-block", 1.4, 0.005, Message("swing the block itself")),
    ),
    "packing-hook": (
        StandIn("timber-dowel", 1.6, 0.005, Message("work round the ring a little at a time")),
        StandIn(
            "screwdriver", 1.3, 0.06, Message("the blade scores the gland bore: round it off first")
        ),
    ),
    "circlip-pliers": (
        StandIn("screwdriver", 2.5, 0.05, Message("the ring springs out: hold it")),
    ),
    "vice": (
        StandIn("timber-block", 1.6, 0.01, Message("wedge it on timber; a second pair of hands")),
    ),
}
"""For each tool, what stands in for it, best first."""


def safe_together(tools: Collection[str]) -> bool:
    """Whether no tube goes on a tool that it lets slip."""
    used = set(tools)
    return "tube" not in used or not NO_TUBE_ON & used


def title_of(tool: str) -> str:
    """A tool's title; a tool that only the pump's description names is called by its key."""
    return TOOLS.get(tool, tool.replace("-", " ").capitalize())
