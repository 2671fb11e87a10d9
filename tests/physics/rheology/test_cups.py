"""Flow cups: there and back, and what is too short."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import NoAnswer
from wetend.materials.cups import Cup, cups, find_cup
from wetend.physics.rheology.cups import (
    drain_time,
    in_range,
    kinematic_viscosity,
)

EVERY = st.sampled_from(list(cups()))


@given(EVERY, st.floats(0, 1))
def test_drain_time_is_the_inverse_and_both_rise(cup: Cup, share: float) -> None:
    time = cup.shortest + share * (cup.longest - cup.shortest)
    viscosity = kinematic_viscosity(time, cup)
    assert drain_time(viscosity, cup) == pytest.approx(time, rel=1e-9)
    assert kinematic_viscosity(time * 1.001, cup) > viscosity


@given(EVERY, st.floats(1e-6, 1e4))
def test_any_time_gives_a_viscosity_or_a_sentence(cup: Cup, time: float) -> None:
    lowest = drain_time(0.0, cup)
    assert lowest < cup.shortest
    if time > lowest * (1 + 1e-9):
        assert kinematic_viscosity(time, cup) > 0
    elif time < lowest * (1 - 1e-9):
        with pytest.raises(NoAnswer, match="too short"):
            kinematic_viscosity(time, cup)


def test_range_of_the_formula() -> None:
    cup = find_cup("ford-1")
    assert [in_range(t, cup) for t in (54.9, 55.0, 100.0, 100.1)] == [False, True, True, False]


def test_iso_6_mm_at_100_s_is_near_the_top_of_its_range() -> None:
    # the scope of ASTM D5125 for ISO cups ends at 700 mm2/s
    assert kinematic_viscosity(100.0, find_cup("iso-6mm")) == pytest.approx(700e-6, rel=0.03)


def test_neighbouring_cups_overlap() -> None:
    for small, large in (("iso-3mm", "iso-4mm"), ("iso-4mm", "iso-5mm"), ("iso-5mm", "iso-6mm")):
        top = kinematic_viscosity(find_cup(small).longest, find_cup(small))
        bottom = kinematic_viscosity(find_cup(large).shortest, find_cup(large))
        assert bottom < top, (small, large)
