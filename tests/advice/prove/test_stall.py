"""Stall and hold: what a moving rod costs, two limits of creep, an outside leak from both ways."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from wetend.advice.prove.answer import Proof, ProofTest
from wetend.advice.prove.creep_limits import GOOD_CREEP, creep_limits, judge_creep
from wetend.advice.prove.limits import allowed, creep_limit
from wetend.advice.prove.outside_leak import both_ways, flow_of
from wetend.advice.prove.proof import prove
from wetend.advice.reasons import Verdict
from wetend.pump.measurements import ProofReadings
from wetend.pump.toml import demo_coatings, demo_pump

BAR = 1e5
LINING = demo_coatings()[0]
STALL: dict[str, Any] = {
    "stall_pressure": 270 * BAR, "stall_time": 60.0, "stall_settled": 60.0,
    "stall_creep_up": 0.0, "stall_creep_down": 0.0,
}  # fmt: skip
HOLD: dict[str, Any] = {"hold_start": 260 * BAR, "hold_end": 259 * BAR, "hold_time": 180.0}


def proof(key: str = "quay-air", **change: Any) -> Proof:
    return prove(demo_pump(key), LINING, ProofReadings(**{**STALL, **change}))


def pick(found: Proof, key: str) -> ProofTest:
    return next(t for t in found.tests if t.key == key)


class TestHold:
    @pytest.mark.parametrize(
        ("key", "up", "down"),
        [
            # by hand: 0.64 + 0.1388 mL/bar (the compliance of test_proof); rod 27 mm, bore 38 mm,
            # half a stroke 40 mm: 5.7256 cm2 * 4 cm = 22.902 mL, 5.6156 cm2 * 4 cm = 22.462 mL
            ("quay-air", 22.902 / 0.7788, 22.462 / 0.7788),
            # 1.14 mL/bar of growth; 45 m of 12.7 mm, 3 m of 9.5 mm and the cylinder hold 6.1095 L,
            # at 6e-10 /Pa 0.3666 mL/bar; half a stroke 50 mm: 48.106 mL and 50.069 mL
            ("yard-hydraulic", 48.106 / 1.5066, 50.069 / 1.5066),
        ],
    )
    def test_half_a_stroke_costs_about_thirty_bar(self, key: str, up: float, down: float) -> None:
        hold = pick(proof(key, rod_held="drive vented", **HOLD), "hold")
        shown = {f.label: f.value / BAR for f in hold.working.given}
        assert shown["which takes from the line, going up"] == pytest.approx(up, rel=1e-3)
        assert shown["and going down"] == pytest.approx(down, rel=1e-3)
        said = re.search(r"takes ([0-9.]+) bar going up, ([0-9.]+) bar going down", hold.why)
        assert said
        assert [float(s) for s in said.groups()] == pytest.approx([up, down], abs=0.05)
        assert 28 < min(up, down) < max(up, down) < 34  # "about 30 bar"

    @pytest.mark.parametrize("held", ["drive vented", "not known"])
    def test_it_is_no_test_where_the_rod_can_move(self, held: str) -> None:
        found = proof(rod_held=held, **HOLD)
        hold = pick(found, "hold")
        assert hold.verdict is Verdict.NOT_APPLICABLE
        assert hold.probability is None
        assert hold.title not in found.why  # not counted as still to prove
        assert pick(found, "outside").verdict is Verdict.PASS

    @pytest.mark.parametrize("held", ["drive fluid trapped", "cock at the outlet"])
    def test_it_is_one_where_the_rod_is_held(self, held: str) -> None:
        assert pick(proof(rod_held=held, **HOLD), "hold").verdict is Verdict.PASS
        bad = {**HOLD, "hold_end": 150 * BAR}
        assert pick(proof(rod_held=held, **bad), "hold").verdict is Verdict.FAIL

    def test_a_cock_shuts_the_pump_out_and_it_says_so(self) -> None:
        assert "hose, fittings and gun alone" in pick(
            proof(rod_held="cock at the outlet", **HOLD), "hold"
        ).why  # fmt: skip


class TestTwoLimits:
    def test_limits_are_where_checks_can_read_them_and_never_cross(self) -> None:
        allow = allowed(demo_pump("quay-air"), LINING)
        both = creep_limits(allow, 270 * BAR, up=True)
        assert both.most == creep_limit(allow, 270 * BAR, up=True)
        # a few millimetres in the minute after the first: common practice, no source
        assert both.good == GOOD_CREEP == pytest.approx(5e-3 / 60)
        tiny = demo_pump("quay-air").nozzle.model_copy(update={"orifice": 0.15e-3})
        small = allowed(demo_pump("quay-air").model_copy(update={"nozzle": tiny}), LINING)
        strict = creep_limits(small, 270 * BAR, up=True)
        assert strict.good == strict.most < GOOD_CREEP

    @pytest.mark.parametrize(
        ("millimetres", "verdict"),
        [(0.0, Verdict.PASS), (3.0, Verdict.PASS), (12.0, Verdict.WATCH), (30.0, Verdict.WATCH),
         (39.5, Verdict.NOT_PROVEN), (70.0, Verdict.FAIL)],
    )  # fmt: skip
    @pytest.mark.parametrize("way", ["up", "down"])
    def test_good_watch_and_fail(self, way: str, millimetres: float, verdict: Verdict) -> None:
        """One minute by a rule of 1 mm; the leak's own limit is 38 to 40 mm there."""
        found = proof(**{f"stall_creep_{way}": millimetres / 1e3})
        assert pick(found, f"stall-{way}").verdict is verdict

    def test_what_is_between_good_and_watch_asks_for_a_longer_look(self) -> None:
        near = pick(proof(stall_creep_up=0.0045), "stall-up")
        assert near.verdict is Verdict.WATCH
        assert "Wait longer" in near.why
        assert "Wait longer" not in pick(proof(stall_creep_up=0.02), "stall-up").why

    def test_the_first_minute_is_not_creep(self) -> None:
        early = pick(proof(stall_creep_up=0.07, stall_settled=5.0), "stall-up")
        assert early.verdict is Verdict.NOT_PROVEN
        assert "still taking up its pressure" in early.why
        # a rod that stays put though the take-up is in it has stayed put all the more
        assert pick(proof(stall_settled=0.0), "stall-up").verdict is Verdict.PASS
        unsaid = pick(proof(stall_creep_up=0.07, stall_settled=None), "stall-up")
        assert unsaid.verdict is Verdict.FAIL
        assert "not creep" in unsaid.why

    def test_it_says_how_to_stop_it_on_the_wanted_stroke(self) -> None:
        how = pick(proof(), "stall-up").how
        assert "in mid-stroke" in how
        assert "away from the turns" in how

    def test_only_something_to_watch_does_not_fail_the_whole(self) -> None:
        limits = creep_limits(allowed(demo_pump("quay-air"), LINING), 270 * BAR, up=True)
        assert judge_creep(12e-3 / 60, 1e-3 / 60, limits).verdict is Verdict.WATCH
        found = proof(stall_creep_up=0.012)
        assert not [t for t in found.tests if t.verdict is Verdict.FAIL]


