"""Simulation of a pump with faults beside a sound one."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from wetend.advice.faults.tables import FAULTS, MOTION_FAULTS
from wetend.advice.reasons import Working
from wetend.advice.simulation.film import (
    CHANNELS,
    Film,
    Instant,
    key_instants,
    thinned,
)
from wetend.advice.simulation.view import (
    ComparisonView,
    RunView,
    faults_asked,
    show_motion,
    working_of,
)
from wetend.errors import NotFound
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.simulation import NO_FAULT, GunState, SimulationRequest
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units import quantity
from wetend.units.kinds import System
from wetend.units.message import Message, Retold
from wetend.units.quantity import Unit, unit_of
from wetend.units.show import show
from wetend.workflows import pumps
from wetend.workflows.desk import Desk

INSTANTS = 150
"""Instants of a film that are drawn, for each cycle shown."""
FAULT_TITLES: dict[str, str] = {
    NO_FAULT: Message("no fault"), **{name: kind.title for name, kind in MOTION_FAULTS.items()}
}  # fmt: skip
_NAMES: dict[str, str] = {
    **{fault.title: fault.motion_name for fault in FAULTS},
    **{title: name for name, title in FAULT_TITLES.items()},
}
ONLY_A_PICTURE = Message("A picture of a calculation, to learn from; check against the real pump.")


@dataclass(frozen=True)
class FigureRow:
    """One figure of this pump beside the sound one's (SI); ``None`` where it doesn't tell."""

    label: str
    unit: Unit
    this: float | None
    sound: float | None

    @property
    def differs(self) -> bool:
        """Whether the two are more than a twentieth apart."""
        if self.this is None or self.sound is None:
            return (self.this is None) != (self.sound is None)
        most = max(abs(self.this), abs(self.sound))
        return most > 0 and abs(self.this - self.sound) > max(0.05 * most, self._least)

    @property
    def _least(self) -> float:
        return {"m/s": 1e-4, "m^3/s": 1e-8}.get(self.unit.kind.si, 0.0)


@dataclass(frozen=True)
class SizeOfFault:
    """What a fault's size is, for those who ask."""

    name: str
    title: str
    size: str
    typical: str


@dataclass(frozen=True, eq=False)
class SimulateView:
    """All that the page of a pump in motion shows."""

    pump: Pump
    coating: Coating
    faults: tuple[str, ...]
    """Each fault inserted, with its size."""
    gun: GunState
    this: Film
    sound: Film
    figures: tuple[FigureRow, ...]
    instants: tuple[Instant, ...]
    working: Working
    only: str


def fault_named(text: str) -> str:
    """A fault's name, where it is given as it is called, here or by the running checks.

    >>> fault_named("outlet filter or hose blocked"), fault_named("filter"), fault_named("rust")
    ('filter', 'filter', 'rust')
    """
    return text if text in FAULT_TITLES else _NAMES.get(text, text)


def pump_choices(desk: Desk) -> dict[str, str]:
    """Pumps to choose from, by key: those of the depot, then the examples."""
    own = {pump.key: pump.name for pump in pumps.described(desk)}
    examples = {
        k: Message("{name} (example)", name=demo_pump(k).name) for k in DEMO_PUMPS if k not in own
    }
    return own | examples


def pump_of(desk: Desk, key: str) -> Pump:
    """A pump of the depot, or an example.

    Raises:
        NotFound: there is neither.
    """
    try:
        return desk.pump(key)
    except NotFound:
        if key in DEMO_PUMPS:
            return demo_pump(key)
        raise


def _without_unit(meaning: str) -> str:
    return meaning.rpartition(", ")[0] or meaning


def sizes() -> tuple[SizeOfFault, ...]:
    """What the size of each fault means, and what is typical."""
    return tuple(
        SizeOfFault(k.name, k.title, Retold(_without_unit, k.size), show(k.typical, k.unit))
        for k in MOTION_FAULTS.values()
    )  # fmt: skip


