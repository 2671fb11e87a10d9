"""Comparison of a simulated pump with faults and a sound one: traces and figures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.pump_physics import Motion
from wetend.advice.reasons import Figure, Working
from wetend.advice.simulation.faults import with_faults
from wetend.advice.simulation.film import Film, Seen, cut
from wetend.advice.simulation.parameters import motion_parameters
from wetend.advice.simulation.run import SETTLING, Summary, summarise
from wetend.errors import BadInput, NoAnswer, Problem
from wetend.physics.motion import instant as seen
from wetend.physics.motion import layout as at
from wetend.physics.motion.parameters import Gun, GunUse, MotionParameters
from wetend.physics.motion.simulate import Stroke, Trace, simulate, simulate_stall
from wetend.physics.rheology.liquid import Liquid
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.flow_law import law_limits
from wetend.pump.simulation import NO_FAULT, GunState, SimulationRequest
from wetend.units import quantity
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.parse import read_quantity
from wetend.units.quantity import Ratio, S, unit_of
from wetend.units.show import show
from wetend.units.suggestions import near_or_all

STALL_SHOWN: S = 6.0
"""Seconds of a stall that are shown."""
_MOST_CYCLES = 60
_FAULT_FIELD = {"size": "fault", "also_size": "also"}
"""The field a fault is named in, by the field of its size."""
_WATCHED: dict[Seen, int] = {
    "suction": seen.O_SUCTION, "below": seen.O_BELOW, "above": seen.O_ABOVE,
    "gauge": seen.O_GAUGE, "gun": seen.O_GUN, "foot_flow": seen.O_FOOT,
    "piston_flow": seen.O_PISTON, "outlet": seen.O_OUT, "nozzle": seen.O_NOZZLE,
    "rod_leak": seen.O_STATIC, "outside": seen.O_OUTSIDE,
}  # fmt: skip


@dataclass(frozen=True)
class Timing:
    """What only the run in time shows; ``None`` where it doesn't tell."""

    filling: Ratio | None
    """Share of the volume swept by the bore that holds liquid as the down-stroke begins."""
    foot_delay: S | None
    """From the top turn until the foot valve's ball is on its seat."""
    piston_delay: S | None
    """From the bottom turn until the piston valve's ball is on its seat."""


@dataclass(frozen=True, eq=False)
class RunView:
    """One pump's run: the stretch shown, and its figures."""

    film: Film
    summary: Summary
    timing: Timing


@dataclass(frozen=True, eq=False)
class ComparisonView:
    """A pump with its faults, and a sound one over the same seconds."""

    this: RunView
    sound: RunView


def film_of(trace: Trace) -> Film:
    """Everything followed, row by row of a run."""
    values = {key: trace.seen[:, column] for key, column in _WATCHED.items()}
    values |= {
        "place": trace.x, "foot_lift": trace.foot_lift, "piston_lift": trace.piston_lift,
        "drawn": trace.suction_flow,
    }  # fmt: skip
    return Film(trace.t, values)


def _size(name: str, text: str, field: str, system: System | None) -> float:
    if name not in MOTION_FAULTS:
        sentence = Message(
            "“{name}” is not a fault; {there_are}",
            name=name[:40],
            there_are=near_or_all(name, MOTION_FAULTS, Message("there are")),
        )
        raise BadInput(sentence, (Problem(_FAULT_FIELD.get(field, field), sentence),))
    kind = MOTION_FAULTS[name]
    if not text.strip():
        return kind.typical
    bare = kind.unit.shown_in(system) if system else kind.unit.kind.si
    try:
        size = read_quantity(text, kind.unit.kind, bare=bare)
    except BadInput as bad:
        sentence = Message("{title}: {bad}", title=kind.title, bad=bad)
        raise BadInput(sentence, (Problem(field, sentence),)) from bad
    if not 0 <= size <= kind.most:
        most = show(kind.most, kind.unit, system or "metric")
        sentence = Message(
            "{title}: enter a size between 0 and {most}.", title=kind.title, most=most
        )
        raise BadInput(sentence, (Problem(field, sentence),))
    return size


