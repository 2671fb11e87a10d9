"""How a calculator's answer moves with the number that matters most, and how far it is to trust."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import ValidationError

from wetend.advice.calculators.calculator import Calculation
from wetend.errors import WetendError
from wetend.units.fields import Field
from wetend.units.quantity import K, Ratio, unit_of

DOUBT: Ratio = 0.05
"""Share that each number is taken to be off by (standard), where nothing better is known."""
WARMTH: K = 2.0
"""A temperature is taken to be off by this."""
SPAN: Ratio = 0.5
"""Share to either side that the most important number is varied by."""
STEPS = 24
WITHOUT = frozenset({
    "stack-clock", "rheology-fit", "weibull-fit", "power-law-process", "uncertainty-budget",
    "roundness", "photo-length", "renewals", "ball-fall",
})  # fmt: skip
"""Calculators of series, points or draws, where no single number matters most, and one too slow."""
_COARSE = frozenset({"suction-remedy", "heated-hose", "valve-opening", "acceptance-risk"})
"""Calculators that take their time: drawn through fewer points."""


@dataclass(frozen=True)
class Response:
    """The answer over the number that moves it most, all others as given."""

    field: Field
    output: str
    x: float
    y: float
    points: tuple[tuple[float, float], ...]
    spread: float
    """Standard uncertainty of the answer where each number is off by :data:`DOUBT`; SI."""
    moves: tuple[tuple[Field, float], ...]
    """Each number with how far the answer moves, as a share of itself, when it is that much off;
    the largest first."""


def _answer(done: Calculation, name: str, output: str, value: float) -> float | None:
    """The answer with one number changed; ``None`` where there is none then."""
    try:
        varied = {**done.inputs.model_dump(exclude_unset=True), name: value}
        found = done.calculator.compute(type(done.inputs).model_validate(varied))
    except (ValidationError, WetendError, ValueError, ArithmeticError):
        return None
    answer = found.values.get(output)
    good = isinstance(answer, int | float) and math.isfinite(answer)
    return float(answer) if good else None  # type: ignore[arg-type]


def _numbers(done: Calculation) -> Iterator[tuple[Field, float]]:
    """Every single number that was given, none of them zero."""
    for field in done.calculator.fields:
        value = getattr(done.inputs, field.name)
        single = field.shape in ("quantity", "number") and not field.many
        if (
            single
            and isinstance(value, float)
            and value
            and field.name in done.inputs.model_fields_set
        ):
            yield field, value


def _warm(field: Field) -> bool:
    return field.unit is not None and field.unit.kind == unit_of(K).kind


def _off(field: Field, value: float) -> float:
    return WARMTH if _warm(field) else DOUBT * abs(value)


def _slope(done: Calculation, field: Field, value: float, output: str, y: float) -> float:
    """How far the answer moves when one number is off by its doubt; two-sided where it can be."""
    off = _off(field, value)
    up = _answer(done, field.name, output, value + off)
    down = _answer(done, field.name, output, value - off)
    if up is not None and down is not None:
        return 0.5 * (up - down)
    one = up if up is not None else down
    return 0.0 if one is None else (one - y if up is not None else y - one)


def response_of(done: Calculation) -> Response | None:
    """The response of a calculation's first answer; ``None`` where there is no such number.

    The spread is the root sum of squares of what each number moves it by, taken as independent
    (JCGM 100:2008, 5.1.2).
    """
    values = done.outcome.values
    output = next(
        (
            n
            for n, v in values.items()
            if isinstance(v, float) and v != getattr(done.inputs, n, None)
        ),
        "",
    )
    if done.calculator.name in WITHOUT or not output:
        return None
    y = float(values[output])  # type: ignore[arg-type]
    given = list(_numbers(done))
    slopes = [(field, value, _slope(done, field, value, output, y)) for field, value in given]
    if not slopes or not y or not any(slope for _, _, slope in slopes):
        return None
    ranked = sorted(slopes, key=lambda each: -abs(each[2]))
    field, x, _ = ranked[0]
    wide = 15.0 if _warm(field) else SPAN * abs(x)
    steps = 8 if done.calculator.name in _COARSE else STEPS
    places = [x + wide * (2.0 * k / steps - 1.0) for k in range(steps + 1)]
    found = [(at, _answer(done, field.name, output, at)) for at in places]
    points = tuple((at, answer) for at, answer in found if answer is not None)
    if len(points) < 3:
        return None
    spread = math.sqrt(sum(slope**2 for _, _, slope in slopes))
    return Response(field, output, x, y, points, spread,
                    tuple((f, abs(slope / y)) for f, _, slope in ranked))  # fmt: skip
