"""Answers drawn, and how likely they are on pumps of each set of faults."""

from __future__ import annotations

import numpy as np

from wetend.advice.diagnosis.evidence import evidence
from wetend.advice.diagnosis.posterior import weigh
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.diagnosis.sample import ENOUGH, Sample
from wetend.advice.faults.record import Key
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

KEYS: tuple[Key, ...] = ("rhythm", "cycle_rate", "air_seen")


def _sample() -> Sample:
    readings = CheckReadings(wet_cup="clean", up_times=(1.3,) * 4, down_times=(1.2,) * 4)
    setting = Setting.of(demo_pump("quay-air"), demo_coatings()[0], readings)
    return Sample.of(weigh(setting, evidence(readings), particles=6000, seed=1))


def test_chances_of_answers_are_summed_over_pumps_of_one_set_of_faults() -> None:
    """Second route: pump by pump, in double precision; the sums begin from single."""
    sample = _sample()
    found, kinds = sample.likelihoods(KEYS), sample.kinds
    logs = sum(np.asarray(sample._told(key)(slice(None)), dtype=float) for key in KEYS)
    chances = np.exp(logs - logs.max(axis=1, keepdims=True))
    sets = sample.cloud.fault_sets
    others = sets[sample._others[0]]
    assert len(others) == ENOUGH // 2
    assert sorted(set(others.tolist())) == sets[kinds].tolist()
    for column, kind in enumerate(sets[kinds]):
        of_kind = chances[:, others == kind].sum(axis=1)
        np.testing.assert_allclose(found[:, column], of_kind, rtol=1e-4, atol=1e-6)


def test_asked_again_the_answers_are_the_same() -> None:
    sample = _sample()
    first = sample.likelihoods(KEYS)
    sample.likelihoods(("drop",))
    np.testing.assert_array_equal(sample.likelihoods(KEYS), first)
    assert sample.likelihoods(KEYS) is sample.likelihoods(KEYS)
