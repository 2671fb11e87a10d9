"""Faults that can be put into a pump in time, each with a size in SI units."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from wetend.advice.pump_physics import rated_flow
from wetend.advice.simulation.parameters import Motion
from wetend.errors import BadInput, UnknownName
from wetend.pump.description import Pump
from wetend.units.near import near_or_all
from wetend.units.quantity import M, MFine, N, Pa, Percent, S, Unit, unit_of

Change = Callable[[Motion, Pump, float], Motion]


@dataclass(frozen=True)
class FaultKind:
    """A fault that can be put in, and what its size is."""

    name: str
    title: str
    size: str
    """What the size means."""
    unit: Unit
    most: float
    typical: float
    change: Change


def _steadily(name: str) -> Change:
    """A fault that sets one figure of the steady condition to its size."""
    return lambda motion, _pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size})
    )


def _scaled(name: str, factor: Callable[[float], float]) -> Change:
    """A fault that multiplies one figure of the steady condition."""
    return lambda motion, _pump, size: replace(
        motion,
        steady=replace(motion.steady, **{name: getattr(motion.steady, name) * factor(size)}),
    )


def _over_rated_flow(name: str) -> Change:
    """A blockage given by the pressure it costs at the rated flow."""
    return lambda motion, pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size / rated_flow(pump)})
    )


def _over_lifting(motion: Motion, pump: Pump, size: float) -> Motion:
    return replace(motion, foot_lift=pump.foot_valve.lift_middle + size)


def _starving(motion: Motion, pump: Pump, size: float) -> Motion:
    return replace(motion, suction_blocked=size / rated_flow(pump))


_GAP, _SHARE = unit_of(MFine), unit_of(Percent)
_OPENING = "opening of the gap, m"
_LOSS = "pressure it costs at the pump's highest cycle rate, Pa"
FAULTS: dict[str, FaultKind] = {
    kind.name: kind
    for kind in (
        FaultKind("foot-valve", "foot valve not holding", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("foot_gap")),
        FaultKind("piston-valve", "piston valve not holding", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("seat_gap")),
        FaultKind("packings", "moving packings worn", _OPENING, _GAP, 1e-3, 60e-6,
                  _steadily("piston_gap")),
        FaultKind("score", "bore scored", "depth of the score, m", _GAP, 2e-3, 200e-6,
                  _steadily("score_gap")),
        FaultKind("static-packings", "static packings leaking", _OPENING, _GAP, 1e-3, 50e-6,
                  _steadily("static_gap")),
        FaultKind("outside", "hose or dump valve leaking", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("outside_gap")),
        FaultKind("foot-lift", "foot valve lifting too far", "lift beyond the range's middle, m",
                  unit_of(M), 0.05, 2e-3, _over_lifting),
        FaultKind("foot-sticking", "foot-valve ball sticking", "force that frees it, N",
                  unit_of(N), 1e5, 2.0, lambda m, _pump, size: replace(m, foot_stick=size)),
        FaultKind("nozzle-worn", "nozzle worn", "growth of its area, share", _SHARE, 20.0, 0.3,
                  _scaled("nozzle", lambda size: 1 + size)),
        FaultKind("nozzle-blocked", "nozzle part-blocked", "share of its area stopped up", _SHARE,
                  0.999, 0.5, _scaled("nozzle", lambda size: 1 - size)),
        FaultKind("filter", "outlet filter blocked", _LOSS, unit_of(Pa), 1e9, 4e6,
                  _over_rated_flow("filter_blocked")),
        FaultKind("line", "hose or gun filter blocked", _LOSS, unit_of(Pa), 1e9, 4e6,
                  _over_rated_flow("line_blocked")),
        FaultKind("starved", "suction starved", _LOSS, unit_of(Pa), 1e9, 1e5, _starving),
        FaultKind("air", "suction drawing air", "air drawn in, over the liquid's volume", _SHARE,
                  20.0, 0.1, lambda m, _pump, size: replace(m, free_air=m.free_air + size)),
        FaultKind("drive-weak", "drive weak", "share of its force gone", _SHARE, 0.999, 0.4,
                  _scaled("drive", lambda size: 1 - size)),
        FaultKind("drive-slow", "drive slow to reverse", "time longer at each end, s", unit_of(S),
                  60.0, 0.3, _steadily("reversal")),
    )
}  # fmt: skip
"""Every fault that can be put in, by name."""


def with_faults(pump: Pump, faults: Mapping[str, float], motion: Motion | None = None) -> Motion:
    """A state with faults of these sizes put in, by name (see :data:`FAULTS`).

    Raises:
        UnknownName: no fault goes by that name.
        BadInput: a size is below zero, not a number, or more than can be.
    """
    state = motion or Motion()
    for name, size in faults.items():
        if name not in FAULTS:
            known = near_or_all(name, FAULTS, "there are")
            raise UnknownName(f"“{name[:40]}” is not a fault; {known}")
        kind = FAULTS[name]
        if not 0 <= size <= kind.most:
            raise BadInput(f"“{kind.title}” takes a size from 0 to {kind.most:g} ({kind.size}).")
        if size > 0:
            state = kind.change(state, pump, size)
    return state
