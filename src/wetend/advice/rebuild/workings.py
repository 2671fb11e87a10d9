"""The stack's calculations shown: formula, inputs, source, validity and spread."""

from __future__ import annotations

from wetend.advice.reasons import Figure, Working
from wetend.advice.rebuild.draws import Drawn
from wetend.advice.rebuild.shims import Ending, gap_deviation, gap_worst, shims_wanted
from wetend.advice.rebuild.stack import (
    StackState,
    ball_top,
    clamp_limits,
    room,
)
from wetend.advice.rebuild.torque import (
    CLOSING_PULL,
    HALF_THREAD_ANGLE,
    collar_diameter,
    pull_wanted,
)
from wetend.physics import threads
from wetend.physics.stackup import CLAMP_SPREAD, SHIM_SPREAD, STIFFNESS_SPREAD, TURN
from wetend.pump.parts import StackPart
from wetend.units.message import Message
from wetend.units.quantity import NM, M, MFine, N, Rad, Ratio, unit_of
from wetend.units.stated import stated

_M, _FINE, _N, _NM = unit_of(M), unit_of(MFine), unit_of(N), unit_of(NM)
_RAD, _RATIO = unit_of(Rad), unit_of(Ratio)


def _called(part: StackPart) -> str:
    return part.title or part.name.replace("-", " ")


def _heights(state: StackState) -> tuple[Figure, ...]:
    return tuple(
        Figure(
            Message("{part} (measured)", part=_called(p))
            if seen
            else Message("{part} (as described)", part=_called(p)),
            float(h),
            _M,
            "h",
        )
        for p, h, seen in zip(state.parts, state.heights, state.measured, strict=True)
    )


def _clamped(state: StackState, end: Ending, shims: tuple[M, ...]) -> Working:
    squeezed = end.clamp * state.yielding
    height = float(state.heights.sum()) + sum(shims) - squeezed
    return Working(
        title=Message("Clamped height of the stack"),
        formula="H = sum of heights + shims - F (1/k1 + 1/k2 + ...)",
        given=(
            *_heights(state),
            Figure(Message("shims"), sum(shims), _M, "s"),
            Figure(Message("clamp"), end.clamp, _N, "F"),
            Figure(Message("compression of the soft rings"), squeezed, _FINE),
        ),
        result=(Figure(Message("clamped height"), height, _M, "H"),),
        source="Springs in series; soft rings taken as linear (common practice, no source)",
        validity=Message(
            "Soft rings within their squeeze limits; PTFE creeps: clamp again in an hour"
        ),
        spread=Message(
            "stiffness {stiffness_spread:.0%}, one shim {shim_spread} (standard)",
            stiffness_spread=STIFFNESS_SPREAD,
            shim_spread=stated(f"{SHIM_SPREAD * 1e6:.0f} µm"),
        ),
    )


def _turn(
    state: StackState, target: Rad, end: Ending, drawn: Drawn, shims: tuple[M, ...]
) -> Working:
    stack = state.pump.stack
    gap_sd = gap_deviation(state, end.clamp, len(shims))
    worst = gap_worst(state, end.clamp, len(shims)) / state.lead * TURN
    sign = "+" if stack.hand == "right" else "-"
    return Working(
        title=Message("Where the housing stops"),
        formula=f"angle = datum {sign} 360 deg * frac((D - H) / (pitch * starts))",
        given=(
            Figure(Message("housing depth at the datum turn"), state.depth, _M, "D"),
            Figure(Message("gap closed by turning"), end.gap, _M, "D - H"),
            Figure(Message("lead"), state.lead, _M),
            Figure(Message("datum"), stack.datum, _RAD),
            Figure(Message("gap's standard uncertainty"), gap_sd, _FINE),
        ),
        result=(
            Figure(Message("elbow, clockwise from 12 seen from below"), end.angle, _RAD),
            Figure(Message("standard uncertainty, root sum of squares"), end.deviation, _RAD),
            Figure(Message("worst case, every size two standard uncertainties out"), worst, _RAD),
            Figure(Message("chance within the tolerance"), drawn.on_target, _RATIO),
            Figure(Message("chance by formula"), end.on_target, _RATIO),
            Figure(Message("shims that would do exactly"), shims_wanted(state, target), _M),
        ),
        source="Geometry of the screw; spread by Monte Carlo (JCGM 101:2008) and, by formula, the "
        "law of propagation (JCGM 100:2008, 5.1.2) wrapped round the circle",
        validity=Message("Thread engaged; datum taken on the same start of the thread"),
        calculator="stack-clock",
        inputs=(
            ("pitch", stack.pitch),
            ("starts", stack.starts),
            ("hand", stack.hand),
            ("depth", state.depth),
            ("target", target),
            ("clamp", end.clamp),
            ("heights", tuple(float(h) for h in state.heights)),
            *((("shims", shims),) if shims else ()),
        ),
        spread=Message(
            "{draws} draws, seed {seed}; clamp by torque {clamp_spread:.0%}",
            draws=drawn.draws,
            seed=drawn.seed,
            clamp_spread=CLAMP_SPREAD,
        ),
    )


