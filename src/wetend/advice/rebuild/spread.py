"""Uncertainty of the elbow's direction: worst case, root sum of squares, and each part's share."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.rebuild.shims import Ending, gap_worst
from wetend.advice.rebuild.stack import (
    StackState,
)
from wetend.physics.stackup import CLAMP_SPREAD, SHIM_SPREAD, STIFFNESS_SPREAD, TURN
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, Rad, Ratio


@dataclass(frozen=True)
class SpreadPart:
    """What one size or force adds to the spread."""

    title: str
    measured: bool
    spread: MFine
    """Standard uncertainty of the gap from it."""
    share: Ratio
    """Of the variance."""


@dataclass(frozen=True)
class StackSpread:
    """The elbow's spread three ways; zero in all where it is set by hand."""

    worst: Rad
    """Every size two standard uncertainties out, the same way."""
    rss: Rad
    """One standard uncertainty, by the root of the sum of squares."""
    monte_carlo: Rad
    """Half of the interval that held nine draws in ten."""
    parts: tuple[SpreadPart, ...]
    """The largest first."""


def _sources(state: StackState, clamp: float, shims: int) -> list[tuple[str, bool, M]]:
    """Each source of spread: its name, whether it was measured, its standard uncertainty."""
    squeezed = clamp * state.compliance
    found = [
        (p.title or p.name.replace("-", " "), seen, float(u))
        for p, seen, u in zip(state.parts, state.measured, state.spreads, strict=True)
    ]
    found.append((Message("housing depth"), False, state.depth_spread))
    if shims:
        found.append(("shims", False, SHIM_SPREAD * math.sqrt(shims)))
    soft = math.hypot(*(float(s) * STIFFNESS_SPREAD for s in squeezed))
    found.append((Message("stiffness of the soft rings"), False, soft))
    found.append((Message("clamp, by torque"), False, float(squeezed.sum()) * CLAMP_SPREAD))
    return found


def spread_of(state: StackState, end: Ending, shims: int, *, half_drawn: Rad) -> StackSpread:
    """The spread of the stop angle and where it comes from.

    Worst case is arithmetic; the root of squares is JCGM 100:2008, 5.1.2; the draws JCGM 101:2008.
    """
    if state.turns_freely:
        return StackSpread(0.0, 0.0, 0.0, ())
    sources = _sources(state, end.clamp, shims)
    variance = math.fsum(u * u for _, _, u in sources)
    parts = [
        SpreadPart(title, seen, u, u * u / variance if variance else 0.0)
        for title, seen, u in sources
    ]
    return StackSpread(
        worst=gap_worst(state, end.clamp, shims) / state.lead * TURN,
        rss=end.deviation,
        monte_carlo=half_drawn,
        parts=tuple(sorted((p for p in parts if p.spread > 0), key=lambda p: -p.share)),
    )