class TestOutside:
    def test_flows_by_hand(self) -> None:
        # 6 mm in a minute: 5.6156 cm2 * 0.6 cm = 3.369 mL/min up, 5.7256 * 0.6 = 3.435 mL/min
        # down; a rule of 1 mm is 0.562 mL/min, a watch of 1 s in 60 is 0.056: 0.564 together
        up = flow_of(0.006, 60.0, 5.6156e-4, rule=1e-3, watch=1.0)
        assert up.value * 6e7 == pytest.approx(3.369, abs=1e-3)
        assert up.spread * 6e7 == pytest.approx(math.hypot(0.5616, 0.0562), abs=1e-3)
        down = flow_of(0.006, 60.0, 5.7256e-4, rule=1e-3, watch=1.0)
        both = both_ways(up, down, annulus=5.6156e-4, rod=5.7256e-4)
        assert both.most == up
        assert both.alike
        assert both.shared.value * 6e7 == pytest.approx(3.40, abs=0.02)

    def test_equal_creep_by_area_shows_a_leak_to_the_outside(self) -> None:
        # v A_u = v A_r: 25.5 mm up and 25 mm down are both 14.3 mL/min on this pump
        test = pick(proof(stall_creep_up=0.0255, stall_creep_down=0.025), "outside")
        assert test.verdict is Verdict.FAIL
        assert "Both ways lose the same, 14.3 mL/min ± " in test.why
        assert "dump valve, fittings and static packings" in test.why
        assert "Going up it loses 14.3 mL/min ± 1.22 mL/min" in test.why

    def test_one_way_alone_is_that_ways_own_valve(self) -> None:
        test = pick(proof(stall_creep_down=0.07), "outside")
        assert test.verdict is Verdict.PASS
        assert "Both ways lose the same" not in test.why

    def test_both_far_apart_can_not_be_told(self) -> None:
        test = pick(proof(stall_creep_up=0.03, stall_creep_down=0.06), "outside")
        assert test.verdict is Verdict.NOT_PROVEN
        assert "Repair the valve of the quicker way first" in test.why

    def test_a_hold_with_the_rod_held_clears_the_outside(self) -> None:
        creeping = {"stall_creep_up": 0.0255, "stall_creep_down": 0.025}
        held = proof(rod_held="drive fluid trapped", **HOLD, **creeping)
        test = pick(held, "outside")
        assert test.verdict is Verdict.NOT_APPLICABLE
        assert "own valves" in test.why
        # a cock leaves the pump's own side out, so there the creep still counts
        cock = proof(rod_held="cock at the outlet", **HOLD, **creeping)
        assert pick(cock, "outside").verdict is Verdict.FAIL

    def test_it_needs_both_ways_unless_the_hold_shows_it(self) -> None:
        missing = proof(stall_creep_up=None)
        assert pick(missing, "outside").verdict is Verdict.NOT_PROVEN
        assert pick(missing, "outside").title in missing.why
        held = proof(stall_creep_up=None, rod_held="drive fluid trapped", **HOLD)
        assert pick(held, "outside").verdict is Verdict.NOT_APPLICABLE

    def test_a_low_stall_and_the_first_minute_prove_nothing_of_it(self) -> None:
        creeping = {"stall_creep_up": 0.0255, "stall_creep_down": 0.025}
        assert "stall it higher" in pick(
            proof(stall_pressure=50 * BAR, **creeping), "outside"
        ).why  # fmt: skip
        early = pick(proof(stall_settled=5.0, **creeping), "outside")
        assert early.verdict is Verdict.NOT_PROVEN
