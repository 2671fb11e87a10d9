"""Result of the rebuild stage: layers, shims, elbow, lift, squeeze, torque, wrong ways."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.reasons import Caution, Interval, Verdict, Working
from wetend.advice.rebuild.spread import StackSpread
from wetend.units.message import Message
from wetend.units.quantity import NM, M, N, Rad, Ratio, unit_of
from wetend.units.show import chance_text, number, show


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
    title: str = ""
    low: Ratio = 0.0
    """Least it needs."""
    high: Ratio = 1.0
    """Most it bears."""


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
    clamp: N = 0.0
    """Clamping force it would end with."""
    on_top: tuple[M, ...] = ()
    """Shims on top of the cage."""
    under: tuple[M, ...] = ()
    """Shims under the cage."""


@dataclass(frozen=True)
class StackFit:
    """How the stack goes back."""

    layers: tuple[StackLayer, ...]
    shims: tuple[M, ...]
    """Chosen from the tin, all on top of the cage."""
    stop_angle: Rad
    """Elbow direction, clockwise from 12 seen from below."""
    spread: Interval
    """Of the stop angle, 90 % interval; unwrapped, so that low <= middle <= high."""
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
    """One left out, one doubled, one under the cage, all under the cage."""
    subsets_tried: int
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]
    elbow_why: str = ""
    lift_why: str = ""
    clamp_verdict: Verdict = Verdict.ENOUGH
    clamp_spread: Interval | None = None
    lift_chance: Ratio = 0.0
    """Probability that the lift lies within its limits."""
    within: Rad = 0.0
    """How far off the target the elbow may point."""
    shims_wanted: M = 0.0
    """Total thickness that would do exactly: what to look for when the tin falls short."""
    sureness: StackSpread | None = None
    """The elbow's spread by worst case, root of squares and draws, and what it comes from."""

    @property
    def elbow_title(self) -> str:
        """Where the elbow ends, as a heading."""
        return Message("Elbow at {clock}", clock=self.clock)

    @property
    def elbow_spread(self) -> str:
        """How surely it ends there."""
        if self.turns_freely:
            return Message("set by hand before clamping")
        return Message(
            "likely (9 in 10) {low} to {high}; on target {chance}",
            low=self.clock_low,
            high=self.clock_high,
            chance=chance_text(self.on_target),
        )

    @property
    def lift_title(self) -> str:
        """How far the ball lifts, as a heading."""
        return Message("Ball lift {lift}", lift=show(self.lift, unit_of(M)))

    @property
    def lift_likely(self) -> str:
        """How surely it lifts so far."""
        low, high = self.lift_spread.low, self.lift_spread.high
        return Message(
            "likely {low} to {high}", low=number(low, unit_of(M)), high=show(high, unit_of(M))
        )
