"""Which check tells most."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import get_args

import numpy as np
import pytest

from wetend.advice.diagnosis.causes import NOTHING_KNOWN
from wetend.advice.diagnosis.checks import CHECKS, known_keys
from wetend.advice.diagnosis.next_check import QUICK_MINUTES, STOPS_AGAIN_MINUTES, rank_checks
from wetend.advice.diagnosis.observables import OBSERVABLES, SimulatedStrokes
from wetend.advice.diagnosis.opening import JOBS, job_minutes
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.diagnosis.words import right_text, worth_text
from wetend.advice.faults.record import Key
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULT
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import demo_pump

PUMP = demo_pump("quay-air")
ALL: tuple[Key, ...] = tuple(OBSERVABLES)
TWO = (FAULT["foot-valve"], FAULT["static-packings"])


def _cloud(count: int = 40000, **reads: np.ndarray) -> WeightedSample:
    """Half the pumps have the foot valve, half the static packings."""
    present = np.zeros((count, len(CAUSES)), dtype=bool)
    present[: count // 2, CAUSE["foot"]] = True
    present[count // 2 :, CAUSE["static"]] = True
    base = {key: np.full(count, 0.5 if OBSERVABLES[key].unit is None else 1.0) for key in ALL}
    weight = np.full(count, 1.0 / count)
    none = np.zeros((count, 0))
    played = SimulatedStrokes({**base, **reads}, {}, {}, lump=np.ones(count))
    return WeightedSample(
        np.zeros(count, dtype=np.intp), present, played, none, none, weight, weight
    )


def _halves(first: float, second: float, count: int = 40000) -> np.ndarray:
    return np.repeat([first, second], count // 2)


def _bits(cloud: WeightedSample, reads: Key) -> float:
    """Information of the check that reads this, when all else is known."""
    ranked = rank_checks(cloud, PUMP, NOTHING_KNOWN, set(ALL) - {reads})
    return ranked[0].information_bits


def test_seen_or_not_is_a_binary_channel() -> None:
    """A symmetric channel that errs one time in ten passes 1 - H(0.1) = 0.531 bit (Cover and
    Thomas, Elements of Information Theory, section 7.1.4, from memory).
    """
    cloud = _cloud(wet_cup=_halves(0.1, 0.9))
    assert _bits(cloud, "wet_cup") == pytest.approx(0.531, abs=0.015)


def test_a_clear_reading_tells_it_all_and_an_equal_one_nothing() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    assert _bits(cloud, "creep_down") == pytest.approx(1.0, abs=0.01)
    assert _bits(cloud, "stall_pressure") == pytest.approx(0.0, abs=0.003)


def test_the_telling_check_comes_first_and_not_twice() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    ranked = rank_checks(cloud, PUMP, NOTHING_KNOWN, ["wet_cup"])
    assert ranked[0].title == "Stall it and watch for creep"
    assert ranked[0].worth
    again = rank_checks(cloud, PUMP, NOTHING_KNOWN, ["creep_down", "creep_up"])
    assert not any(a.worth for a in again)


def test_cheap_check_wins_where_both_tell() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2), wet_cup=_halves(0.01, 0.99))
    ranked = rank_checks(cloud, PUMP, NOTHING_KNOWN, [])
    assert ranked[0].title == "Look in the wet cup"


def test_what_a_telling_check_saves_is_what_certainty_saves() -> None:
    """Second route: two jobs, each needed by half the pumps, told apart for certain."""
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    jobs = [k for k, job in enumerate(JOBS) if set(job.faults) & set(TWO)]
    minutes = job_minutes(PUMP, NOTHING_KNOWN, jobs)
    first = min(minutes[0, 0] + 0.5 * minutes[1, 1], minutes[0, 1] + 0.5 * minutes[2, 0])
    creep = next(a for a in rank_checks(cloud, PUMP, NOTHING_KNOWN, []) if a.key == "creep")
    saved = (
        first - 0.5 * minutes[0].sum() + 0.5 * STOPS_AGAIN_MINUTES
    )  # half are taken for the other
    assert creep.minutes_saved == pytest.approx(saved, rel=0.05)


def _seldom_inside(**chances: tuple[float, float]) -> WeightedSample:
    """One pump in twenty has a late foot valve, the rest a starved suction; seen so often."""
    count, late = 40000, np.random.default_rng(0).random(40000) < 0.05
    present = np.zeros((count, len(CAUSES)), dtype=bool)
    present[late, CAUSE["late"]], present[~late, CAUSE["starved"]] = True, True
    reads = {key: np.where(late, *often) for key, often in chances.items()}
    return replace(_cloud(count, **reads), present=present)


def test_a_quick_check_that_may_show_a_fault_inside_comes_before_leaving_it_shut() -> None:
    """By hand: no change with a full pail raises 5 % to 0.0475 / (0.0475 + 0.0475), a half."""
    told = {"fresh_suction": (0.05, 0.95), "solvent_test": (0.95, 0.05)}
    ranked = {a.key: a for a in rank_checks(_seldom_inside(**told), PUMP, NOTHING_KNOWN, [])}
    pail, solvent, cup = (ranked[key] for key in ("fresh-suction", "solvent", "wet-cup"))
    assert pail.minutes <= QUICK_MINUTES < solvent.minutes
    assert pail.may_open
    assert pail.worth
    assert not solvent.may_open  # tells as much, and takes the foot valve off
    assert not cup.may_open
    weak = rank_checks(_seldom_inside(fresh_suction=(0.4, 0.6)), PUMP, NOTHING_KNOWN, [])
    assert not any(a.may_open for a in weak)  # 0.03 / (0.03 + 0.38) is under one in five


def test_a_wet_end_that_is_not_left_shut_anyway_asks_for_no_such_check() -> None:
    told = rank_checks(_cloud(creep_down=_halves(1e-6, 1e-2)), PUMP, NOTHING_KNOWN, [])
    assert not any(a.may_open for a in told)


def test_a_check_says_what_it_settles_and_how_often_the_likeliest_is_then_right() -> None:
    """By hand: two faults as likely as each other, told apart for certain, or not at all."""
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    ranked = {a.key: a for a in rank_checks(cloud, PUMP, NOTHING_KNOWN, [])}
    creep, gauge = ranked["creep"], ranked["gauge-spray"]
    assert creep.settles in ("foot valve against static packings",
                             "static packings against foot valve")  # fmt: skip
    assert creep.right_now == pytest.approx(0.5, abs=0.02)
    assert creep.right_after == pytest.approx(1.0, abs=0.02)
    assert "saves about" in worth_text(creep)
    assert "50 times in 100 now, 100 with" in right_text(creep)
    assert not gauge.settles
    assert gauge.right_after == pytest.approx(gauge.right_now, abs=0.03)
    assert "saves less than that" in worth_text(gauge)


def test_a_sign_of_one_fault_alone_settles_that_one_or_not() -> None:
    count, four = 40000, (CAUSE["foot"], CAUSE["static"], CAUSE["nozzle"], CAUSE["piston"])
    which = np.repeat(np.arange(4), count // 4)
    present = np.zeros((count, len(CAUSES)), dtype=bool)
    present[np.arange(count), np.array(four)[which]] = True
    cloud = _cloud(count, wet_cup=np.where(which == 1, 0.98, 0.02))
    ranked = rank_checks(replace(cloud, present=present), PUMP, NOTHING_KNOWN, [])
    cup = next(a for a in ranked if a.key == "wet-cup")
    assert cup.settles == "static packings or not"


def test_could_not_do_is_an_answer() -> None:
    readings = CheckReadings(wet_cup="clean", could_not=("creep", "changeover"))
    known = known_keys(readings, ["wet_cup"])
    assert {"creep_up", "creep_down", "slow_turn", "knock", "wet_cup"} <= known
    assert "up_time" not in known


def test_every_check_has_its_caution_and_reads_something() -> None:
    assert {c.key for c in CHECKS} == set(get_args(CheckKey))
    for check in CHECKS:
        assert check.reads
        assert check.needs
        assert check.cautions
        assert check.read_as


def test_nobody_is_told_to_spray_into_a_pail() -> None:
    """With the nozzle in it is sprayed on the work; what is caught comes through the dump valve or
    out of a gun without its nozzle (common practice, no source)."""
    for check in CHECKS:
        if "pray" in check.how:
            assert "on the work or a test sheet" in check.how, check.key
            assert "spraying" in {each.hazard for each in check.cautions}
        assert not re.search(r"(spray|trigger)\w* (steadily )?into", check.how, re.IGNORECASE)
        if "pail" in check.how:
            assert "bonded metal" in check.how, check.key


def test_a_full_pail_counts_the_way_to_no_pressure_and_the_suction() -> None:
    """It asks all that a nozzle does, and the suction changed: common practice, no source."""
    minutes = {check.key: check.minutes for check in CHECKS}
    pressure_off = [
        check for check in CHECKS if "stored-pressure" in {each.hazard for each in check.cautions}
    ]
    assert {c.key for c in pressure_off} >= {
        "bucket", "fresh-suction", "nozzle", "filter", "solvent",
    }  # fmt: skip
    assert all("prove zero" in c.how or "zero proven" in c.how for c in pressure_off)
    assert min(check.minutes for check in pressure_off) >= 4.0
    assert minutes["fresh-suction"] >= minutes["nozzle"] + 2.0
