"""By its speed a leak is doubted, and from which speed on."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.leak_speeds import LAMINAR_TO, Stream, speed_cautions


def slow(reynolds: float) -> Stream:
    """A tenth of a metre a second under 100 bar: only its Reynolds number may be doubtful."""
    wall = 96 / 8 * 1300 * 0.1**2 / reynolds  # Re = f Re / 8 rho v^2 / tau, by definition
    return Stream(flow=1e-8, area=1e-7, pressure=1e7, density=1300.0, wall=wall)


@pytest.mark.parametrize(
    ("reynolds", "said", "speed"),
    [(0.9 * LAMINAR_TO, 0, False), (1.1 * LAMINAR_TO, 1, True), (1e6, 1, True), (1e12, 1, False),
     (math.inf, 1, False)],
)  # fmt: skip
def test_a_turbulent_leak_names_the_speed_from_which_it_is_one_unless_that_is_none(
    reynolds: float, said: int, speed: bool
) -> None:
    stream = slow(reynolds)
    assert stream.reynolds == pytest.approx(reynolds)
    cautions = speed_cautions(stream)
    assert len(cautions) == said
    assert any(letter.isdigit() for caution in cautions for letter in caution) is speed
