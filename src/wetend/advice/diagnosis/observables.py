"""Everything a running check can read: what it is called, how exact it is, how to do it.

Errors are standard deviations of reading and model together, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.lumps import carried_away
from wetend.advice.diagnosis.prior import LUMP, NUISANCES, Setting
from wetend.advice.faults.record import Cause, Key
from wetend.advice.faults.tables import CARRIED_AWAY, CAUSES, DROPS, EXTENTS, FAULTS, GAPS
from wetend.advice.hose.compliance import spraying
from wetend.advice.pump_physics import (
    Condition,
    filling_of,
    rated_stall,
    static_path,
    stroke_parameters,
)
from wetend.lazy_import import special
from wetend.physics.stroke.gap import LeakRate, blend, leak_rate
from wetend.physics.stroke.parameters import Leaks, StrokeState
from wetend.physics.stroke.steady import steady
from wetend.units import quantity
from wetend.units.message import Message
from wetend.units.quantity import Unit, unit_of

Array = NDArray[np.float64]

_ROUGH, _RULE = 0.2, 1.2e-3 / 60
"""Errors of a creep: a share of it, of the sums and of a leak that is not the same twice; and m/s,
of a rule beside the rod for a minute."""
_FLOOR = 1e-12


def _log(value: Array) -> Array:
    return np.log(np.maximum(value, _FLOOR))


def creep_scale(value: Array) -> Array:
    r"""Scale on which a creep's error is even, though it is a share of much and a fixed part of
    little: :math:`\operatorname{arsinh}(a v / b)`, whose slope is :math:`a / \sqrt{a^2 v^2 + b^2}`.
    """
    return np.asarray(np.arcsinh(_ROUGH / _RULE * np.maximum(value, 0.0)))


def _straight(value: Array) -> Array:
    return value


@dataclass(frozen=True)
class Observable:
    """One thing that can be read off a running pump."""

    key: Key
    title: str
    unit: Unit | None
    """``None``: it is seen or not seen."""
    scale: Callable[[Array], Array]
    """To the scale on which the error is even."""
    relative: float
    absolute: float = 0.0
    """Errors on that scale: relative to the value, and fixed."""

    def error(self, value: Array) -> Array:
        """Standard deviation of a reading near this value, on the error's scale."""
        if self.scale is _straight:
            return np.hypot(self.relative * np.abs(value), self.absolute)
        return np.full_like(value, self.relative)


