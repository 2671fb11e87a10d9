"""Figures of the program's caches and its background work."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from wetend.background import BACKGROUND, BackgroundFigures
from wetend.keeping import Figures, figures
from wetend.workflows import checks, fleet, visits
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class MemoryView:
    """The memory of computed things, the largest first, and the work in the background."""

    held: tuple[Figures, ...]
    """Bounded memories of computed answers."""
    tables: tuple[Figures, ...]
    """What was read once from tables the program ships."""
    bytes: int
    """Estimated, of all answers."""
    most: int
    """Bytes that all answers together may take."""
    resident: int | None
    """Bytes of memory that the process takes; ``None`` where the system does not say."""
    background: BackgroundFigures


def resident() -> int | None:
    """Bytes of memory that this process takes; Linux, else ``None``."""
    try:
        status = Path("/proc/self/status").read_text(encoding="ascii", errors="replace")
    except OSError:
        return None
    lines = (line.split() for line in status.splitlines() if line.startswith("VmRSS:"))
    return next((1024 * int(words[1]) for words in lines), None)


def view() -> MemoryView:
    """As it stands in this process."""
    every = sorted(figures(), key=lambda f: (-f.bytes, f.name))
    held = tuple(f for f in every if f.most is not None)
    return MemoryView(
        held,
        tuple(f for f in every if f.most is None),
        sum(f.bytes for f in held),
        sum(f.most or 0 for f in held),
        resident(),
        BACKGROUND.figures(),
    )


def of_depot(desk: Desk) -> MemoryView:
    """What a server of this depot would hold once its month and open visits are computed."""
    fleet.view(desk)
    for seen in visits.open_visits(desk):
        checks.view(desk, seen.id)
    return view()