def _play(state: StackState, end: Ending) -> Working:
    low, high = clamp_limits(state)
    per_newton = state.yielding / state.lead * TURN
    return Working(
        title=Message("How far the torque can move the elbow"),
        formula="turn = 360 deg * (F - F_target) * (1/k1 + 1/k2 + ...) / lead",
        given=(
            Figure(Message("least clamp that holds"), low, _N),
            Figure(Message("most clamp the rings bear"), high, _N),
            Figure(Message("clamp aimed at"), end.clamp, _N),
        ),
        result=(
            Figure(Message("back, at the least clamp"), (low - end.clamp) * per_newton, _RAD),
            Figure(Message("on, at the most clamp"), (high - end.clamp) * per_newton, _RAD),
        ),
        source="Springs in series and geometry of the screw",
        validity=Message("Within the clamp's limits; never slacken to point the elbow"),
    )


def _nip(state: StackState, end: Ending, drawn: Drawn, shims: tuple[M, ...]) -> Working:
    low, high = clamp_limits(state)
    nip = float(state.heights.sum()) + sum(shims) - state.depth
    return Working(
        title=Message("Squeeze when the clamp ring is home"),
        formula="F = (sum of heights + shims - D) / (1/k1 + 1/k2 + ...)",
        given=(
            *_heights(state),
            Figure(Message("shims"), sum(shims), _M),
            Figure(Message("housing depth with the flange home"), state.depth, _M, "D"),
            Figure(Message("left to squeeze"), nip, _FINE),
            Figure(Message("least clamp"), low, _N),
            Figure(Message("most clamp"), high, _N),
        ),
        result=(
            Figure(Message("clamp"), end.clamp, _N, "F"),
            Figure(Message("chance within its limits"), drawn.clamp_chance, _RATIO),
        ),
        source="Springs in series; flange metal to metal (common practice, no source)",
        validity=Message("Clamp ring drawn up until the flange is home all round"),
        spread=Message("{draws} draws, seed {seed}", draws=drawn.draws, seed=drawn.seed),
    )


def _lift(state: StackState, end: Ending, drawn: Drawn) -> Working:
    valve = state.pump.foot_valve
    return Working(
        title=Message("Lift of the foot-valve ball"),
        formula="lift = lower soft ring as clamped + cage floor + shims under the cage - ball top",
        given=(
            Figure(Message("room under the cage's stop"), room(state, end.clamp), _M),
            Figure(Message("of it the cage's floor"), state.pump.stack.cage_floor, _M),
            Figure(Message("seated ball's top above the seat's face"), ball_top(valve), _M),
            Figure(Message("least lift"), valve.lift_low, _M),
            Figure(Message("most lift"), valve.lift_high, _M),
        ),
        result=(
            Figure(Message("lift"), end.lift, _M),
            Figure(Message("standard uncertainty"), end.lift_deviation, _FINE),
            Figure(Message("chance within the limits"), drawn.lift_chance, _RATIO),
        ),
        source="Plane geometry of a sphere on a cone",
        validity=Message("Ball and cone as described; shims on top of the cage leave it alone"),
        spread=Message("{draws} draws, seed {seed}", draws=drawn.draws, seed=drawn.seed),
    )


def _torque(state: StackState, end: Ending, torque: NM) -> Working:
    stack = state.pump.stack
    pull = pull_wanted(state, end.clamp)
    holds = (
        Message(
            "Metric thread (60 deg), greased; ring drawn up to {times} times the clamp",
            times=CLOSING_PULL,
        )
        if state.turns_freely
        else Message("Metric thread (60 deg), greased")
    )
    return Working(
        title=Message("Torque for that clamp"),
        formula="T = F d2/2 (l + pi f d2 sec a) / (pi d2 - f l sec a) + F f dc/2",
        given=(
            Figure(Message("pull along the thread"), pull, _N, "F"),
            Figure(
                Message("pitch diameter"),
                threads.pitch_diameter(stack.thread_diameter, stack.pitch),
                _M,
                "d2",
            ),
            Figure(Message("lead"), state.lead, _M, "l"),
            Figure(Message("friction, greased"), stack.friction, _RATIO, "f"),
            Figure(Message("mean diameter of the sliding face"), collar_diameter(state), _M, "dc"),
        ),
        result=(Figure(Message("torque"), torque, _NM, "T"),),
        source="Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., eq. 8-1, "
        "8-5 and 8-6",
        validity=holds,
        calculator="thread-torque",
        inputs=(
            ("force", pull),
            ("lead", state.lead),
            ("friction", stack.friction),
            ("mean_diameter", threads.pitch_diameter(stack.thread_diameter, stack.pitch)),
            ("flank_angle", HALF_THREAD_ANGLE),
            ("collar_friction", stack.friction),
            ("collar_diameter", collar_diameter(state)),
        ),
        spread=Message(
            "clamp at a given torque {clamp_spread:.0%} (standard; common practice, no source)",
            clamp_spread=CLAMP_SPREAD,
        ),
    )


def stack_workings(
    state: StackState,
    target: Rad,
    end: Ending,
    drawn: Drawn,
    *,
    shims: tuple[M, ...],
    torque: NM,
) -> tuple[Working, ...]:
    """Clamped height, stop angle or squeeze, lift and torque, each with its working."""
    if state.turns_freely:
        first: tuple[Working, ...] = (_nip(state, end, drawn, shims),)
    else:
        first = (_clamped(state, end, shims), _turn(state, target, end, drawn, shims),
                 _play(state, end))  # fmt: skip
    return (*first, _lift(state, end, drawn), _torque(state, end, torque))
