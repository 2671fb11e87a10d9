"""The set-up sheet: within the ratings, honest where it can't be had, advice that helps."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from drawn import maybe
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from nested import figures

from wetend.advice.handover.duty import duty_of
from wetend.advice.handover.recommendations import ball_advice
from wetend.advice.handover.set_up import SetUp, set_up
from wetend.advice.reasons import Verdict
from wetend.errors import NoAnswer, WetendError
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.parts import HoseLength
from wetend.pump.readings import SetUpRequest
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

BAR = 1e5
LINING, PRIMER, TOPCOAT, FLAKE = demo_coatings()
TITLES = [
    "Pressure at the nozzle", "Cycles a minute", "Supply at the drive", "Weakest part", "Hose",
    "Suction", "Foot-valve ball", "Coating's temperature",
]  # fmt: skip


def sheet(coating: Coating = TOPCOAT, pump: Pump | None = None, **request: Any) -> SetUp:
    return set_up(pump or demo_pump("quay-air"), coating, SetUpRequest(**request))


def verdict(found: SetUp, title: str) -> Verdict:
    return next(s.verdict for s in found.settings if s.title == title)


def with_main_hose(length: float, bore: float = 9.5e-3) -> Pump:
    pump = demo_pump("quay-air")
    main = pump.hose[0].model_copy(update={"length": length, "bore": bore})
    return pump.model_copy(update={"hose": (main, pump.hose[1])})


class TestSheet:
    @pytest.mark.parametrize("key", DEMO_PUMPS)
    @pytest.mark.parametrize("coating", demo_coatings(), ids=lambda c: c.key)
    def test_every_demo_pairing_has_a_sheet(self, key: str, coating: Coating) -> None:
        found = sheet(coating, demo_pump(key))
        assert [s.title for s in found.settings] == TITLES
        assert all(s.why for s in found.settings)
        assert not [s for s in found.settings if s.verdict is Verdict.FAIL]
        assert found.stall_pressure <= found.weakest_rating
        assert len(found.workings) == 5
        assert all(w.source and w.validity and w.result for w in found.workings)

    def test_blank_pressure_is_the_middle_of_the_range(self) -> None:
        assert sheet(TOPCOAT).nozzle_pressure == pytest.approx(150 * BAR)

    def test_pressures_add_up(self) -> None:
        found = sheet(TOPCOAT, hose_lift=12.0)
        added = found.nozzle_pressure + found.hose_loss + found.lift_loss + found.filter_loss
        assert found.pump_pressure == pytest.approx(added)
        assert found.lift_loss == pytest.approx(1180 * 9.80665 * 12)

    def test_two_guns_double_the_flow(self) -> None:
        assert sheet(guns=2).flow == pytest.approx(2 * sheet().flow)
        assert sheet(guns=2).cycle_rate == pytest.approx(2 * sheet().cycle_rate)

    def test_other_nozzle_goes_by_area(self) -> None:
        small, large = (sheet(nozzle_orifice=d).flow for d in (0.3e-3, 0.45e-3))
        assert large / small == pytest.approx(2.25)

    def test_cold_thickens(self) -> None:
        assert sheet(temperature=283.15).hose_loss > 1.3 * sheet().hose_loss
        assert sheet(temperature=293.15).hose_loss == pytest.approx(sheet().hose_loss)
        assert any("data sheets allow" in c.text for c in sheet(temperature=303.15).cautions)

    def test_each_hazard_is_told_once_and_the_coatings_own_with_them(self) -> None:
        for coating in demo_coatings():
            hazards = [c.hazard for c in sheet(coating).cautions]
            assert len(hazards) == len(set(hazards))
            assert "injection" in hazards
            assert ("hardener" in hazards) == (coating.two_pack == "yes")
            assert ("health" in hazards) != ("hardener" in hazards)


class TestRatings:
    def test_supply_is_never_advised_above_the_weakest_part(self) -> None:
        # Common practice, no source: drive pressure times ratio must not exceed the lowest rating.
        pump = demo_pump("quay-air")
        hose = pump.hose[1].model_copy(update={"rated_pressure": 180 * BAR})
        weak = pump.model_copy(update={"hose": (pump.hose[0], hose)})
        found = sheet(TOPCOAT, weak)
        assert (found.weakest_rating, found.weakest_part) == (180 * BAR, "hose 2")
        assert found.stall_pressure <= 180 * BAR * (1 + 1e-9)
        assert found.nozzle_pressure < found.asked_pressure
        assert verdict(found, "Pressure at the nozzle") is Verdict.WATCH
        assert verdict(found, "Weakest part") is Verdict.WATCH
        danger = [c for c in found.cautions if "hose 2" in c.text]
        assert danger[0].grade == "danger"

    def test_too_weak_a_part_has_no_answer(self) -> None:
        pump = demo_pump("quay-air")
        nozzle = pump.nozzle.model_copy(update={"rated_pressure": 60 * BAR})
        with pytest.raises(NoAnswer, match="weakest rating"):
            sheet(TOPCOAT, pump.model_copy(update={"nozzle": nozzle}))


class TestWhatCannotBeHad:
    def test_long_thin_hose_says_what_would(self) -> None:
        with pytest.raises(NoAnswer, match="hose of") as caught:
            sheet(LINING, with_main_hose(120.0))
        assert "nozzle of" in str(caught.value)

    def test_the_hose_it_names_really_would(self) -> None:
        with pytest.raises(NoAnswer) as caught:
            sheet(LINING, with_main_hose(60.0), guns=2)
        text = str(caught.value)
        assert "a hose of 19.10 mm bore" in text
        assert sheet(LINING, with_main_hose(60.0, bore=19.1e-3), guns=2).nozzle_pressure > 0
        with pytest.raises(NoAnswer):
            sheet(LINING, with_main_hose(60.0, bore=12.7e-3), guns=2)

    def test_best_within_range_is_given_and_marked(self) -> None:
        found = sheet(LINING, with_main_hose(45.0))
        assert 160 * BAR <= found.nozzle_pressure < found.asked_pressure
        assert verdict(found, "Pressure at the nozzle") is Verdict.WATCH

    def test_slow_drive_has_no_answer_but_a_smaller_nozzle(self) -> None:
        pump = demo_pump("quay-air")
        drive = pump.drive.model_copy(update={"free_speed": 1.6})
        with pytest.raises(NoAnswer, match="a nozzle of"):
            sheet(LINING, pump.model_copy(update={"drive": drive}))


class TestAdvice:
    def test_hose_that_takes_much(self) -> None:
        found = sheet(TOPCOAT, with_main_hose(120.0))
        assert verdict(found, "Hose") is Verdict.WATCH
        said = " ".join(found.advice)
        for start in ("Larger hose", "Shorter hose", "Warm it"):
            assert start in said

    def test_nothing_to_mend_nothing_said(self) -> None:
        assert sheet(TOPCOAT).advice == ()

    def test_too_many_cycles_wants_a_smaller_nozzle(self) -> None:
        pump = demo_pump("quay-air")
        limits = pump.limits.model_copy(update={"cycle_rate_high": 0.25})
        found = sheet(TOPCOAT, pump.model_copy(update={"limits": limits}))
        assert verdict(found, "Cycles a minute") is Verdict.FAIL
        assert any(a.startswith("Smaller nozzle") for a in found.advice)

    def test_the_smaller_nozzle_really_does_it(self) -> None:
        pump = demo_pump("quay-air")
        before = sheet(TOPCOAT)
        limit = 0.25
        orifice = pump.nozzle.orifice * (0.8 * limit / before.cycle_rate) ** 0.5
        assert sheet(TOPCOAT, nozzle_orifice=orifice).cycle_rate == pytest.approx(0.8 * limit)

    def test_starved_suction_wants_a_feed_pump(self) -> None:
        pump = demo_pump("quay-air")
        suction = pump.suction.model_copy(update={"lift": 9.0})
        found = sheet(TOPCOAT, pump.model_copy(update={"suction": suction}))
        assert found.suction_margin < 0
        assert verdict(found, "Suction") is Verdict.FAIL
        assert any("feed pump" in a for a in found.advice)
        assert any("Raise the tin" in a for a in found.advice)

    def test_late_ball_wants_a_spring(self) -> None:
        assert any(a.startswith("Late ball") for a in sheet(FLAKE).advice)

    @pytest.mark.parametrize(("margin", "said", "not_said"), [
        (50e3, "A light ball spring and a lift near the low limit", "use a feed pump"),
        (10e3, "use a feed pump, warm the coating", "A light ball spring"),
    ])  # fmt: skip
    def test_what_brings_the_ball_home_costs_suction(
        self, margin: float, said: str, not_said: str
    ) -> None:
        """Both sides, common practice, no source: with little suction in hand no spring."""
        duty = duty_of(demo_pump("quay-air"), FLAKE, SetUpRequest())
        (told,) = ball_advice(duty, 0.1, margin)
        assert said in told
        assert not_said not in told
        assert "cost suction" in told
        assert not list(ball_advice(duty, 0.001, margin))

    def test_hotter_than_the_pump_bears(self) -> None:
        found = sheet(TOPCOAT, temperature=350.0)
        assert verdict(found, "Coating's temperature") is Verdict.FAIL


@st.composite
def coatings(draw: st.DrawFn) -> Coating:
    """Any coating the description accepts, by its flow law."""
    low = draw(st.floats(1e5, 5e7))
    return Coating(
        key="any", name="Any", density=draw(st.floats(500.1, 6000)),
        law=draw(st.sampled_from(["newtonian", "power-law", "bingham", "herschel-bulkley"])),
        viscosity=draw(st.floats(1e-4, 1000)), consistency=draw(st.floats(1e-4, 10000)),
        index=draw(st.floats(0.06, 2)), yield_stress=draw(st.floats(0, 5000)),
        plastic_viscosity=draw(st.floats(1e-4, 1000)), vapour_pressure=draw(st.floats(0, 1e5)),
        spray_pressure_low=low, spray_pressure_high=low * draw(st.floats(1.01, 2.0)),
    )  # fmt: skip


@st.composite
def pumps(draw: st.DrawFn) -> Pump:
    """Demo pumps with bore, rod, stroke, drive, hoses, suction and nozzle of almost any size."""
    pump = demo_pump(draw(st.sampled_from(DEMO_PUMPS)))
    bore = draw(st.floats(0.016, 0.5))
    hoses = draw(st.lists(st.builds(
        HoseLength, bore=st.floats(0.0011, 0.2), length=st.floats(0.01, 500),
        rated_pressure=st.floats(1e5, 2e8), growth=st.floats(0, 1e-6)),
        min_size=1, max_size=3))  # fmt: skip
    change = {
        "stroke": draw(st.floats(0.006, 1.0)),
        "cylinder": pump.cylinder.model_copy(update={"bore": bore}),
        "rod": pump.rod.model_copy(update={"diameter": bore * draw(st.floats(0.1, 0.99))}),
        "drive": pump.drive.model_copy(update={
            "supply_rated": draw(st.floats(1e4, 1e8)), "ratio": draw(st.floats(0.1, 500)),
            "free_speed": draw(st.floats(0.01, 60)), "reversal": draw(st.floats(0, 5)),
            "friction": draw(st.floats(0, 1e5))}),
        "hose": tuple(hoses),
        "suction": pump.suction.model_copy(update={
            "bore": draw(st.floats(0.0011, 0.3)), "length": draw(st.floats(0.01, 30)),
            "lift": draw(st.floats(-5, 10))}),
        "nozzle": pump.nozzle.model_copy(update={"orifice": draw(st.floats(6e-5, 0.01))}),
    }  # fmt: skip
    return pump.model_copy(update=change)


REQUESTS = st.builds(
    SetUpRequest,
    hose_lift=st.floats(-50, 200), guns=st.integers(1, 6),
    spray_pressure=maybe(SetUpRequest, "spray_pressure"),
    temperature=maybe(SetUpRequest, "temperature"),
    nozzle_orifice=maybe(SetUpRequest, "nozzle_orifice"),
    pumped_since_repack=maybe(SetUpRequest, "pumped_since_repack"),
)  # fmt: skip


@costly(15)
@given(pump=pumps(), coating=coatings(), request=REQUESTS)
def test_any_pairing_is_answered_or_refused(
    pump: Pump, coating: Coating, request: SetUpRequest
) -> None:
    try:
        found = set_up(pump, coating, request)
    except WetendError:  # refused in words: that is an answer; any other exception fails the test
        return
    assert np.isfinite(figures(found)).all()
    assert found.stall_pressure <= found.weakest_rating * (1 + 1e-9)
    assert found.supply_pressure <= pump.drive.supply_rated * (1 + 1e-9)