def _figures(this: RunView, sound: RunView) -> tuple[FigureRow, ...]:
    seconds, creep, leak = (unit_of(u) for u in (quantity.S, quantity.Creep, quantity.LeakFlow))
    flow, pressure = unit_of(quantity.M3PerS), unit_of(quantity.Pa)
    a, b, x, y = this.summary, sound.summary, this.timing, sound.timing
    rows = (
        FigureRow(Message("up-stroke"), seconds, a.up_time, b.up_time),
        FigureRow(Message("down-stroke"), seconds, a.down_time, b.down_time),
        FigureRow(Message("cycles"), unit_of(quantity.CycleRate), a.cycle_rate, b.cycle_rate),
        FigureRow(Message("sprayed"), flow, a.flow, b.flow),
        FigureRow(Message("gauge, mean"), pressure, a.gauge, b.gauge),
        FigureRow(Message("lost outside"), leak, a.lost, b.lost),
        FigureRow(Message("cylinder filled"), unit_of(quantity.Percent), x.filling, y.filling),
        FigureRow(Message("foot valve shuts after"), seconds, x.foot_delay, y.foot_delay),
        FigureRow(Message("piston valve shuts after"), seconds, x.piston_delay, y.piston_delay),
        FigureRow(Message("stall going up"), pressure, a.stall_up, b.stall_up),
        FigureRow(Message("stall going down"), pressure, a.stall_down, b.stall_down),
        FigureRow(Message("creep up at stall"), creep, a.creep_up, b.creep_up),
        FigureRow(Message("creep down at stall"), creep, a.creep_down, b.creep_down),
    )
    return tuple(row for row in rows if row.this is not None or row.sound is not None)


@kept("pumps in motion", most=32 * MB)
def _played(
    pump: Pump, coating: Coating, faults: tuple[tuple[str, float], ...], cycles: int, gun: GunState
) -> ComparisonView:
    return show_motion(pump, coating, dict(faults), cycles=cycles, gun=gun)


def played(
    pump: Pump,
    coating: Coating,
    faults: Mapping[str, float],
    *,
    cycles: int,
    gun: GunState,
) -> SimulateView:
    """A pump with faults of given sizes (SI), simulated and put into figures.

    Raises:
        NoAnswer: the calculation has no solution for this pump, coating and faults.
        BadInput: a fault is not known, or its size out of range.
    """
    showing = _played(pump, coating, tuple(faults.items()), cycles, gun)
    this = thinned(showing.this.film, INSTANTS * cycles)
    named = tuple(
        Message(
            "{fault}, {size}",
            fault=MOTION_FAULTS[name].title,
            size=show(size, MOTION_FAULTS[name].unit),
        )
        for name, size in faults.items()
    )
    return SimulateView(
        pump=pump,
        coating=coating,
        faults=named,
        gun=gun,
        this=this,
        sound=thinned(showing.sound.film, INSTANTS * cycles),
        figures=_figures(showing.this, showing.sound),
        instants=key_instants(this),
        working=working_of(pump, coating, faults, showing),
        only=ONLY_A_PICTURE,
    )


def view(desk: Desk, request: SimulationRequest, *, system: System) -> SimulateView:
    """What was asked, simulated.

    Args:
        desk: whose pumps and coatings.
        request: what was asked.
        system: units meant by sizes typed without one.

    Raises:
        NotFound: no such pump or coating.
        BadInput: a fault is not known, or its size can't be read or is out of range.
        NoAnswer: the calculation has no solution.
    """
    return played(
        pump_of(desk, request.pump),
        desk.coating(request.coating),
        faults_asked(request, system),
        cycles=request.cycles,
        gun=request.gun,
    )


def as_csv(seen: SimulateView) -> str:
    """Both films as a table: names, units (SI), then an instant a row."""
    text = io.StringIO()
    rows = csv.writer(text, lineterminator="\n")
    heads = [f"{whose}.{key}" for key in CHANNELS for whose in ("this", "sound")]
    rows.writerow(["time", *heads])
    units = [channel.unit.kind.si for channel in CHANNELS.values() for _ in range(2)]
    rows.writerow(["s", *units])
    columns = [
        np.interp(seen.this.t, film.t, film[key])
        for key in CHANNELS
        for film in (seen.this, seen.sound)
    ]
    for k, time in enumerate(seen.this.t):
        rows.writerow([f"{time:.6g}", *(f"{column[k]:.6g}" for column in columns)])
    return text.getvalue()


def as_json(seen: SimulateView) -> dict[str, Any]:
    """A view as JSON types, SI."""

    def film(each: Film) -> dict[str, list[float]]:
        return {"time": each.t.tolist(), **{key: each[key].tolist() for key in CHANNELS}}

    return {
        "pump": seen.pump.key,
        "coating": seen.coating.key,
        "faults": list(seen.faults),
        "gun": seen.gun,
        "figures": {
            row.label: {"this": row.this, "sound": row.sound, "unit": row.unit.kind.si}
            for row in seen.figures
        },
        "instants": {each.name: each.time for each in seen.instants},
        "trace": {"this": film(seen.this), "sound": film(seen.sound)},
        "units": {"time": "s", **{key: c.unit.kind.si for key, c in CHANNELS.items()}},
        "source": seen.working.source,
        "validity": seen.working.validity,
        "only": seen.only,
    }
