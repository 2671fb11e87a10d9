"""Flow cups: there and back, and what is too short."""

from __future__ import annotations

import numpy as np
import pytest
from chemicals.viscosity import viscosity_converter
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import NoAnswer
from wetend.materials.cups import Cup, cups, find_cup
from wetend.physics.rheology.cups import (
    CUP_RATE,
    cup_reading,
    cup_spread,
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


def test_published_zahn_tables_differ_by_what_the_spread_says() -> None:
    # chemicals.viscosity.viscosity_converter (Hydraulic Institute 1990; Gardner and Sward): Zahn 2
    # at 33 s is 77.2 mm2/s; the law here, after Cannon, gives 66.5. A reproducibility of 33 % (ASTM
    # D4212) makes that less than two standard deviations
    cup = find_cup("zahn-2")
    theirs = viscosity_converter(33.0, "zahn cup #2", "kinematic viscosity")
    ours = kinematic_viscosity(33.0, cup)
    assert theirs == pytest.approx(77.2e-6, rel=1e-3)
    assert ours == pytest.approx(66.5e-6, rel=1e-3)
    spread = cup_spread(33.0, cup, temperature_doubt=0.0)
    assert 0.5 * spread < abs(theirs / ours - 1) < 2 * spread


def test_spread_by_simulation() -> None:
    """Second route: 200,000 readings with their clock, cup and temperature disturbed."""
    rng = np.random.default_rng(5)
    cup, size = find_cup("ford-4"), 200_000
    times = 60.0 + 0.5 * rng.normal(size=size)
    warm = np.exp(3500.0 * (1 / (293.15 + 2.0 * rng.normal(size=size)) - 1 / 293.15))
    found = (cup.slope * (times - cup.zero_time)) * (1 + 0.05 * rng.normal(size=size)) * warm
    relative = np.std(np.log(found))
    assert cup_spread(60.0, cup) == pytest.approx(relative, rel=0.02)


def test_doubt_grows_away_from_the_cups_rate_and_outside_its_range() -> None:
    reading = cup_reading(60.0, find_cup("iso-6mm"), density=1350.0)
    assert reading.spread_at(CUP_RATE) == reading.spread
    assert reading.spread_at(1e6) > reading.spread_at(1e4) > reading.spread
    low, high = reading.limits()
    assert low * high == pytest.approx(reading.liquid.consistency**2)
    short = cup_reading(20.0, find_cup("iso-6mm"), density=1350.0)
    assert short.spread > 0.2 > reading.spread
