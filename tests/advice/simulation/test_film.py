from __future__ import annotations

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.simulation.film import CHANNELS, Film, cut, key_instants, thinned


def film(t: np.ndarray, **given: np.ndarray) -> Film:
    return Film(t, {key: given.get(key, np.zeros_like(t)) for key in CHANNELS})


def cycle() -> Film:
    """A rod that goes up and down in a second, the foot valve open on the way up."""
    t = np.linspace(0.0, 1.0, 801)
    lift = np.where((t > 0.01) & (t < 0.52), 3e-3, 0.0)
    return film(t, place=0.08 * (1 - np.abs(1 - 2 * t)), foot_lift=lift)


def test_what_is_between_two_instants_is_straight_and_what_is_beyond_is_held() -> None:
    seen = film(np.array([0.0, 1.0]), place=np.array([0.0, 0.1]))
    assert seen.at(0.25)["place"] == pytest.approx(0.025)
    assert seen.at(9.0)["place"] == 0.1


@costly(15)
@given(
    st.lists(st.tuples(st.floats(1e-6, 1.0), st.floats(-1.0, 1.0)), min_size=2, max_size=200),
    st.integers(2, 60),
)
def test_thinning_keeps_the_ends_and_the_order_of_time(
    rows: list[tuple[float, float]], instants: int
) -> None:
    t = np.cumsum([step for step, _ in rows])
    whole = film(t - t[0], place=np.array([v for _, v in rows]))
    few = thinned(whole, instants)
    assert len(few.t) == instants
    assert few.t[0] == 0.0
    assert few.t[-1] == pytest.approx(whole.t[-1])
    assert (np.diff(few.t) >= 0).all()
    assert few["place"].max() <= whole["place"].max() + 1e-12


def test_a_cut_holds_the_last_state_beyond_the_end() -> None:
    long = cut(film(np.array([0.0, 1.0]), place=np.array([0.0, 0.1])), 0.5, 3.0)
    assert long.length == 2.5
    assert long["place"][0] == pytest.approx(0.05)
    assert long["place"][-1] == 0.1


def test_the_six_moments_of_a_cycle_come_in_the_order_of_the_stroke() -> None:
    told = key_instants(cycle())
    assert [each.name for each in told] == [
        "bottom turn", "foot opens", "half-way up", "top turn", "foot shuts", "half-way down",
    ]  # fmt: skip
    times = {each.name: each.time for each in told}
    assert times["half-way up"] == pytest.approx(0.25, abs=0.01)
    assert times["half-way down"] == pytest.approx(0.75, abs=0.01)
    assert times["foot shuts"] == pytest.approx(0.52, abs=0.01)


def test_a_standing_pump_is_told_by_even_moments() -> None:
    told = key_instants(film(np.array([0.0, 6.0])))
    assert [each.time for each in told] == pytest.approx([0, 1.2, 2.4, 3.6, 4.8, 6])
    assert [each.name for each in told] == ["start"] + ["standing"] * 5
    crept = key_instants(film(np.array([0.0, 6.0]), place=np.array([0.04, 0.0])))
    assert [each.name for each in crept] == ["start"] + ["crept down"] * 5
