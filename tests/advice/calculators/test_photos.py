"""A length on a photo: by similar triangles, and its uncertainty by drawing the clicks."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.advice.calculators.calculator import Outcome, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

COIN = {"known": "23.25 mm", "known_from": "100, 100", "known_to": "1100, 100"}


def run(**typed: str) -> Outcome:
    return calculate(find_calculator("photo-length"), {**COIN, **typed}).outcome


def test_a_mark_is_as_long_as_its_share_of_the_coin() -> None:
    found = run(mark_from="0 0", mark_to="300;400").values  # 500 pixels by Pythagoras
    assert found["length"] == pytest.approx(23.25e-3 / 2)
    assert found["pixel"] == pytest.approx(23.25e-6)


def test_its_uncertainty_agrees_with_clicks_drawn_at_random() -> None:
    found = run(mark_from="200, 300", mark_to="350, 300", known_spread="0").values
    random = np.random.default_rng(3)
    ends = [random.normal(0, 2, (200_000, 2)) + at
            for at in ((100, 100), (1100, 100), (200, 300), (350, 300))]  # fmt: skip
    scale, mark = (np.hypot(*(ends[i + 1] - ends[i]).T) for i in (0, 2))
    drawn = 23.25e-3 * mark / scale * random.normal(1, 0.02, 200_000)
    assert found["uncertainty"] == pytest.approx(float(drawn.std()), rel=0.02)
    assert found["largest_doubt"] == "tilt"
    assert found["length_high"] - found["length"] == pytest.approx(1.645 * found["uncertainty"])


def test_a_mark_of_few_pixels_is_said_to_be_one() -> None:
    found = run(mark_from="0, 0", mark_to="8, 0")
    assert any("nearer" in c for c in found.cautions)
    assert found.values["largest_doubt"] == "clicks on the mark"
    assert math.isfinite(found.values["length_high"])


@pytest.mark.parametrize("point", ["", "1", "1, 2, 3", "a, b", "1e9, 0", "nan, 1"])
def test_a_point_that_is_none_is_refused(point: str) -> None:
    with pytest.raises(BadInput):
        run(mark_from=point or " ", mark_to="10, 10")


def test_a_scale_without_length_is_refused() -> None:
    with pytest.raises(BadInput, match="the same"):
        run(known_to="100, 100", mark_from="0, 0", mark_to="9, 9")
