"""The calculator for the stack: where the housing stops and which shims bring it round."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field, field_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output
from wetend.physics.stackup import TURN, angle_spread, choose_shims, stop_angle
from wetend.units.noun import Noun
from wetend.units.quantity import M, MFine, Rad, unit_of


class StackClock(Noun):
    """A stack that stops a threaded housing, and the shims in the tin."""

    pitch: M = Field(
        gt=0, le=0.05, description="Travel a turn: the lead, on a thread of many starts"
    )
    heights: tuple[M, ...] = Field(
        min_length=1,
        max_length=40,
        description="Of all that is clamped, without shims from the tin",
    )
    depth: M = Field(gt=0, le=1, description="Room for the stack at the datum turn")
    shims: tuple[M, ...] = Field(default=(), max_length=12, description="The tin, up to 12")
    target: Rad = Field(
        default=0.0, ge=-6.2832, le=6.2832, description="Wanted, in the tightening direction"
    )
    hand: Literal["right", "left"] = Field(
        default="right", description="Right tightens clockwise, left anticlockwise"
    )
    height_spread: MFine = Field(
        default=20e-6,
        ge=0,
        le=0.002,
        description="Standard uncertainty of each height and the depth",
    )

    @field_validator("heights", "shims")
    @classmethod
    def _of_a_size(cls, sizes: tuple[float, ...]) -> tuple[float, ...]:
        if not all(0 < size <= 1 for size in sizes):
            raise ValueError("each must be more than 0 and at most 1 m high")
        return sizes


def _clockwise(angle: Rad, hand: str) -> Rad:
    return angle if hand == "right" or angle == 0 else TURN - angle


def _stack_clock(given: StackClock) -> Outcome:
    gap = given.depth - math.fsum(given.heights)
    best = choose_shims(gap, given.pitch, given.shims, target=given.target)
    measured = len(given.heights) + 1 + len(best.shims)
    spread = angle_spread(given.pitch, [given.height_spread] * measured)
    plain = stop_angle(gap, given.pitch)
    cautions = []
    if spread > math.pi / 4:
        cautions.append("The heights are not known well enough to say where this stops.")
    if gap - math.fsum(best.shims) < 0:
        cautions.append("The stack stands higher than the depth at the datum turn; "
                        "check the thread still engages far enough.")  # fmt: skip
    values: dict[str, float | tuple[float, ...]] = {
        "stop_angle": plain,
        "clockwise_angle": _clockwise(plain, given.hand),
        "best_shims": best.shims,
        "best_angle": best.angle,
        "best_clockwise": _clockwise(best.angle, given.hand),
        "best_miss": abs(best.miss),
        "spread": spread,
    }
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="stack-clock",
        title="Where a clamped stack stops its housing",
        inputs=StackClock,
        outputs={
            "stop_angle": Output(unit_of(Rad), "Stops at, in the tightening direction, no shims"),
            "clockwise_angle": Output(unit_of(Rad), "The same, clockwise"),
            "best_shims": Output(unit_of(M), "Shims to put in, on top of the cage"),
            "best_angle": Output(unit_of(Rad), "Then stops at, in the tightening direction"),
            "best_clockwise": Output(unit_of(Rad), "The same, clockwise"),
            "best_miss": Output(unit_of(Rad), "Off target by"),
            "spread": Output(unit_of(Rad), "Standard uncertainty of that stop"),
        },
        compute=_stack_clock,
        formula="angle = 2 pi frac((depth - sum of heights) / pitch); "
        "spread = 2 pi / pitch sqrt(sum of u^2)",
        source="Geometry of the helix; spread by JCGM 100:2008, 5.1.2; every subset of "
        "the tin tried",
        validity="Rigid parts seated clean and square; soft rings given as clamped.",
        cautions=("Shims go on top of the cage: under it they add to the ball's lift.",),
        example={"pitch": "2 mm", "heights": "12, 1.8, 24, 1.8 mm", "depth": "41.7 mm",
                 "shims": "0.5, 0.5, 0.25, 0.1 mm", "target": "180 deg"},
    ),
)  # fmt: skip
"""The calculators of this family."""
