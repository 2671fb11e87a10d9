"""Which check tells most."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis import Fault
from wetend.advice.fault_finding.next_check import CHECKS, best_check, information
from wetend.advice.fault_finding.observables import OBSERVABLES, Key, Played
from wetend.advice.fault_finding.posterior import Cloud
from wetend.advice.fault_finding.prior import Cause

ALL: tuple[Key, ...] = tuple(OBSERVABLES)
TWO = (Fault.FOOT_VALVE, Fault.STATIC_PACKINGS)


def _cloud(count: int = 40000, **reads: np.ndarray) -> Cloud:
    """Half the pumps have the foot valve, half the static packings."""
    present = np.zeros((count, len(Cause)), dtype=bool)
    present[: count // 2, Cause.FOOT] = True
    present[count // 2 :, Cause.STATIC] = True
    base = {key: np.full(count, 0.5 if OBSERVABLES[key].unit is None else 1.0) for key in ALL}
    weight = np.full(count, 1.0 / count)
    none = np.zeros((count, 0))
    played = Played({**base, **reads}, {}, {})
    return Cloud(np.zeros(count, dtype=np.intp), present, played, none, none, weight, weight)


def _halves(first: float, second: float, count: int = 40000) -> np.ndarray:
    return np.repeat([first, second], count // 2)


def test_seen_or_not_is_a_binary_channel() -> None:
    """A symmetric channel that errs one time in ten passes 1 - H(0.1) = 0.531 bit (Cover and
    Thomas, Elements of Information Theory, section 7.1.4, from memory).
    """
    cloud = _cloud(wet_cup=_halves(0.1, 0.9))
    assert information(cloud, TWO, ["wet_cup"]) == pytest.approx(0.531, abs=0.015)


def test_a_clear_reading_tells_it_all_and_an_equal_one_nothing() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    assert information(cloud, TWO, ["creep_down"]) == pytest.approx(1.0, abs=0.01)
    assert information(cloud, TWO, ["up_time"]) == pytest.approx(0.0, abs=0.003)


def test_the_telling_check_is_chosen_and_not_twice() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2))
    found = best_check(cloud, TWO, ["wet_cup"])
    assert found is not None
    assert found[0].title == "Stall it and watch for creep"
    assert best_check(cloud, TWO, ["creep_down"]) is None


def test_cheap_check_wins_where_both_tell() -> None:
    cloud = _cloud(creep_down=_halves(1e-6, 1e-2), wet_cup=_halves(0.05, 0.95))
    found = best_check(cloud, TWO, [])
    assert found is not None
    assert found[0].title == "Look in the wet cup"


def test_every_stall_and_spray_check_carries_its_caution() -> None:
    for check in CHECKS:
        if "tall" in check.title:
            assert "hands clear" in check.how or "full pressure" in check.how
        if "Trigger" in check.how or "pail" in check.how:
            assert "earthed pail" in check.how
