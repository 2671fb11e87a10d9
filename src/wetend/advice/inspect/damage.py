"""Leak through damage at working pressure in this coating, and the share of the stroke it costs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wetend.advice.inspect.judgement import Damage
from wetend.advice.prove.limits import Allowed, allowed
from wetend.advice.reasons import Figure, Working
from wetend.errors import NoAnswer, UnknownName
from wetend.keeping import MB, kept
from wetend.physics.channels import triangle
from wetend.physics.leakage import Passage
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.scored import Score, score_flow
from wetend.physics.slits import slit_viscosity
from wetend.physics.stroke.gap import LEAST_INDEX
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.message import Message, joined
from wetend.units.quantity import LeakFlow, M, M3PerS, MFine, Pa, PaS, Percent, Ratio, unit_of

_HALVINGS = 40
_SHALLOW, _DEEP = -7, 1
"""Powers of two of a score's depth over its width between which sections are solved."""


@dataclass(frozen=True)
class Path:
    """The leak path: resistance, depth, length, and description."""

    passage: Passage
    gap: MFine
    length: M
    words: str
    """What was assumed of it."""
    score: Score | None = None
    """Its section, where it is no slit."""


@kept("losses allowed", most=8 * MB)
def limits_of(pump: Pump, coating: Coating | None) -> Allowed | None:
    """What this pump may lose with this coating; ``None`` where no coating says.

    A coating whose flow can't be computed (an unknown cup, one run too short) says nothing.
    """
    if coating is None:
        return None
    try:
        return allowed(pump, coating)
    except (NoAnswer, UnknownName):
        return None


def working_pressure(limits: Allowed) -> Pa:
    """At the pump while spraying at the middle of the coating's range, no more than it may give."""
    return min(limits.point.pump_pressure, limits.pump.limits.outlet_pressure)


def damage_of(pump: Pump, coating: Coating | None, *paths: Path | None) -> Damage | None:
    """The leak through paths side by side and the share of the stroke lost; ``None`` without."""
    limits, open_ = limits_of(pump, coating), [path for path in paths if path is not None]
    if limits is None or not open_:
        return None
    leaks = [leak_through(limits, path) for path in open_]
    share = share_lost(math.fsum(leaks), limits.point.flow)
    return Damage(math.fsum(leaks), share, _working(limits, open_, leaks, share))


def viscosity_in(limits: Allowed, path: Path) -> PaS:
    """Of the newtonian liquid that drag alone would let past as much; endless if it sticks.

    A slit's in closed form; a score's is that of a slit as deep, over what more a slit lets past.
    """
    pressure, liquid = working_pressure(limits), limits.liquid
    viscosity = float(slit_viscosity(liquid, path.gap, length=path.length, pressure=pressure))
    if path.score is None or liquid.index == 1.0:
        return viscosity
    return viscosity / _beside_slit(path.score.aspect, liquid.index)


def _beside_slit(aspect: Ratio, index: Ratio) -> Ratio:
    """A V's leak over what it were with the viscosity of a slit as deep: less, in thinning liquids.

    Between solved sections, from a hundred times as wide as deep to twice as deep as wide; 0.3 per
    cent off at most.
    """
    place = min(max(math.log2(aspect), _SHALLOW), _DEEP)
    step = min(math.floor(place), _DEEP - 1)
    low, high = _solved_beside_slit(step, index), _solved_beside_slit(step + 1, index)
    return low + (place - step) * (high - low)


@kept("scores beside slits", most=MB)
def _solved_beside_slit(step: int, index: Ratio) -> Ratio:
    """The same for a V two to so much as deep as wide; alike at all pressures and consistencies."""
    width, depth = 1e-3, 1e-3 * 2.0**step
    liquid = Liquid("power-law", 1000.0, 0.0, 1.0, index)
    solved = score_flow(Score("triangle", depth, width), liquid, length=1.0, pressure=1e6)
    slit = float(slit_viscosity(liquid, depth, length=1.0, pressure=1e6))
    return solved * slit / (triangle(depth, width).conductance * 1e6)


def leak_through(limits: Allowed, path: Path) -> LeakFlow:
    r"""What a path lets past at working pressure, drag and head lost at its ends in series.

    .. math:: Q = x\,Q_0, \qquad x^n + \frac{b Q_0^2}{p} x^2 = 1

    Q_0 by drag alone, n the index of the coating's law: drag takes the n-th power of the flow.
    """
    viscosity, pressure = viscosity_in(limits, path), working_pressure(limits)
    if not math.isfinite(viscosity):
        return 0.0
    slow = pressure / (path.passage.drag * viscosity)
    ends = path.passage.head * limits.liquid.density * slow**2 / pressure
    return slow * _share_of_drag(ends, max(limits.liquid.index, LEAST_INDEX))


def _share_of_drag(ends: float, index: Ratio) -> float:
    """x of :func:`leak_through`: by halving."""
    if index == 1.0:
        return 2.0 / (1.0 + math.sqrt(1.0 + 4.0 * ends))
    low, high = 0.0, min(1.0, ends**-0.5) if ends > 0 else 1.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        over = middle**index + ends * middle**2 > 1.0
        low, high = (low, middle) if over else (middle, high)
    return 0.5 * (low + high)


def share_lost(leak: LeakFlow, flow: M3PerS) -> float:
    """Share of a stroke that a leak takes, the gun taking ``flow`` all the while."""
    return leak / (leak + flow) if leak > 0 else 0.0


def _working(
    limits: Allowed, paths: Sequence[Path], leaks: Sequence[LeakFlow], share: float
) -> Working:
    pressure = working_pressure(limits)
    total = (Figure(Message("Leak"), math.fsum(leaks), unit_of(LeakFlow), "Q"),)
    apart = tuple(
        Figure(Message("Leak, way {number}", number=number), leak, unit_of(LeakFlow))
        for number, leak in enumerate(leaks, 1)
    )
    return Working(
        title=Message("Leak at working pressure"),
        formula="p = p_drag(Q) + Kρ/(2A²)·Q², p_drag = 12µL/(w h³)·Q for a slit;  "
        "share = Q/(Q + Q_nozzle)",
        given=(
            Figure(Message("Working pressure"), pressure, unit_of(Pa), "p"),
            *(figure for path in paths for figure in _given(path, viscosity_in(limits, path))),
        ),
        result=(
            *(apart if len(paths) > 1 else ()),
            *total,
            Figure(Message("Share of the stroke lost"), share, unit_of(Percent)),
        ),
        source="Plane Poiseuille flow of the coating's own law, a score's section solved by finite "
        "elements; entry and exit losses in series",
        validity=joined(" ", (*(path.words for path in paths), _STEADY)),
    )


_STEADY = Message("Steady, the gun open, the nozzle as described.")


def _given(path: Path, viscosity: PaS) -> Iterator[Figure]:
    yield Figure(Message("Depth of the way past"), path.gap, unit_of(MFine), "h")
    yield Figure(Message("Length of the way past"), path.length, unit_of(M), "L")
    if math.isfinite(viscosity):
        yield Figure(Message("Viscosity in it"), viscosity, unit_of(PaS))