OBSERVABLES: dict[Key, Observable] = {
    o.key: o
    for o in (
        Observable("up_time", Message("up-stroke"), unit_of(quantity.S), _log, 0.035),
        Observable("down_time", Message("down-stroke"), unit_of(quantity.S), _log, 0.035),
        Observable(
            "spray_pressure",
            Message("gauge while spraying"),
            unit_of(quantity.Pa),
            _straight,
            0.02,
            4e5,
        ),
        Observable(
            "stall_pressure", Message("gauge at stall"), unit_of(quantity.Pa), _straight, 0.02, 4e5
        ),
        Observable(
            "creep_up", Message("creep up at stall"), unit_of(quantity.Creep), creep_scale, _ROUGH
        ),
        Observable(
            "creep_down",
            Message("creep down at stall"),
            unit_of(quantity.Creep),
            creep_scale,
            _ROUGH,
        ),
        Observable(
            "supply_pressure",
            Message("supply pressure"),
            unit_of(quantity.Pa),
            _straight,
            0.03,
            1e4,
        ),
        Observable("flow", Message("delivery"), unit_of(quantity.M3PerS), _log, 0.05),
        Observable(
            "cycle_rate", Message("cycles a minute"), unit_of(quantity.CycleRate), _log, 0.025
        ),
        Observable(
            "cycle_volume", Message("delivery a cycle"), unit_of(quantity.M3Small), _log, 0.04
        ),
        Observable(
            "rhythm", Message("up-stroke over down-stroke"), unit_of(quantity.Ratio), _log, 0.05
        ),
        Observable(
            "drop",
            Message("quick drop, share of the stroke"),
            unit_of(quantity.Percent),
            _straight,
            0.1,
            0.02,
        ),
        Observable(
            "slow_drop",
            Message("quick drop run slowly, share of the stroke"),
            unit_of(quantity.Percent),
            _straight,
            0.1,
            0.02,
        ),
        Observable(
            "turn_pause", Message("pause at the turns"), unit_of(quantity.S), _straight, 0.1, 0.1
        ),
        Observable("wet_cup", Message("wet cup"), None, _straight, 0.0),
        Observable("early_drop", Message("start of the down-stroke"), None, _straight, 0.0),
        Observable("slow_turn", Message("changeover slow"), None, _straight, 0.0),
        Observable("knock", Message("knock at the turn"), None, _straight, 0.0),
        Observable("creep_place", Message("creep along the stroke"), None, _straight, 0.0),
        Observable("suction_lifted", Message("suction lifted"), None, _straight, 0.0),
        Observable("fresh_suction", Message("fed from a full pail"), None, _straight, 0.0),
        Observable("air_seen", Message("bubbles"), None, _straight, 0.0),
        Observable("filter_looked", Message("outlet filter"), None, _straight, 0.0),
        Observable("nozzle_changed", Message("another nozzle"), None, _straight, 0.0),
        Observable("outside_looked", Message("hose and dump valve"), None, _straight, 0.0),
        Observable("solvent_test", Message("solvent on the ball"), None, _straight, 0.0),
        Observable("wash", Message("wash through the dump valve"), None, _straight, 0.0),
        Observable(
            "nozzle_turned", Message("nozzle turned and shot through"), None, _straight, 0.0
        ),
    )
}
"""All observables by key."""


@dataclass(frozen=True, eq=False)
class SimulatedStrokes:
    """Many pumps run: what each would read, and how big each fault is in it."""

    reads: dict[Key, Array]
    """A probability for what is seen or not seen."""
    leak: dict[Cause, Array]
    """m^3/s at the pump's own stall pressure."""
    share: dict[Cause, Array]
    """Share of the stroke lost while spraying."""
    extent: dict[Cause, Array] = field(default_factory=dict)
    """How far the faults go that are neither leak nor drop, as :data:`EXTENTS` says."""
    stall: tuple[Array, ...] = ()
    """Gauge at stall going up and going down; empty: as ``reads`` has it, both ways."""
    lump: Array = field(default_factory=lambda: np.empty(0))
    """How easily what is wrong comes loose: see :mod:`wetend.advice.diagnosis.lumps`."""

    def ways(self, key: Key) -> tuple[Array, ...]:
        """What may be read: the same each way, but of the gauge at stall."""
        return self.stall if key == "stall_pressure" and self.stall else (self.reads[key],)

    def some(self, rows: NDArray[np.intp]) -> SimulatedStrokes:
        """These pumps alone."""
        return SimulatedStrokes(
            {k: v[rows] for k, v in self.reads.items()},
            {c: v[rows] for c, v in self.leak.items()},
            {c: v[rows] for c, v in self.share.items()},
            {c: v[rows] for c, v in self.extent.items()},
            tuple(way[rows] for way in self.stall),
            self.lump[rows],
        )


@dataclass(frozen=True, eq=False)
class Sizes:
    """What there is to see on running pumps."""

    drop: Array
    """Share of the down-stroke gone quickly at its start."""
    pause: Array
    """Standing at each turn, s."""
    drop_cured: Array
    """Share of the drop that a full pail and a short suction take away."""
    nozzle_off: Array
    """Logarithm of the nozzle's area over a good one's."""


def _at_stall(rate: LeakRate, pressure: Array, leaks: Leaks) -> Array:
    ratio = np.maximum(pressure / leaks.reference, _FLOOR)
    return blend(rate, ratio, leaks.power)[0]


def _chance(times: Array, least: float, most: float) -> Array:
    """Chance that something is seen, rising from ``least`` to ``most`` as its causes grow."""
    return least + (most - least) * -np.expm1(-times)


