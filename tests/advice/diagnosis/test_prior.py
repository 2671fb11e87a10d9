"""What is believed before any reading."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis.causes import MOST_AT_ONCE, chances, combinations_of_causes
from wetend.advice.diagnosis.observables import play
from wetend.advice.diagnosis.prior import SIZES, Setting
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULTS
from wetend.pump.toml import demo_coatings, demo_pump

EPOXY, ZINC, ALKYD, _ = demo_coatings()


def test_sets_of_causes() -> None:
    rows = combinations_of_causes()
    assert len(np.unique(rows, axis=0)) == len(rows)
    assert rows.sum(axis=1).max() == MOST_AT_ONCE
    assert not (rows[:, CAUSE["supply"]] & rows[:, CAUSE["drive"]]).any()
    assert sorted(c for fault in FAULTS for c in fault.causes) == list(CAUSES)


def test_chances_add_up_and_abrasive_coatings_wear() -> None:
    rows = combinations_of_causes()
    for coating in (EPOXY, ZINC, ALKYD):
        assert chances(coating).sum() == pytest.approx(1.0)
    foot = rows[:, CAUSE["foot"]]
    mild, moderate, worst = (chances(c)[foot].sum() for c in (ALKYD, EPOXY, ZINC))
    assert mild < moderate < worst
    weak = rows[:, CAUSE["supply"]]
    assert chances(ZINC)[weak].sum() == pytest.approx(chances(ALKYD)[weak].sum(), abs=0.01)


def test_a_present_leak_is_bigger_than_a_tight_one() -> None:
    setting = Setting(demo_pump("quay-air"), EPOXY, None, None)
    z = np.zeros((2, SIZES))
    present = np.zeros((2, len(CAUSES)), dtype=bool)
    present[1, [CAUSE["foot"], CAUSE["piston"], CAUSE["static"]]] = True
    leak = play(setting, z, present).leak
    for cause in (CAUSE["foot"], CAUSE["piston"], CAUSE["static"]):
        assert leak[cause][1] > 30 * leak[cause][0]


def test_a_sound_pump_fills_whole_and_a_starved_one_by_what_it_drops() -> None:
    setting = Setting(demo_pump("quay-air"), EPOXY, None, None)
    z = np.random.default_rng(3).standard_normal((50, SIZES))
    sound = np.zeros((50, len(CAUSES)), dtype=bool)
    assert (setting.condition(z, sound).filling == 1.0).all()
    starved = sound.copy()
    starved[:, CAUSE["starved"]] = True
    filling = setting.condition(z, starved).filling
    assert filling == pytest.approx(1.0 - setting.empty(z, starved))
    assert (filling < 1.0).any()


def test_unread_temperature_widens_the_viscosity() -> None:
    pump = demo_pump("quay-air")
    known = Setting(pump, EPOXY, None, EPOXY.temperature).viscosity_spread
    assert known < Setting(pump, EPOXY, None, None).viscosity_spread


def test_what_is_kept_of_a_filled_pump_hangs_on_pump_and_liquid() -> None:
    """Described anew with a longer hose, or warmer, it is another; read again, the same."""
    pump, warm = demo_pump("quay-air"), 308.15
    kept = Setting(pump, EPOXY, None, None).filled
    assert Setting(demo_pump("quay-air"), EPOXY, 6e5, None).filled is kept
    hose = pump.hose[0].model_copy(update={"length": 2 * pump.hose[0].length})
    longer = Setting(pump.model_copy(update={"hose": (hose,)}), EPOXY, None, None)
    warmer = Setting(pump, EPOXY, None, warm)
    for other in (longer, warmer):
        assert float(other.sound.up.speed[0]) != float(kept.sound.up.speed[0])
        assert not np.array_equal(other.table.losses, kept.table.losses)


@pytest.mark.parametrize(
    ("cause", "part", "way"),
    [
        ("nozzle", "nozzle", 1), ("clogged", "nozzle", -1), ("supply", "supply", -1),
        ("drive", "drive", -1), ("filter", "filter_blocked", 1), ("line", "line_blocked", 1),
        ("slow", "reversal", 1),
    ],
)  # fmt: skip
def test_a_cause_moves_its_own_part_the_way_it_spoils_it(cause, part, way) -> None:
    # common practice, no source: a worn nozzle is wider, a blocked one narrower, and so on
    setting = Setting(demo_pump("quay-air"), EPOXY, None, None)
    z = np.random.default_rng(7).standard_normal((400, SIZES))
    sound = np.zeros((400, len(CAUSES)), dtype=bool)
    spoilt = sound.copy()
    spoilt[:, CAUSE[cause]] = True
    before = getattr(setting.condition(z, sound), part)
    after = getattr(setting.condition(z, spoilt), part)
    assert (way * (after - before) > 0).mean() > 0.97
    for other in ("nozzle", "drive", "filter_blocked", "line_blocked", "reversal"):
        if other != part:
            was = getattr(setting.condition(z, sound), other)
            assert (getattr(setting.condition(z, spoilt), other) == was).all(), other
