"""The weighed pumps against plain sampling from the prior."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis import posterior
from wetend.advice.diagnosis.causes import Around, chances, combinations_of_causes
from wetend.advice.diagnosis.diagnose import diagnose, make_ready, predict
from wetend.advice.diagnosis.evidence import evidence
from wetend.advice.diagnosis.observables import play
from wetend.advice.diagnosis.posterior import WeightedSample, weigh
from wetend.advice.diagnosis.prior import SIZES, Setting
from wetend.advice.diagnosis.summary import chance, interval, leak_size
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import CAUSE, FAULT, FAULTS
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

PUMP, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
_LEAKY = predict(PUMP, EPOXY, leaks={FAULT["foot-valve"]: 4e-6})
STROKES = CheckReadings(up_times=(_LEAKY.up_time,) * 4, down_times=(_LEAKY.down_time,) * 4)
CASES = (
    STROKES,
    CheckReadings(stall_pressure=_LEAKY.stall_pressure, spray_pressure=2.2e7),
    CheckReadings(wet_cup="coating in it"),
    CheckReadings(creep_down=_LEAKY.creep_down, creep_up=2e-4),
)


def _weigh(readings: CheckReadings, *, seed: int = 1, particles: int = 20000) -> WeightedSample:
    setting = Setting.of(PUMP, EPOXY, readings)
    return weigh(setting, evidence(readings), particles=particles, seed=seed)


def _plain(readings: CheckReadings, count: int) -> tuple[dict[Fault, float], np.ndarray, float]:
    """Chances by drawing straight from the prior: no proposals, no mixture, no stages."""
    rng, setting = np.random.default_rng(7), Setting.of(PUMP, EPOXY, readings)
    rows = combinations_of_causes()
    present = rows[rng.choice(len(rows), size=count, p=chances(EPOXY))]
    played = play(setting, rng.standard_normal((count, SIZES)), present)
    logs = sum(r.log_likelihood(played) for r in evidence(readings))
    weight = np.exp(logs - np.max(logs))
    weight /= weight.sum()
    has = {f: present[:, list(f.causes)].any(axis=1) for f in FAULTS}
    foot = interval(
        played.leak[CAUSE["foot"]][has[FAULT["foot-valve"]]], weight[has[FAULT["foot-valve"]]]
    )
    assert foot is not None
    middle = np.array([foot.low, foot.middle, foot.high])
    return {f: float(weight[m].sum()) for f, m in has.items()}, middle, float(1 / (weight**2).sum())


@pytest.mark.parametrize("readings", CASES)
def test_agrees_with_plain_sampling(readings: CheckReadings) -> None:
    plain, foot, effective = _plain(readings, 150000)
    cloud = _weigh(readings, particles=60000)
    for fault in FAULTS:
        # four standard errors of both counts
        error = 4 * 0.5 * (effective**-0.5 + cloud.effective**-0.5)
        assert chance(cloud, fault) == pytest.approx(plain[fault], abs=min(error, 0.08))
    size = leak_size(cloud, FAULT["foot-valve"])
    assert size is not None
    if plain[FAULT["foot-valve"]] > 0.3:
        np.testing.assert_allclose([size.low, size.middle, size.high], foot, rtol=0.15)


@pytest.mark.parametrize("readings", CASES)
def test_seeds_agree_within_their_error(readings: CheckReadings) -> None:
    clouds = [_weigh(readings, seed=s) for s in (1, 2, 3)]
    for fault in FAULTS:
        found = [chance(c, fault) for c in clouds]
        assert max(found) - min(found) < 0.08


def test_same_seed_same_answer() -> None:
    one, two = _weigh(STROKES), _weigh(STROKES)
    np.testing.assert_allclose(one.weight, two.weight, rtol=1e-6, atol=1e-12)


def test_weights_are_weights() -> None:
    cloud = _weigh(STROKES)
    for weight in (cloud.weight, cloud.prior_weight):
        assert weight.sum() == pytest.approx(1.0)
        assert (weight >= 0).all()
    # the prior's own chances come back out of the weights without the readings
    row_chance = np.bincount(cloud.causes, cloud.prior_weight, minlength=len(chances(EPOXY)))
    np.testing.assert_allclose(row_chance, chances(EPOXY), atol=0.02)


def test_the_first_round_is_kept_whatever_else_is_known() -> None:
    """Readings, supply, tools and the parts' past weigh pumps and never change how they run."""
    around = Around(leanings={FAULT["foot-valve"]: 3.0})
    readings = CheckReadings(supply_pressure=5e5, spray_pressure=2.2e7, temperature=298.15)
    setting = Setting.of(PUMP, EPOXY, readings, around)
    rows, count = combinations_of_causes(), 8000
    cloud = weigh(setting, evidence(readings), particles=20000, seed=4)
    z = np.clip(np.random.default_rng(4).standard_normal((count, SIZES)), -6.0, 6.0)
    played = play(setting, z, rows[cloud.causes[:count]])
    for key, values in played.reads.items():
        np.testing.assert_allclose(cloud.played.reads[key][:count], values, rtol=1e-6)
    warmer = CheckReadings(supply_pressure=5e5, spray_pressure=2.2e7, temperature=308.15)
    other = weigh(Setting.of(PUMP, EPOXY, warmer), evidence(warmer), particles=20000, seed=4)
    assert not np.allclose(other.played.reads["flow"][:count], played.reads["flow"])


def test_made_ready_nothing_but_the_readings_is_waited_for() -> None:
    """Run before any reading, the usual pumps are those that the answer takes."""
    pump = PUMP.model_copy(update={"key": "made-ready"})  # no other test's
    make_ready(pump, EPOXY)
    before = posterior._usual.figures()
    diagnose(pump, EPOXY, STROKES)
    after = posterior._usual.figures()
    assert (after.misses, after.hits) == (before.misses, before.hits + 1)


def test_what_a_reading_says_is_the_odds_with_it_over_the_odds_without_it() -> None:
    """Second route: pumps weighed again from nothing without it; they are other pumps."""
    readings = _LEAKING
    cloud = _weigh(readings)
    given = evidence(readings)
    for k, reading in enumerate(given):
        rest = weigh(
            Setting.of(PUMP, EPOXY, readings), [r for r in given if r is not reading],
            particles=20000, seed=5,
        )  # fmt: skip
        for fault, said in cloud.says.items():
            if max(chance(cloud, fault), chance(rest, fault)) < 0.03:
                continue
            with_it, without = (np.clip(chance(c, fault), 0.003, 0.997) for c in (cloud, rest))
            odds = np.log(with_it / (1 - with_it) * (1 - without) / without)
            assert said[k] == pytest.approx(odds, abs=0.5)
    place = [reading.what.key for reading in given].index("creep_down")
    assert cloud.says[FAULT["foot-valve"]][place] > 2.0


_LEAKING = CheckReadings(
    up_times=(_LEAKY.up_time,) * 8, down_times=(_LEAKY.down_time,) * 8,
    creep_down=_LEAKY.creep_down, creep_up=2e-4, wet_cup="clean",
)  # fmt: skip