def fault_sizes(
    typed: Mapping[str, str], *, system: System | None = None, fields: Mapping[str, str] = {}
) -> dict[str, float]:
    """Sizes of faults (SI) from texts by the fault's name; blank is typical.

    Args:
        typed: fault to the text of its size.
        system: units meant by bare numbers; ``None`` is SI.
        fields: fault to the form field a problem belongs to.

    Raises:
        BadInput: no such fault, or its size can't be read or is out of range.

    >>> fault_sizes({"foot-valve": "0.2 mm", "air": ""})
    {'foot-valve': 0.0002, 'air': 0.1}
    """
    return {
        name: _size(name, text, fields.get(name, "fault"), system)
        for name, text in typed.items()
        if name != NO_FAULT
    }


def faults_asked(request: SimulationRequest, system: System) -> dict[str, float]:
    """The faults a request asks for, with their sizes (SI).

    Raises:
        BadInput: as :func:`fault_sizes`.
    """
    first = fault_sizes(
        {request.fault: request.size}, system=system, fields={request.fault: "size"}
    )
    second = fault_sizes(
        {request.also: request.also_size}, system=system, fields={request.also: "also_size"}
    )
    return first | {name: size for name, size in second.items() if name not in first}


def _mean(values: list[float]) -> float | None:
    return float(np.mean(values)) if values else None


def _delay(trace: Trace, strokes: tuple[Stroke, ...], *, up: bool) -> float | None:
    """Mean time from the end of strokes going ``up`` until the ball on their side is seated."""
    guard = at.G_FOOT_SEAT if up else at.G_PISTON_SEAT
    shut = np.array([e.time for e in trace.events if e.which == guard])
    delays = []
    for stroke in strokes:
        later = shut[(shut >= stroke.end - 1e-9) & (shut < stroke.end + stroke.time)]
        if stroke.up == up and len(later):
            delays.append(float(later[0]) - stroke.end)
    return _mean(delays)


def _filling(trace: Trace, made: MotionParameters, strokes: tuple[Stroke, ...]) -> float | None:
    """What the cylinder holds as it is fullest in each down-stroke, less its dead room.

    What a leaking foot valve lets run back later in the stroke was in the cylinder, and counts.
    """
    chambers, held = made.chambers, trace.state[:, at.M1]
    found = [
        float(np.max(held[(trace.t >= s.start) & (trace.t <= s.end)])) - chambers.dead_below
        for s in strokes
        if not s.up
    ]
    mean = _mean(found)
    swept = chambers.bore_area * chambers.stroke
    return None if mean is None else min(max(mean / swept, 0.0), 1.0)


def _timing(trace: Trace, made: MotionParameters) -> Timing:
    strokes = trace.strokes[2 * SETTLING :]
    whole = trace.strokes[2 * SETTLING - 1 :]
    return Timing(
        filling=_filling(trace, made, strokes),
        foot_delay=_delay(trace, whole, up=True),
        piston_delay=_delay(trace, whole, up=False),
    )


def _run(made: MotionParameters, cycles: int) -> tuple[Trace, float]:
    """A run of so many cycles after settling, and when the first one shown begins."""
    trace = simulate(made, cycles=cycles + SETTLING)
    turns = [s.end for s in trace.strokes if not s.up]
    if len(turns) <= SETTLING:
        raise NoAnswer(Message("The pump does not stroke: its drive can't move this coating."))
    return trace, turns[SETTLING - 1]


def _summary(made: MotionParameters, trace: Trace) -> Summary:
    """The figures of a run, the stalls calculated with the gun shut however it was worked."""
    return summarise(replace(made, gun=Gun("shut")), trace)


def _shown(made: MotionParameters, trace: Trace, start: S, end: S) -> RunView:
    return RunView(cut(film_of(trace), start, end), _summary(made, trace), _timing(trace, made))


def _long_enough(made: MotionParameters, seconds: S, cycles: int) -> tuple[Trace, float]:
    """A run that shows at least so many seconds, as far as cycles go."""
    trace, start = _run(made, cycles)
    while trace.t[-1] < start + seconds and cycles < _MOST_CYCLES:
        cycles *= 2
        trace, start = _run(made, cycles)
    return trace, start


