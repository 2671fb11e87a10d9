"""The moment at which a fault shows: the same place of the same stroke in both runs."""

from __future__ import annotations

import numpy as np

from wetend.advice.faults.tables import FAULT
from wetend.advice.simulation.film import CHANNELS, Film
from wetend.advice.simulation.moment import passing, telling_moment

T = np.array([0.0, 1.0, 2.0])
QUICK = np.array([0.0, 1.0, 1.5])
"""A down-stroke in half the time."""


def _film(t: np.ndarray, **rows: list[float]) -> Film:
    place = np.array([0.0, 0.08, 0.0])
    flat = {key: np.zeros(3) for key in CHANNELS}
    return Film(t, flat | {"place": place} | {k: np.array(v) for k, v in rows.items()})


def test_a_place_is_passed_once_up_and_once_down_each_at_its_own_time() -> None:
    film = _film(QUICK)
    assert passing(film, up=True, share=0.5) == 0.5
    assert passing(film, up=False, share=0.5) == 1.25


def test_a_foot_valve_that_leaks_shows_on_the_way_down_where_most_runs_back() -> None:
    this = _film(QUICK, foot_flow=[1e-4, -2e-5, -8e-5])
    sound = _film(T, foot_flow=[1e-4, 0.0, 0.0])
    moment = telling_moment(FAULT["foot-valve"], this, sound)
    assert (moment.up, moment.key, moment.share) == (False, "foot_flow", 0.7)
    assert (moment.this_time, moment.sound_time) == (1.35, 1.7)
    assert moment.sentence == (
        "Going down, 70 % of the way: 3.72 L/min runs back past the foot-valve ball, in the "
        "sound pump 0 L/min."
    )  # 2e-5 + 0.7 * 6e-5 m^3/s, by hand


def test_what_no_gap_lets_past_shows_where_the_two_differ_most() -> None:
    this = _film(T, gauge=[2e7, 1e7, 2e7], outlet=[1e-4, 1e-4, 1e-4])
    sound = _film(T, gauge=[2e7, 2e7, 2e7], outlet=[1e-4, 1e-4, 1e-4])
    moment = telling_moment(FAULT["nozzle"], this, sound)
    assert moment.key == "gauge"
    assert (moment.up, moment.share) in ((True, 0.7), (False, 0.3))  # nearest to the top turn


def test_what_differs_at_the_turn_alone_is_shown_there() -> None:
    near = np.array([0.0, 0.02, 1.0, 1.02, 2.0])
    place = np.array([0.0, 0.0016, 0.08, 0.0784, 0.0])
    flat = {key: np.zeros(5) for key in CHANNELS} | {"place": place}
    sound = Film(near, flat | {"gauge": np.full(5, 2e7)})
    this = Film(near, flat | {"gauge": np.array([1e7, 2e7, 2e7, 2e7, 2e7])})
    moment = telling_moment(FAULT["drive-slow"], this, sound)
    assert moment.key == "gauge"
    assert moment.share <= 0.1 or moment.share >= 0.9