def _static_alone(setting: Setting, condition: Condition) -> LeakRate:
    """The static packings' own part of what is lost to the outside."""
    return leak_rate(
        condition.static_gap, static_path(setting.pump), filling_of(setting.liquid),
        pressure=rated_stall(setting.pump), viscosity_scale=condition.viscosity,
    )  # fmt: skip


def seen_by_eye(difference: Array, *, least: float, blur: float) -> Array:
    """Chance that a difference is seen: a normal law about the least one that is, and one in fifty
    seen or missed for no reason."""
    return np.asarray(0.02 + 0.96 * special.ndtr((np.abs(difference) - least) / blur))


SEEN_BY_ITSELF: dict[Key, tuple[float, float]] = {
    "wet_cup": (0.015, 0.96), "creep_place": (0.08, 0.85), "suction_lifted": (0.05, 0.94),
    "air_seen": (0.06, 0.92), "filter_looked": (0.08, 0.94), "outside_looked": (0.02, 0.95),
    "solvent_test": (0.04, 0.96),
}  # fmt: skip
"""Of what is seen of a cause by itself, the chance to see it where it is not there, and where it is
as big as can be."""
_WASHED, _TURNED = 0.02, 0.12
"""Of a wash, the share of the stroke that its coming right is seen by; of a nozzle turned, the
logarithm of its area."""


def _seen_by_themselves(
    z: Array, present: NDArray[np.bool_], share: Mapping[Cause, Array]
) -> dict[Key, Array]:
    """Chances of what is seen of some cause by itself; several add to one another."""
    times = {key: np.zeros(len(z)) for key in SEEN_BY_ITSELF}
    for cause in CAUSES:
        for key, shown in cause.shows.items():
            if shown.by == "share":
                size = np.maximum(share[cause], 0.0)
            else:
                size = np.where(present[:, cause], np.exp(0.7 * z[:, NUISANCES + cause]), 0.0)
            times[key] = times[key] + size / shown.middle
    return {key: _chance(times[key], *ends) for key, ends in SEEN_BY_ITSELF.items()}


def sights(
    z: Array, present: NDArray[np.bool_], seen: Sizes, *, share: Mapping[Cause, Array]
) -> dict[Key, Array]:
    """Chances of what is seen or not seen. Common practice, no source.

    Args:
        z: rows of standard normal numbers.
        present: rows of causes.
        seen: what there is to see.
        share: share of the stroke lost to each leak.
    """
    none = np.zeros(len(z))
    hard = seen.drop
    for cause, drop in DROPS.items():
        if drop.cushion < 1.0:
            hard = np.where(present[:, cause], drop.cushion * hard, hard)
    gone = carried_away(z[:, LUMP], present, tuple(CARRIED_AWAY))
    washed = sum(np.where(gone[:, c], share[c], none) for c in CARRIED_AWAY["wash"])
    turned = gone[:, list(CARRIED_AWAY["nozzle_turned"])].any(axis=1)
    cleared = np.where(turned, seen.nozzle_off, none)
    return _seen_by_themselves(z, present, share) | {
        "early_drop": seen_by_eye(seen.drop, least=0.08, blur=0.04),
        "slow_turn": seen_by_eye(seen.pause, least=0.25, blur=0.08),
        "knock": _chance((hard / 0.1) ** 2, 0.05, 0.8),
        "fresh_suction": seen_by_eye(seen.drop_cured, least=0.075, blur=0.035),
        "nozzle_changed": seen_by_eye(seen.nozzle_off, least=0.15, blur=0.05),
        "wash": _chance(np.maximum(washed, 0.0) / _WASHED, 0.03, 0.95),
        "nozzle_turned": seen_by_eye(cleared, least=_TURNED, blur=0.05),
    }


_LEAKS: tuple[Cause, ...] = tuple(f.causes[0] for f in FAULTS if f.causes[0] in GAPS)
"""Of each fault that leaks, the cause that stands for it."""


