"""Limits computed from what damage does: how deep a mark may be before it leaks too much.

Where the maker gives a limit it stands. Else the stricter of two is taken, and the page says which:
the depth at which the leak reaches what a rebuilt pump may lose on that path in this coating, and
the trade's own figure in the pump's description.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from wetend.advice.inspect.damage import Path, leak_through
from wetend.advice.prove.limits import PATH_LOSS, Allowed
from wetend.roots import zero_between
from wetend.units.message import Message
from wetend.units.quantity import LeakFlow, MFine, unit_of
from wetend.units.show import show

From = Literal["maker", "common practice"]
_NO_DEPTH = Message("No depth can be calculated at which the leak is just what is allowed.")
_SHALLOW: MFine = 1e-7
_DEEP: MFine = 5e-3
_NEXT_TO_NONE = 1e-9
COMPUTED = Message(
    "from the computed effect: the leak it lets past is {path_loss:.1%} of the delivery",
    path_loss=PATH_LOSS,
)


@dataclass(frozen=True)
class Bound:
    """A limit, and where it comes from in words."""

    depth: MFine
    source: str


def depth_of_leak(
    limits: Allowed, path_of: Callable[[MFine], Path | None], leak: LeakFlow
) -> MFine | None:
    """The depth whose leak at working pressure is just what is allowed.

    The leak grows with a power of depth, so both are taken by their logarithms. ``None`` where even
    5 mm passes less; 0.1 um, which nothing tells, where that passes more already.
    """

    def short(log_depth: float) -> float:
        path = path_of(math.exp(log_depth))
        passed = leak_through(limits, path) if path is not None else 0.0
        return math.log(max(passed, _NEXT_TO_NONE * leak) / leak)

    low, high = math.log(_SHALLOW), math.log(_DEEP)
    if short(high) < 0:
        return None
    if short(low) >= 0:
        return _SHALLOW
    return math.exp(zero_between(short, low, high, xtol=1e-6, why=_NO_DEPTH))


def bound(
    described: MFine,
    said: From,
    limits: Allowed | None,
    *,
    path_of: Callable[[MFine], Path | None],
    allowed: Callable[[Allowed], LeakFlow],
) -> Bound:
    """The limit on a mark's depth and where it comes from.

    Args:
        described: the limit in the pump's description.
        said: whose limit that is.
        limits: what the pump may lose with this coating; ``None``: no coating is known.
        path_of: the way past that a mark of a given depth opens.
        allowed: which leak it has to stay below.
    """
    if said == "maker":
        return Bound(described, Message("from the maker"))
    computed = depth_of_leak(limits, path_of, allowed(limits)) if limits is not None else None
    if computed is None:
        return Bound(described, said)
    if computed < described:
        return Bound(computed, COMPUTED)
    alone = show(computed, unit_of(MFine))
    return Bound(
        described,
        Message("{said}; the leak alone would allow {alone}", said=Message(said), alone=alone),
    )
