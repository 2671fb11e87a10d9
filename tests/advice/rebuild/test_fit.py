"""The stack put back: hand-worked turns, shims from the tin, lift, squeeze, torque, wrong ways."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from nested import figures

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.fit import clock_text, fit_stack
from wetend.advice.rebuild.shims import ending
from wetend.advice.rebuild.stack import read_stack
from wetend.advice.rebuild.torque import gland_setting, pull_on
from wetend.errors import BadInput, NoAnswer, WetendError
from wetend.physics.stackup import TIED
from wetend.physics.threads import pitch_diameter, raising_torque
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.parts import Stack, StackPart
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.fields import read
from wetend.units.quantity import N, unit_of
from wetend.units.show import show

MM = 1e-3
DEGREE = math.pi / 180
TIN = (0.10 * MM, 0.25 * MM, 0.50 * MM, 0.50 * MM, 1.00 * MM)


def with_stack(pump: Pump, **change: Any) -> Pump:
    return pump.model_copy(update={"stack": pump.stack.model_copy(update=change)})


def hard_part(name: str, kind: str, height: float) -> StackPart:
    return StackPart(
        name=name, kind=kind, height=height, height_spread=0.0, outside=0.03, inside=0.02,
        bounds_lift=kind == "cage",
    )  # fmt: skip


def rigid(*, gap: float, **change: Any) -> Pump:
    """A threaded housing on two hard parts of 36 mm, so that nothing gives."""
    parts = (hard_part("seat", "seat", 12 * MM), hard_part("cage", "cage", 24 * MM))
    stack = {"parts": parts, "depth": 36 * MM + gap, "depth_spread": 0.0, "pitch": 2 * MM}
    return with_stack(demo_pump("quay-air"), **stack, **change)


def angle_of(pump: Pump, *shims: float) -> float:
    """Stop angle in degrees with exactly these shims on top."""
    state = read_stack(pump, StackMeasured())
    return ending(state, pump.stack.target, on_top=shims).angle / DEGREE


class TestTurn:
    """Turns worked by hand from the geometry of the screw."""

    @pytest.mark.parametrize(
        ("gap", "degrees"),
        [(0.0, 0.0), (0.5 * MM, 90.0), (1.5 * MM, 270.0), (2.5 * MM, 90.0), (-0.5 * MM, 270.0)],
    )
    def test_gap_over_lead_is_the_turn(self, gap: float, degrees: float) -> None:
        assert angle_of(rigid(gap=gap)) == pytest.approx(degrees, abs=1e-6)

    def test_quarter_lead_shim_turns_the_elbow_a_quarter_turn(self) -> None:
        # Common practice, no source: one shim of a quarter of the lead is a quarter turn.
        pump = rigid(gap=1.3 * MM)
        turned = angle_of(pump) - angle_of(pump, pump.stack.pitch / 4)
        assert turned == pytest.approx(90.0, abs=1e-9)

    def test_left_hand_turns_the_other_way(self) -> None:
        assert angle_of(rigid(gap=0.5 * MM, hand="left")) == pytest.approx(270.0, abs=1e-6)

    def test_datum_is_added(self) -> None:
        assert angle_of(rigid(gap=0.5 * MM, datum=30 * DEGREE)) == pytest.approx(120.0, abs=1e-6)

    def test_two_starts_double_the_lead(self) -> None:
        # Lead = pitch * starts, from the definition of a multi-start screw.
        assert angle_of(rigid(gap=0.5 * MM, starts=2)) == pytest.approx(45.0, abs=1e-6)

    def test_soft_rings_give_as_springs_in_series(self) -> None:
        # Worked by hand for the demo stack: middle clamp 11 kN, 11/85 + 11/90 = 0.25163 mm, gap
        # 42.0 - (40.0 + 1.25 - 0.25163) = 1.00163 mm of a 2 mm lead: 180.294 degrees.
        pump = demo_pump("quay-air")
        assert angle_of(pump, 1.0 * MM, 0.25 * MM) == pytest.approx(180.294, abs=1e-3)

    @pytest.mark.parametrize(
        ("degrees", "text"),
        [(180.0, "6:00"), (0.0, "12:00"), (359.9, "12:00"), (90.0, "3:00"), (182.5, "6:05"),
         (-90.0, "9:00"), (15.0, "12:30"), (725.0, "12:10")],
    )  # fmt: skip
    def test_clock(self, degrees: float, text: str) -> None:
        assert clock_text(degrees * DEGREE) == text

    def test_no_clock_for_no_number(self) -> None:
        with pytest.raises(BadInput):
            clock_text(math.nan)


class TestShims:
    def test_demo_tin_points_the_elbow_down(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN))
        assert fit.shims == (1.00 * MM, 0.25 * MM)
        assert fit.clock == "6:00"
        assert fit.elbow_verdict is Verdict.ENOUGH
        assert fit.subsets_tried == 24  # 2 of 1.0, 3 of the two 0.5, 2 of 0.25, 2 of 0.1

    def test_every_subset_by_another_route(self) -> None:
        """No other set from the tin does better, by plain enumeration of one after the other."""
        pump = demo_pump("quay-air")
        tin = (0.1 * MM, 0.2 * MM, 0.25 * MM, 0.3 * MM, 0.5 * MM, 0.7 * MM)
        for hour in range(12):
            target = hour * 30 * DEGREE
            state = read_stack(pump, StackMeasured(tin=tin, target=target))
            fit = fit_stack(pump, StackMeasured(tin=tin, target=target), draws=100)
            chance = {
                way: ending(state, target, on_top=way).on_target
                for count in range(len(tin) + 1)
                for way in itertools.combinations(sorted(tin, reverse=True), count)
            }
            best = max(chance.values())
            tied = [way for way, value in chance.items() if value >= best - TIED]
            assert fit.shims in tied
            assert len(fit.shims) == min(len(way) for way in tied)

    def test_fewest_shims_on_a_tie(self) -> None:
        fit = fit_stack(rigid(gap=1.5 * MM, target=math.pi), StackMeasured(
            tin=(0.25 * MM, 0.25 * MM, 0.5 * MM)))  # fmt: skip
        assert fit.shims == (0.5 * MM,)

    def test_empty_tin_says_what_would_do(self) -> None:
        fit = fit_stack(rigid(gap=1.5 * MM, target=math.pi), StackMeasured())
        assert fit.shims == ()
        assert fit.elbow_verdict is Verdict.FAIL
        assert fit.shims_wanted == pytest.approx(0.5 * MM)
        assert "0.50 mm" in fit.elbow_why

    @pytest.mark.parametrize("key", DEMO_PUMPS)
    def test_twelve_shims_are_answered_exactly(self, key: str) -> None:
        """All 4096 sets one after the other give none better."""
        pump, tin = demo_pump(key), tuple(0.05 * MM * n for n in range(1, 13))
        fit = fit_stack(pump, StackMeasured(tin=tin))
        assert fit.subsets_tried == 4096
        state, chance = read_stack(pump, StackMeasured(tin=tin)), {}
        for count in range(13):
            for way in itertools.combinations(sorted(tin, reverse=True), count):
                end = ending(state, fit.target, on_top=way)
                chance[way] = end.clamp_chance if state.turns_freely else end.on_target
        best = max(chance.values())
        tied = [way for way, value in chance.items() if value >= best - TIED]
        assert fit.shims in tied
        assert len(fit.shims) == min(len(way) for way in tied)

    def test_measured_heights_move_the_elbow(self) -> None:
        pump = rigid(gap=1.0 * MM)
        state = read_stack(pump, StackMeasured(heights={"seat": 11.5 * MM}))
        assert ending(state, 0.0, on_top=()).angle / DEGREE == pytest.approx(270.0)

    def test_shims_lie_on_top_of_the_cage(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN))
        kinds = [layer.kind for layer in fit.layers]
        assert kinds == ["seat", "soft-ring", "cage", "shim", "shim", "soft-ring"]
        clamped = sum(layer.height for layer in fit.layers)
        assert clamped == pytest.approx(41.25 * MM - 11e3 / 85e6 - 11e3 / 90e6)


class TestSpread:
    """Monte Carlo against the formula, and both against plain sums."""

    def test_quarter_turn_spread_by_hand(self) -> None:
        # Two heights and a depth of 20 um each on a 2 mm lead: 360 * sqrt(3) * 0.02 / 2 = 6.235.
        pump = rigid(gap=1.0 * MM, target=math.pi)
        measured = StackMeasured(
            heights={"seat": 12 * MM, "cage": 24 * MM}, depth=37 * MM, height_spread=20e-6
        )
        fit = fit_stack(pump, measured, draws=200_000)
        half = (fit.spread.high - fit.spread.low) / 2 / DEGREE
        assert half == pytest.approx(1.6449 * 6.2354, rel=0.01)
        assert fit.spread.middle / DEGREE == pytest.approx(180.0, abs=0.1)

    @pytest.mark.parametrize("spread", [5e-6, 20e-6, 60e-6, 200e-6, 1e-3])
    def test_draws_agree_with_the_wrapped_normal(self, spread: float) -> None:
        pump = demo_pump("quay-air")
        heights = {p.name: p.height for p in pump.stack.parts}
        measured = StackMeasured(heights=heights, height_spread=spread, tin=TIN)
        fit = fit_stack(pump, measured, draws=100_000)
        state = read_stack(pump, measured)
        formula = ending(state, fit.target, on_top=fit.shims).on_target
        # Three standard errors of 100,000 draws, and a little for the lognormal clamp.
        noise = 3 * math.sqrt(formula * (1 - formula) / 100_000)
        assert fit.on_target == pytest.approx(formula, abs=noise + 0.004)

    def test_lift_draws_agree_with_propagation(self) -> None:
        pump = demo_pump("quay-air")
        fit = fit_stack(pump, StackMeasured(tin=TIN), draws=100_000)
        state = read_stack(pump, StackMeasured(tin=TIN))
        formula = ending(state, fit.target, on_top=fit.shims)
        half = (fit.lift_spread.high - fit.lift_spread.low) / 2
        assert half == pytest.approx(1.6449 * formula.lift_deviation, rel=0.02)

    def test_spread_across_twelve_is_not_torn(self) -> None:
        fit = fit_stack(rigid(gap=0.0), StackMeasured(depth=36 * MM, height_spread=20e-6))
        assert fit.spread.low <= fit.spread.middle <= fit.spread.high
        assert fit.spread.high - fit.spread.low < 60 * DEGREE
        assert (fit.clock_low, fit.clock_high) == ("11:50", "12:10")

    def test_seed_repeats(self) -> None:
        pump, measured = demo_pump("quay-air"), StackMeasured(tin=TIN)
        assert fit_stack(pump, measured, seed=7) == fit_stack(pump, measured, seed=7)
        assert fit_stack(pump, measured, seed=7) != fit_stack(pump, measured, seed=8)

    def test_unmeasured_heights_spread_more(self) -> None:
        pump = demo_pump("quay-air")
        heights = {p.name: p.height for p in pump.stack.parts}
        loose = fit_stack(pump, StackMeasured(tin=TIN))
        tight = fit_stack(
            pump, StackMeasured(tin=TIN, heights=heights, height_spread=5e-6, depth=42 * MM)
        )
        assert tight.spread.high - tight.spread.low < loose.spread.high - loose.spread.low


class TestLift:
    def test_hand_worked_lift(self) -> None:
        # Ball 22 mm on a 45 degree cone with a mouth of 19.657 mm: its top stands
        # 11/sin 45 - 9.8284 + 11 = 16.7279 mm above the face. Room: ring 2.0 - 11/85, floor 18.65.
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN))
        assert fit.lift == pytest.approx((2.0 - 11 / 85 + 18.65 - 16.7279) * MM, abs=1e-7)
        assert fit.lift_verdict is Verdict.ENOUGH

    def test_shim_under_the_cage_adds_to_the_lift(self) -> None:
        # Common practice, no source.
        pump = demo_pump("quay-air")
        state = read_stack(pump, StackMeasured())
        right = ending(state, 0.0, on_top=(0.5 * MM,))
        wrong = ending(state, 0.0, on_top=(), under=(0.5 * MM,))
        assert wrong.lift - right.lift == pytest.approx(0.5 * MM)
        assert wrong.angle == pytest.approx(right.angle)

    def test_shim_on_top_leaves_the_lift(self) -> None:
        state = read_stack(demo_pump("quay-air"), StackMeasured())
        lifts = {ending(state, 0.0, on_top=s).lift for s in ((), (0.5 * MM,), (1 * MM, 1 * MM))}
        assert len(lifts) == 1

    @pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
    def test_demo_stacks_lift_too_high_with_a_half_millimetre_under(self, key: str) -> None:
        pump = demo_pump(key)
        state = read_stack(pump, StackMeasured())
        wrong = ending(state, 0.0, on_top=(0.75 * MM,), under=(0.5 * MM,))
        assert wrong.lift > pump.foot_valve.lift_high

    def test_pressed_ball_fails_and_says_so(self) -> None:
        fit = fit_stack(with_stack(demo_pump("quay-air"), cage_floor=14 * MM), StackMeasured())
        assert fit.lift < 0
        assert fit.lift_verdict is Verdict.FAIL
        assert "would not draw" in fit.lift_why


class TestClampRing:
    def test_elbow_is_set_by_hand(self) -> None:
        fit = fit_stack(demo_pump("yard-hydraulic"), StackMeasured(tin=TIN, target=math.pi / 2))
        assert fit.turns_freely
        assert fit.clock == "3:00"
        assert fit.elbow_verdict is Verdict.ENOUGH
        assert "by hand" in fit.elbow_why

    def test_shims_set_the_clamp_by_hand_worked_nip(self) -> None:
        # 52.0 + 1.25 - 53.0 = 0.25 mm on two springs of 150 and 160 kN/mm in series: 19.355 kN.
        fit = fit_stack(demo_pump("yard-hydraulic"), StackMeasured(tin=TIN))
        assert fit.shims == (1.00 * MM, 0.25 * MM)
        assert fit.clamp == pytest.approx(19354.8, abs=0.1)
        assert [s.squeeze for s in fit.squeezes] == pytest.approx([0.0645, 0.0605], abs=1e-4)
        assert all(s.verdict is Verdict.ENOUGH for s in fit.squeezes)

    def test_no_shims_leaves_it_loose(self) -> None:
        fit = fit_stack(demo_pump("yard-hydraulic"), StackMeasured())
        assert fit.clamp == 0.0
        assert fit.clamp_verdict is Verdict.FAIL
        assert fit.shims_wanted == pytest.approx(1.27 * MM, abs=0.02 * MM)

    def test_without_soft_ring_there_is_no_answer(self) -> None:
        with pytest.raises(NoAnswer, match="soft ring"):
            fit_stack(rigid(gap=0.0, held_by="clamp-ring"), StackMeasured())


class TestTorque:
    def test_long_form_by_hand(self) -> None:
        # M56 x 2: d2 = 54.7010 mm; f sec 30 = 0.138564; 11 kN. Thread part 11000 * 0.0273505 *
        # (2 + 0.138564 * pi * 54.7010) / (pi * 54.7010 - 0.138564 * 2) = 45.262; face 11000 * 0.12
        # * 0.0115 = 15.18 (Shigley 9th ed. eq. 8-5, 8-6, form).
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN, lever=0.5))
        assert fit.torque == pytest.approx(45.262 + 15.18, abs=0.01)
        assert fit.lever_force == pytest.approx(fit.torque / 0.5)

    def test_short_lever_is_cautioned(self) -> None:
        fit = fit_stack(demo_pump("yard-hydraulic"), StackMeasured(tin=TIN, lever=0.3))
        assert any("lever needs a pull" in c.text for c in fit.cautions)

    def test_gland_by_turn_after_contact(self) -> None:
        told = fit_stack(demo_pump("quay-air"), StackMeasured()).gland
        assert "hand-tight on the V-rings, then 1 flat (60 degrees) more" in told

    @pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
    def test_every_sum_shows_its_working(self, key: str) -> None:
        fit = fit_stack(demo_pump(key), StackMeasured(tin=TIN))
        assert all(w.formula and w.source and w.validity and w.result for w in fit.workings)

    def test_each_hazard_of_tightening_is_told_once(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(lever=0.05))
        hazards = [c.hazard for c in fit.cautions]
        assert {"lever", "hard-pull", "stack", "thread"} <= set(hazards)
        assert len(hazards) == len(set(hazards))


class TestVariants:
    def test_the_wrong_ways_are_all_there(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN))
        titles = [v.title for v in fit.variants]
        assert titles == [
            "one 1.00 mm shim left out", "one 0.25 mm shim left out",
            "one 1.00 mm shim doubled", "one 0.25 mm shim doubled",
            "the 1.00 mm shim under the cage", "the 0.25 mm shim under the cage",
            "all shims under the cage",
        ]  # fmt: skip

    def test_half_millimetre_left_out_is_a_quarter_turn(self) -> None:
        # Common practice, no source: one shim short and the elbow stops a quarter turn out.
        fit = fit_stack(rigid(gap=1.5 * MM, target=math.pi), StackMeasured(tin=(0.5 * MM,)))
        left_out = fit.variants[0]
        assert left_out.clock == "9:00"
        assert left_out.elbow_verdict is Verdict.FAIL
        assert "quarter turn" in left_out.why

    def test_under_the_cage_shows_in_the_lift_alone(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(tin=TIN))
        under = fit.variants[-1]
        assert under.clock == fit.clock
        assert under.lift == pytest.approx(fit.lift + 1.25 * MM)
        assert under.lift_verdict is Verdict.FAIL
        assert "too late" in under.why

    def test_other_start_of_a_two_start_thread(self) -> None:
        fit = fit_stack(rigid(gap=1.0 * MM, starts=2), StackMeasured())
        other = fit.variants[-1]
        assert "start" in other.title
        assert math.cos(other.stop_angle - fit.stop_angle) == pytest.approx(-1.0)


class TestBadInput:
    @pytest.mark.parametrize(
        ("measured", "said"),
        [
            (StackMeasured(heights={"sleeve": 0.01}), "no part"),
            (StackMeasured(heights={"seat": 1.201}), "seat"),
            (StackMeasured(tin=(0.1,)), "shim"),
        ],
    )
    def test_one_clear_sentence(self, measured: StackMeasured, said: str) -> None:
        with pytest.raises(BadInput, match=said) as caught:
            fit_stack(demo_pump("quay-air"), measured)
        assert caught.value.problems

    @pytest.mark.parametrize(
        ("typed", "said"),
        [
            ({"heights.seat": "-10 mm"}, "seat is -10 mm; each must be from 0 mm to 2,000 mm"),
            ({"tin": "0.25 mm, 0"}, "number 2 is 0 mm; each must be from 0.001 mm to 100 mm"),
            ({"tin": "1 m"}, "number 1 is 1,000 mm; each must be from 0.001 mm to 100 mm"),
        ],
    )
    def test_sizes_that_are_none_are_refused(self, typed: dict[str, str], said: str) -> None:
        with pytest.raises(BadInput, match=said):
            read(StackMeasured, typed)

    @pytest.mark.parametrize("draws", [0, 10**9])
    def test_draws_in_reason(self, draws: int) -> None:
        with pytest.raises(BadInput):
            fit_stack(demo_pump("quay-air"), StackMeasured(), draws=draws)

    def test_odd_height_is_cautioned(self) -> None:
        fit = fit_stack(demo_pump("quay-air"), StackMeasured(heights={"cage": 27 * MM}))
        assert any("Measured more than 1 mm" in c.text for c in fit.cautions)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, exclude_min=low == 0)


@st.composite
def stacks(draw: st.DrawFn) -> Stack:
    """Any stack the description accepts."""
    kinds = draw(st.lists(st.sampled_from(["seat", "soft-ring", "cage", "shim", "spacer"]),
                          min_size=2, max_size=8))  # fmt: skip
    parts = tuple(
        StackPart(
            name=f"part-{n}", kind=kind, height=draw(between(1e-5, 0.2)),
            height_spread=draw(st.floats(0, 0.002)), outside=draw(between(0.001, 0.4)),
            inside=draw(st.floats(0, 0.4)), bounds_lift=draw(st.booleans()),
            stiffness=draw(between(1.0, 1e12)) if kind == "soft-ring" else None,
            squeeze_low=draw(st.floats(0, 0.99)), squeeze_high=draw(between(0.001, 0.99)),
        )
        for n, kind in enumerate(kinds)
    )  # fmt: skip
    return Stack(
        parts=parts, held_by=draw(st.sampled_from(["thread", "clamp-ring"])),
        pitch=draw(between(1e-4, 0.02)), starts=draw(st.integers(1, 6)),
        hand=draw(st.sampled_from(["right", "left"])),
        thread_diameter=draw(between(0.001, 0.5)), depth=draw(between(0.001, 0.5)),
        datum=draw(st.floats(0, 6.28)), target=draw(st.floats(0, 6.28)),
        target_within=draw(between(0.001, 3.15)), cage_floor=draw(between(1e-5, 0.1)),
        clamp_low=draw(between(1.0, 2e6)), clamp_high=draw(between(1.0, 2e6)),
        friction=draw(between(0.001, 0.99)), depth_spread=draw(st.floats(0, 0.002)),
    )  # fmt: skip


@costly(15)
@given(
    stack=stacks(),
    tin=st.lists(st.floats(1e-6, 0.03), max_size=4),
    spread=between(1e-8, 0.002),
    lever=st.none() | between(0.03, 5),
)
def test_any_stack_is_answered_or_refused(
    stack: Stack, tin: list[float], spread: float, lever: float | None
) -> None:
    pump = demo_pump("quay-air").model_copy(update={"stack": stack})
    measured = StackMeasured(tin=tuple(tin), height_spread=spread, lever=lever)
    try:
        fit = fit_stack(pump, measured, draws=200)
    except WetendError:  # refused in words: that is an answer; any other exception fails the test
        return
    assert np.isfinite(figures(fit)).all()
    assert 0 <= fit.on_target <= 1
    assert fit.spread.low <= fit.spread.middle <= fit.spread.high


def test_the_gland_is_told_by_hand_flats_and_travel_and_no_lever_does_a_hand_s_work() -> None:
    """By hand: a sixth of a turn of 2 mm is 0.333 mm; at 0.6 kN/mm that is 200 N; torque by the
    screw with its collar (Shigley, 9th ed., eq. 8-1 and 8-6)."""
    pump = demo_pump("quay-air")
    setting = gland_setting(pump)
    assert setting is not None
    assert setting.travel == pytest.approx(2e-3 / 6)
    assert setting.squeeze == pytest.approx(2e-3 / 6 / 0.028)
    assert setting.force == pytest.approx(200)
    mean = pitch_diameter(0.048, 0.002)
    by_hand = raising_torque(200, mean, lead=2e-3, friction=0.12, flank_angle=math.radians(30),
                             collar_friction=0.12, collar_diameter=0.048)  # fmt: skip
    assert setting.torque == pytest.approx(by_hand)
    told = fit_stack(pump, StackMeasured(lever=0.25)).gland
    assert "0.33 mm" in told
    assert by_hand / 0.25 < 20  # what a lever's figure starts at: common practice, no source
    assert "lever" not in told
    stiff = pump.static_packings.model_copy(update={"stiffness": 6e6})
    hard = pump.model_copy(update={"static_packings": stiff})
    pull = 10 * by_hand / 0.25
    told = fit_stack(hard, StackMeasured(lever=0.25)).gland
    assert f"= {show(pull, unit_of(N))} on the 250 mm lever" in told


def test_no_pull_is_told_that_a_hand_alone_does() -> None:
    """Under 20 N at the lever's end: common practice, no source."""
    assert pull_on(9.9, 0.5) is None
    assert pull_on(10.1, 0.5) == pytest.approx(20.2)
    assert pull_on(10.0, None) is None
    assert pull_on(None, 0.5) is None


def test_without_the_glands_thread_only_its_turn_is_told() -> None:
    pump = demo_pump("quay-air")
    packings = pump.static_packings.model_copy(update={"gland_pitch": None})
    bare = pump.model_copy(update={"static_packings": packings})
    assert gland_setting(bare) is None
    assert "sets it in" not in fit_stack(bare, StackMeasured(lever=0.25)).gland
