"""The fleet: describe a pump, list pumps, open one with its history."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.toml import pump_from_toml
from wetend.records.entries import Entry
from wetend.records.fold import VisitSummary, fold_history, fold_pump
from wetend.workflows.desk import Desk


@dataclass(frozen=True)
class PumpLine:
    """One pump in the list, with its last visit."""

    pump: Pump
    visits: int
    last: VisitSummary | None
    open_visit: VisitSummary | None


@dataclass(frozen=True)
class PumpView:
    """A pump's page: the pump and every visit to it, latest first."""

    pump: Pump
    history: tuple[VisitSummary, ...]


def list_pumps(desk: Desk) -> tuple[PumpLine, ...]:
    """Every pump of the depot, by name."""
    entries = desk.depot.entries()
    by_pump: dict[str, list[Entry]] = {}
    for entry in entries:
        by_pump.setdefault(entry.pump, []).append(entry)
    lines = []
    for own in by_pump.values():
        if not any(e.kind == "pump-described" for e in own):
            continue
        history = fold_history(own)
        unfinished = next((v for v in history if not v.closed), None)
        lines.append(
            PumpLine(fold_pump(own), len(history), history[0] if history else None, unfinished)
        )
    return tuple(sorted(lines, key=lambda line: line.pump.name.lower()))


def view(desk: Desk, key: str) -> PumpView:
    """One pump and its history, latest visit first."""
    pump = desk.pump(key)
    return PumpView(pump, fold_history(desk.depot.entries(pump=key)))


def describe(desk: Desk, pump: Pump, *, new: bool = False) -> Pump:
    """Keep a pump's description; a later description replaces it in what is shown.

    Raises:
        BadInput: ``new`` is set and the depot already has a pump with this key.
    """
    taken = bool(desk.depot.entries(pump=pump.key, kinds=("pump-described",)))
    if new and taken:
        raise BadInput(f"The depot already has a pump with the key “{pump.key}”; choose another.")
    desk.keep("pump-described", pump, pump=pump.key)
    return pump


def describe_toml(desk: Desk, text: str, *, new: bool = False) -> Pump:
    """Keep a pump described in TOML."""
    return describe(desk, pump_from_toml(text), new=new)