def _shares(
    setting: Setting, condition: Condition, state: StrokeState, leaks: Leaks, empty: Array
) -> tuple[dict[Cause, Array], LeakRate]:
    """Share of the stroke lost to each fault, and the static packings' own leak."""
    pump, up, down = setting.pump, state.up, state.down
    out = 0.5 * (up.static_leak / (pump.upper_area * up.speed)
                 + down.static_leak / (pump.rod_area * down.speed))  # fmt: skip
    own = _static_alone(setting, condition)
    middle = 0.5 * (up.pressure + down.pressure)
    part = _at_stall(own, middle, leaks) / np.maximum(
        _at_stall(leaks.static, middle, leaks), _FLOOR
    )
    static = out * np.minimum(part, 1.0)
    by_place = {
        "foot": down.leak / (pump.rod_area * down.speed),
        "piston": up.leak / (pump.upper_area * up.speed),
        "rod": static,
        "outside": out - static,
    }
    share = {cause: by_place[GAPS[cause].place] for cause in _LEAKS}
    return {**share, **dict.fromkeys(DROPS, empty)}, own


def _leaks_at_stall(state: StrokeState, leaks: Leaks, own: LeakRate) -> dict[Cause, Array]:
    """What each leak passes at the pump's own stall pressure, m^3/s."""
    static = _at_stall(own, state.stall_pressure, leaks)
    by_place = {
        "foot": _at_stall(leaks.foot, state.down.stall_pressure, leaks),
        "piston": _at_stall(leaks.piston, state.up.stall_pressure, leaks),
        "rod": static,
        "outside": np.maximum(_at_stall(leaks.static, state.stall_pressure, leaks) - static, 0.0),
    }
    return {cause: by_place[GAPS[cause].place] for cause in _LEAKS}


def play(setting: Setting, z: Array, present: NDArray[np.bool_]) -> SimulatedStrokes:
    """Run pumps drawn as rows of numbers and causes."""
    pump = setting.pump
    whole = setting.condition(z, present)
    empty = 1.0 - np.asarray(whole.filling)
    condition = replace(whole, filling=1.0)
    parameters = stroke_parameters(pump, setting.liquid, condition, table=setting.table)
    state, leaks = steady(parameters), parameters.leaks
    spray = spraying(pump, setting.liquid, parameters, state, empty=empty)
    up, down = state.up, state.down
    share, own = _shares(setting, condition, state, leaks, empty)
    cured = [cause for cause, drop in DROPS.items() if drop.cured_by_full_pail]
    suction = present[:, cured].any(axis=1)
    pause = np.broadcast_to(pump.drive.reversal + np.asarray(condition.reversal), (len(z),))
    lost = spray.drop - empty
    seen = Sizes(
        drop=spray.drop, pause=pause, drop_cured=np.where(suction, empty, 0.0),
        nozzle_off=np.log(np.asarray(condition.nozzle)),
    )  # fmt: skip
    reads: dict[Key, Array] = {
        "up_time": spray.up_time,
        "down_time": spray.down_time,
        "rhythm": spray.up_time / spray.down_time,
        "spray_pressure": spray.gauge,
        "stall_pressure": state.stall_pressure,
        "creep_up": up.creep,
        "creep_down": down.creep,
        "supply_pressure": np.asarray(condition.supply),
        "flow": spray.flow,
        "cycle_rate": spray.cycle_rate,
        "cycle_volume": spray.cycle_volume,
        "drop": spray.drop,
        "slow_drop": setting.empty_slowly(z, present) + lost,
        "turn_pause": pause,
        **sights(z, present, seen, share=share),
    }
    sound = setting.sound_figures
    return SimulatedStrokes(
        reads=reads,
        leak=_leaks_at_stall(state, leaks, own),
        share=share,
        extent={cause: extent.of(condition, sound) for cause, extent in EXTENTS.items()},
        stall=(up.stall_pressure, down.stall_pressure),
        lump=z[:, LUMP],
    )
