"""Recognises, builds and rebuilds a demo depot, never over other data."""

from __future__ import annotations

from wetend.errors import Refused
from wetend.records.engine import named
from wetend.records.store import DEMO, Depot
from wetend.workflows.demo.build import TECHNICIAN, build_demo


def is_demo(depot: Depot) -> bool:
    """Whether a depot is one of invented data, by what stands in it.

    One built by an earlier version does not say so; there, every pump is one of the demo's.
    """
    if depot.purpose:
        return depot.purpose == DEMO
    pumps = depot.entries(kinds=("pump-described",))
    return bool(pumps) and all((p.device, p.who) == ("demo", TECHNICIAN) for p in pumps)


def ready_demo(depot: Depot, *, again: bool) -> int:
    """See to it that a demo depot is built; how many entries were kept, none where it was.

    Args:
        depot: a new one made for the purpose, or one built before.
        again: whether one built before is to be emptied first.

    Raises:
        Refused: it is no demo depot; nothing was done.
    """
    if not is_demo(depot):
        raise Refused(
            f"The depot at {named(depot.url)} is not a demo depot, so it was not touched. Name "
            "another place with --at, or show this one with `wetend serve`."
        )
    if again:
        depot.call_demo()
        depot.empty_demo()
    return 0 if depot.entries(kinds=("pump-described",)) else build_demo(depot)
