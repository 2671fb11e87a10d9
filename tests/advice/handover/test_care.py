"""The pump between jobs. Common practice, no source."""

from __future__ import annotations

import math
from typing import Any

import pytest

from wetend.advice.handover.care import TITLES, care_lists, held, wet_cup_liquid
from wetend.pump.coating import Coating
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump
from wetend.telling.reader import Reader

QUAY = demo_pump("quay-air")
EPOXY, _, ALKYD, _ = demo_coatings()


def _coating(**said: Any) -> Coating:
    return Coating.model_validate({**ALKYD.model_dump(), **said})


WATER = _coating(water_borne="yes", solvent="water", flash_point=None)
ISOCYANATE = _coating(two_pack="yes", isocyanate="yes", pot_life=7200.0)


def _told(coating: Coating, act: str) -> str:
    care = next(c for c in care_lists(QUAY, coating) if c.act == act)
    return " ".join(step.text for step in care.steps)


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("coating", [*demo_coatings(), WATER, ISOCYANATE], ids=lambda c: c.key)
def test_every_occasion_has_its_steps_and_a_hazard_is_warned_of_once(
    key: str, coating: Coating
) -> None:
    lists = care_lists(demo_pump(key), coating)
    assert [c.act for c in lists] == list(TITLES)
    for care in lists:
        assert 4 <= len(care.steps) <= 8
        hazards = [c.hazard for step in care.steps for c in step.cautions]
        assert len(hazards) == len(set(hazards))


def test_it_is_shut_down_with_the_rod_below_the_cup_filled_and_no_pressure() -> None:
    told = _told(ALKYD, "shut-down")
    for said in ("rod at the bottom of its stroke", "Open the gun until nothing comes",
                 "open the dump valve", "ill the wet cup"):  # fmt: skip
        assert said in told


def test_a_two_pack_is_always_flushed_before_its_pot_life_ends() -> None:
    assert "Two-pack: begin well before its pot life ends, 2 h from mixing" in _told(EPOXY, "flush")
    assert "never leave a two-pack" in _told(EPOXY, "shut-down")
    assert "never leave" not in _told(ALKYD, "shut-down")
    first = next(c for c in care_lists(QUAY, EPOXY) if c.act == "flush").steps[0]
    assert [c.hazard for c in first.cautions] == ["pot-life"]


def test_water_and_solvent_meet_only_through_an_intermediate() -> None:
    for coating, way in (
        (ALKYD, "To a water-borne coating"),
        (WATER, "To a solvent-borne coating"),
    ):
        told = _told(coating, "change")
        step = told[told.index(way) :]
        assert "must not meet" in step
        assert step.index("an intermediate that mixes with both") < step.index("then the coating")


def test_water_left_in_rusts_and_freezes() -> None:
    told = _told(WATER, "store")
    assert "flash-rust" in told
    assert "frost bursts" in told
    assert "flash-rust" not in _told(ALKYD, "store")


def test_isocyanate_sees_no_water() -> None:
    assert "moisture-free" in _told(ISOCYANATE, "store")
    assert "no water and no alcohol near isocyanate" in _told(ISOCYANATE, "flush")
    doubtful = _coating(two_pack="yes", isocyanate="not known", pot_life=None)
    assert "moisture-free" in _told(doubtful, "store")


@pytest.mark.parametrize(
    ("coating", "said", "never"),
    [
        (None, "never plain solvent, which evaporates and burns", "glycol"),
        (ALKYD, "plain solvent evaporates and burns", "water with glycol"),
        (WATER, "water with glycol: no oil, no solvent", "throat-seal"),
        (ISOCYANATE, "moisture-free liquid", "water with glycol"),
    ],
)
def test_the_wet_cup_holds_what_the_coating_bears(
    coating: Coating | None, said: str, never: str
) -> None:
    told = wet_cup_liquid(coating)
    assert "coating's maker allows" in told
    assert said in told
    assert never not in told


def test_how_much_to_flush_with_is_what_pump_and_hose_hold_three_times() -> None:
    """By hand: 30 m of 9.5 mm, 3 m of 6.4 mm, 1.6 m of 25 mm, and 80 mm of a 38 mm bore."""
    hand = math.pi / 4 * (0.0095**2 * 30 + 0.0064**2 * 3 + 0.025**2 * 1.6 + 0.038**2 * 0.08)
    assert held(QUAY) == pytest.approx(hand)
    assert 3 * hand == pytest.approx(9.3e-3, abs=0.1e-3)
    assert "about 9 L, 3 times what pump and hose hold" in _told(ALKYD, "flush")
    steps = care_lists(QUAY, ALKYD)[0].steps
    assert any("about 2 gal" in Reader("imperial").tell(step.text) for step in steps)
