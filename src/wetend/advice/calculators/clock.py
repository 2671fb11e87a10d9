"""The stack calculator: stop angle of the housing, and shims to correct it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput, Problem
from wetend.physics.stackup import (
    CLAMP_SPREAD,
    MOST_SHIMS,
    REACH,
    SHIM_SPREAD,
    STIFFNESS_SPREAD,
    TURN,
    ShimChoice,
    choose_shims,
    gap_spread,
    gap_worst,
    stop_angle,
    within,
)
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import M, MFine, N, NPerM, Rad, Ratio, unit_of

_DRAWS = 40_000

_HAIR = 1e-9
"""A miss of rounding alone, rad."""


Height = Annotated[M, Field(ge=1e-6, le=1)]


class StackClock(Noun):
    """A stack that stops a threaded housing, and the shims in the tin."""

    pitch: M = Field(
        ge=1e-4, le=0.05, description=Message("Of the thread; its travel a turn for one start")
    )
    heights: tuple[Height, ...] = Field(
        min_length=1,
        max_length=40,
        description=Message("Of all that is clamped, without shims from the tin"),
    )
    depth: M = Field(ge=0.001, le=1, description=Message("Room for the stack at the datum turn"))
    shims: tuple[Height, ...] = Field(
        default=(), max_length=MOST_SHIMS, description=Message("The tin, up to 12")
    )
    target: Rad = Field(
        default=0.0,
        ge=-6.2832,
        le=6.2832,
        description=Message("Wanted, in the tightening direction"),
    )
    hand: Literal["right", "left"] = Field(
        default="right", description=Message("Right tightens clockwise, left anticlockwise")
    )
    height_spread: MFine = Field(
        default=20e-6,
        ge=0,
        le=0.002,
        description=Message("Standard uncertainty of each height and the depth"),
    )
    shim_spread: MFine = Field(
        default=SHIM_SPREAD,
        ge=0,
        le=0.002,
        description=Message("Standard uncertainty of each shim"),
    )
    starts: int = Field(default=1, ge=1, le=6, description=Message("Of the thread"))
    spreads: tuple[Annotated[MFine, Field(ge=0, le=0.002)], ...] = Field(
        default=(), max_length=40, description=Message("Of each height, where they differ")
    )
    depth_spread: MFine | None = Field(
        default=None, ge=0, le=0.002, description=Message("If it differs")
    )
    within: Rad = Field(
        default=REACH, ge=0.001, le=math.pi, description=Message("How far off it may stop")
    )
    stiffness: tuple[Annotated[NPerM, Field(ge=1e3, le=1e12)], ...] = Field(
        default=(),
        max_length=20,
        description=Message("Of each soft ring; its height is then given free"),
    )
    clamp: N | None = Field(
        default=None, ge=0, le=2e6, description=Message("Force on the soft rings")
    )


@dataclass(frozen=True)
class _Spread:
    """What the stop is uncertain by, for a number of shims."""

    lead: M
    sizes: tuple[MFine, ...]
    """Of every height, the depth and every shim."""
    squeeze: tuple[M, ...]
    """Of each soft ring."""

    @property
    def rss(self) -> Rad:
        """Root of the sum of squares, one standard uncertainty."""
        return TURN / self.lead * gap_spread(self.sizes, self.squeeze)

    @property
    def worst(self) -> Rad:
        """Every size two standard uncertainties off the same way."""
        return TURN / self.lead * gap_worst(self.sizes, self.squeeze)

    def drawn(self) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        """Seeded draws of how far off the stop is (JCGM 101:2008): stiffness and clamp lognormal.

        About their middle, unwrapped, in radians.
        """
        random = np.random.default_rng(1)
        hard = random.standard_normal((_DRAWS, len(self.sizes))) @ np.array(self.sizes)
        pull = np.exp(CLAMP_SPREAD * random.standard_normal(_DRAWS))
        give = np.exp(-STIFFNESS_SPREAD * random.standard_normal((_DRAWS, len(self.squeeze))))
        soft = pull * (give @ np.array(self.squeeze)) - math.fsum(self.squeeze)
        off: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = hard + soft
        return off * TURN / self.lead


def _clockwise(angle: Rad, hand: str) -> Rad:
    return angle if hand == "right" or angle == 0 else TURN - angle


def _squeezes(given: StackClock) -> tuple[M, ...]:
    if given.stiffness and given.clamp is None:
        sentence = Message("With soft rings' stiffness the clamp on them is needed too.")
        raise BadInput(sentence, (Problem("clamp", sentence),))
    clamp = given.clamp or 0.0
    squeezes = tuple(clamp / k for k in given.stiffness)
    if math.fsum(squeezes) >= math.fsum(given.heights):
        sentence = Message("That clamping force would squeeze the rings flat.")
        raise BadInput(sentence, (Problem("clamp", sentence),))
    return squeezes


def _spread_of(given: StackClock, squeezes: tuple[M, ...], shims: int) -> _Spread:
    sizes = given.spreads or (given.height_spread,) * len(given.heights)
    if len(sizes) != len(given.heights):
        sentence = Message(
            "Give a spread for each of the {heights} heights, or for none.",
            heights=len(given.heights),
        )
        raise BadInput(sentence, (Problem("spreads", sentence),))
    depth = given.height_spread if given.depth_spread is None else given.depth_spread
    lead = given.pitch * given.starts
    return _Spread(lead, (*sizes, depth, *(given.shim_spread,) * shims), squeezes)


def _stack_clock(given: StackClock) -> Outcome:
    lead = given.pitch * given.starts
    squeezes = _squeezes(given)
    gap = given.depth - math.fsum(given.heights) + math.fsum(squeezes)
    bare = _spread_of(given, squeezes, 0)
    best = choose_shims(
        gap, lead, given.shims, target=given.target, reach=given.within,
        spread=gap_spread(bare.sizes, bare.squeeze), shim_spread=given.shim_spread,
    )  # fmt: skip
    spread = _spread_of(given, squeezes, len(best.shims))
    off = spread.drawn()
    low, high = (float(q) for q in np.quantile(off, (0.05, 0.95)))
    plain = float(stop_angle(gap, lead))
    values: dict[str, Value] = {
        "stop_angle": plain,
        "clockwise_angle": _clockwise(plain, given.hand),
        "best_shims": best.shims,
        "best_angle": best.angle,
        "best_clockwise": _clockwise(best.angle, given.hand),
        "best_miss": abs(best.miss) if abs(best.miss) > _HAIR else 0.0,
        "spread": spread.rss,
        "spread_worst_case": spread.worst,
        "spread_monte_carlo": float(off.std()),
        "low": best.angle + low,
        "high": best.angle + high,
        "on_target": _on_target(best, spread.rss, given.within),
    }
    if given.starts > 1:
        values["other_starts"] = tuple(
            _clockwise((best.angle + k / given.starts * TURN) % TURN, given.hand)
            for k in range(1, given.starts)
        )
    return Outcome(values, tuple(_cautions(gap, best, spread)))


def _on_target(best: ShimChoice, spread: Rad, reach: Rad) -> Ratio:
    return float(within(best.miss, spread, reach))


def _cautions(gap: M, best: ShimChoice, spread: _Spread) -> list[str]:
    cautions: list[str] = []
    if spread.rss > math.pi / 4:
        cautions.append(
            Message("The heights are not known well enough to calculate the stop angle.")
        )
    if gap - math.fsum(best.shims) < 0:
        cautions.append(
            Message(
                "The stack stands higher than the depth at the datum turn; check the thread still "
                "engages far enough."
            )
        )
    return cautions


_ANGLE = unit_of(Rad)
CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="stack-clock",
        title=Message("Stop angle of a clamped stack"),
        inputs=StackClock,
        outputs={
            "stop_angle": Output(
                _ANGLE, Message("Stops at, in the tightening direction, no shims")
            ),
            "clockwise_angle": Output(_ANGLE, Message("The same, clockwise")),
            "best_shims": Output(unit_of(M), Message("Shims to fit, on top of the cage")),
            "best_angle": Output(_ANGLE, Message("Then stops at, in the tightening direction")),
            "best_clockwise": Output(_ANGLE, Message("The same, clockwise")),
            "best_miss": Output(_ANGLE, Message("Off target by")),
            "spread": Output(
                _ANGLE, Message("Standard uncertainty of that stop, root sum of squares")
            ),
            "spread_worst_case": Output(_ANGLE, Message("Worst case, all at two sigma one way")),
            "spread_monte_carlo": Output(
                _ANGLE, Message("Standard deviation of 40,000 random draws")
            ),
            "low": Output(_ANGLE, Message("Lower end of the 90 % interval, Monte Carlo")),
            "high": Output(_ANGLE, Message("to")),
            "on_target": Output(unit_of(Ratio), Message("Probability of stopping near enough")),
            "other_starts": Output(_ANGLE, Message("Entered on another start, clockwise")),
        },
        compute=_stack_clock,
        formula="angle = 2 pi frac((depth - sum of heights + sum of F/k) / (pitch starts)); "
        "spread = 2 pi / lead sqrt(sum of u^2)",
        source="Geometry of the helix; spread by JCGM 100:2008, 5.1.2 and JCGM 101:2008; every "
        "set of shims weighed by its chance of stopping near enough, fewer shims among equals",
        validity=Message(
            "Parts seated clean and square; soft rings as straight springs, or given as clamped."
        ),
        warns=(caution("stack"),),
        example={
            "pitch": "2 mm",
            "heights": "12, 1.8, 24, 1.8 mm",
            "depth": "41.7 mm",
            "shims": "0.5, 0.5, 0.25, 0.1 mm",
            "target": "180 deg",
        },
    ),
)
"""The calculators of this family."""