def _spraying(faulty: MotionParameters, sound: MotionParameters, cycles: int) -> ComparisonView:
    trace, start = _run(faulty, cycles)
    seconds = float(trace.t[-1]) - start
    other, begin = _long_enough(sound, seconds, cycles)
    return ComparisonView(
        _shown(faulty, trace, start, start + seconds), _shown(sound, other, begin, begin + seconds)
    )


def _stalled(faulty: MotionParameters, sound: MotionParameters, *, up: bool) -> ComparisonView:
    """Both pumps at stall, until the faulty one has crept to the end of its stroke."""
    runs = [simulate_stall(made, up=up, seconds=STALL_SHOWN) for made in (faulty, sound)]
    end = float(runs[0].t[-1])
    this, well = (
        RunView(cut(film_of(trace), 0.0, end), _summary(made, trace), Timing(None, None, None))
        for made, trace in zip((faulty, sound), runs, strict=True)
    )
    return ComparisonView(this, well)


def show_motion(
    pump: Pump,
    coating: Coating,
    faults: Mapping[str, float],
    *,
    cycles: int = 1,
    gun: GunState = "open",
) -> ComparisonView:
    """Play a pump with these faults (SI sizes), and a sound one over the same seconds.

    Raises:
        NoAnswer: the calculation has no solution for this pump, coating and faults.
        BadInput: a fault is not known, or its size out of range.
    """
    use: GunUse = "pulsed" if gun == "pulsed" else "open"
    faulty = motion_parameters(pump, coating, with_faults(pump, faults), gun=use)
    sound = motion_parameters(pump, coating, gun=use)
    if gun in ("stalled-up", "stalled-down"):
        return _stalled(faulty, sound, up=gun == "stalled-up")
    return _spraying(faulty, sound, cycles)


def show_state(pump: Pump, liquid: Liquid, motion: Motion) -> ComparisonView:
    """Play a pump in some state for one cycle, and a sound one over the same seconds.

    Raises:
        NoAnswer: it does not come round.
    """
    return _spraying(
        motion_parameters(pump, liquid, motion), motion_parameters(pump, liquid), cycles=1
    )


_FORMULA = """dm/dt = flows in less flows out, for each space, pressure from its content and volume
M dv/dt = drive + p_below A_b - p_above A_u - friction, for the rod
(m + rho V/2) dw/dt = dp A_c + drag - weight in the liquid - spring, for each ball
rho L/a dQ/dt = p_tin - rho g z - losses - p_suction, for the suction column"""


_HOLDS = Message(
    "One temperature throughout; a compressible liquid with a little air; a hose "
    "modelled at a few points, so no pressure waves along it; balls that stay on "
    "the axis; dead volume, moving mass and build-up of the drive by common "
    "practice where not described."
)


def working_of(
    pump: Pump, coating: Coating, faults: Mapping[str, float], showing: ComparisonView
) -> Working:
    """What was put into the model, what came out, and where it holds."""
    metres, seconds = unit_of(quantity.M), unit_of(quantity.S)
    given = [
        Figure(Message("bore"), pump.cylinder.bore, metres),
        Figure(Message("rod"), pump.rod.diameter, metres),
        Figure(Message("stroke"), pump.stroke, metres),
        Figure(Message("density"), coating.density, unit_of(quantity.KgPerM3)),
        Figure(Message("supply"), pump.drive.supply_rated, unit_of(quantity.Pa)),
    ]
    given += [
        Figure(MOTION_FAULTS[n].title, size, MOTION_FAULTS[n].unit) for n, size in faults.items()
    ]
    summary = showing.this.summary
    times = ((Message("up-stroke"), summary.up_time), (Message("down-stroke"), summary.down_time))
    return Working(
        title=Message("simulation of the pump"),
        formula=_FORMULA,
        given=tuple(given),
        result=tuple(Figure(name, time, seconds) for name, time in times if time is not None),
        source="Balance of volume in each space and Newton's second law; the flow laws, drag and "
        "leaks with their own sources are in the theory pages on motion, hose, valves and leakage.",
        validity=joined(" ", (_HOLDS, *law_limits(coating.law, "leak"))),
        spread=Message("Check the model against this pump by timing its strokes."),
    )
