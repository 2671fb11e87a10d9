"""The calculator for a length on a photo: two points on a scale or coin, two on the mark."""

from __future__ import annotations

import math

from pydantic import Field, field_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.errors import BadInput, Problem
from wetend.stats.uncertainty import HALF_90, Estimate, propagate
from wetend.units.message import Message
from wetend.units.noun import Line, Noun
from wetend.units.quantity import M, MFine, Percent, Ratio, unit_of

_FEW_PIXELS = 30.0


def _point(text: str) -> tuple[float, float]:
    parts = [p for p in text.replace(";", " ").replace(",", " ").split() if p]
    x, y = (float(p) for p in parts)
    if not (math.isfinite(x) and math.isfinite(y) and max(abs(x), abs(y)) <= 1e5):
        raise ValueError
    return x, y


class PhotoLength(Noun):
    """A photo with a scale or coin beside the mark, square to both; points in pixels."""

    known: M = Field(ge=1e-4, le=1, description=Message("True length between the first two points"))
    known_from: Line = Field(description=Message("Pixels, x and y, one end of it"))
    known_to: Line = Field(description=Message("Its other end"))
    mark_from: Line = Field(description=Message("Pixels, one end of the mark"))
    mark_to: Line = Field(description=Message("Its other end"))
    click_spread: Ratio = Field(
        default=2.0,
        ge=0.001,
        le=100,
        description=Message("Pixels a click may be off, one sigma, each way"),
    )
    known_spread: MFine = Field(
        default=50e-6,
        ge=0,
        le=0.01,
        description=Message("Standard uncertainty of the known length"),
    )
    tilt: Percent = Field(
        default=0.02,
        ge=0,
        le=0.5,
        description=Message("Scale and mark not at one distance or square"),
    )

    @field_validator("known_from", "known_to", "mark_from", "mark_to")
    @classmethod
    def _a_point(cls, text: str) -> str:
        try:
            x, y = _point(text)
        except ValueError as bad:
            raise ValueError(
                Message("a point is two numbers of pixels, x and y: 412, 230")
            ) from bad
        return Message("{x:g}, {y:g}", x=x, y=y)


def _apart(one: str, other: str) -> float:
    return math.dist(_point(one), _point(other))


def _photo_length(given: PhotoLength) -> Outcome:
    scale, mark = _apart(given.known_from, given.known_to), _apart(given.mark_from, given.mark_to)
    if scale < 1:
        sentence = Message("The two points of the known length are the same.")
        raise BadInput(sentence, (Problem("known_to", sentence),))
    click = given.click_spread * math.sqrt(2)  # along the line, an error at either end
    budget = propagate(
        lambda x: x["known"] * x["mark"] / x["scale"] * x["tilt"],
        {
            "known": Estimate(given.known, given.known_spread),
            "scale": Estimate(scale, min(click, scale / 3)),
            "mark": Estimate(mark, click),
            "tilt": Estimate(1.0, given.tilt),
        },
    )
    off = HALF_90 * budget.uncertainty
    cautions = []
    if mark < _FEW_PIXELS:
        cautions.append(Message("The mark is few pixels long: take the photo nearer."))
    largest = max(budget.contributions, key=lambda c: abs(c.share)).name
    values: dict[str, Value] = {
        "length": budget.value,
        "uncertainty": budget.uncertainty,
        "length_low": max(budget.value - off, 0.0),
        "length_high": budget.value + off,
        "pixel": given.known / scale,
        "largest_doubt": {
            "known": Message("known length"),
            "scale": Message("clicks on the known length"),
            "mark": Message("clicks on the mark"),
            "tilt": "tilt",
        }[largest],
    }
    return Outcome(values, tuple(cautions))


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="photo-length",
        title=Message("A mark's length from a photo with a scale or coin in it"),
        inputs=PhotoLength,
        outputs={
            "length": Output(unit_of(M), Message("Length of the mark")),
            "uncertainty": Output(unit_of(M), Message("Its standard uncertainty")),
            "length_low": Output(unit_of(M), Message("Lower end of the 90 % interval")),
            "length_high": Output(unit_of(M), Message("Upper end of the 90 % interval")),
            "pixel": Output(unit_of(MFine), Message("One pixel is")),
            "largest_doubt": Output(None, Message("Largest source of uncertainty")),
        },
        compute=_photo_length,
        formula="length = known x mark pixels / scale pixels; u by clicks, known length and tilt",
        source="Similar triangles; JCGM 100:2008, 5.1.2; spreads of clicks and tilt by common "
        "practice, no source",
        validity=Message(
            "Scale and mark in one plane, the camera square to it and far enough that its lens "
            "does not bend straight lines. Lengths only: a photo tells no depth."
        ),
        example={
            "known": "23.25 mm",
            "known_from": "412, 230",
            "known_to": "1340, 262",
            "mark_from": "1500, 700",
            "mark_to": "1822, 716",
        },
    ),
)
"""The calculators of this family."""
