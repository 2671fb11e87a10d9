"""The seal stack put back: shims, elbow, lift, squeeze, torque."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.reasons import Caution, Interval, Verdict, Working
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.units.quantity import NM, M, N, Rad, Ratio


@dataclass(frozen=True)
class StackLayer:
    """One ring as it will stand, from the housing's floor upwards."""

    name: str
    kind: str
    title: str
    height: M
    """As clamped."""
    free_height: M
    outside: M
    inside: M
    measured: bool


@dataclass(frozen=True)
class Squeeze:
    """One soft ring's squeeze when clamped."""

    name: str
    squeeze: Ratio
    verdict: Verdict


@dataclass(frozen=True)
class Variant:
    """What happens if the shims go in wrong."""

    title: str
    stop_angle: Rad
    clock: str
    lift: M
    lift_verdict: Verdict
    elbow_verdict: Verdict
    why: str


@dataclass(frozen=True)
class StackFit:
    """How the stack goes back."""

    layers: tuple[StackLayer, ...]
    shims: tuple[M, ...]
    """Chosen from the tin, all on top of the cage."""
    stop_angle: Rad
    """Elbow direction, clockwise from 12 seen from below."""
    spread: Interval
    """Of the stop angle, nine times in ten."""
    clock: str
    """As a clock reads it: ``"6:05"``."""
    clock_low: str
    clock_high: str
    target: Rad
    on_target: Ratio
    """Probability that the elbow ends within the tolerance."""
    elbow_verdict: Verdict
    turns_freely: bool
    """A clamp-ring housing: the elbow is set by hand, shims set the clamping only."""
    lift: M
    lift_spread: Interval
    lift_verdict: Verdict
    squeezes: tuple[Squeeze, ...]
    clamp: N
    torque: NM
    lever: M | None
    lever_force: N | None
    """Pull at the lever's end for that torque."""
    gland: str
    variants: tuple[Variant, ...]
    """One left out, one doubled, one under the cage."""
    subsets_tried: int
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]


def fit_stack(
    pump: Pump, measured: StackMeasured, *, draws: int = 20000, seed: int = 1
) -> StackFit:
    """Choose shims from the tin and work out where the elbow stops and how far the ball lifts."""
    raise NotImplementedError


def clock_text(angle: Rad) -> str:
    """An angle clockwise from 12 as the clock reads it: 180 degrees is ``"6:00"``."""
    raise NotImplementedError
