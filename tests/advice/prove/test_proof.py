"""The proof of a rebuilt pump: limits by second routes, verdicts by reading, all in words."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from nested import figures
from scipy.integrate import solve_ivp

from wetend.advice.prove.answer import Proof, ProofTest
from wetend.advice.prove.limits import (
    COMPRESSIBILITY,
    DELIVERY_LOSS,
    PATH_LOSS,
    allowed,
    creep_limit,
    decay_limit,
    same_gap,
    solvent_limit,
)
from wetend.advice.prove.proof import prove
from wetend.advice.pump_physics import Condition, filling_of, foot_path, stroke_parameters
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Verdict
from wetend.advice.safety.hazards import HAZARDS
from wetend.errors import WetendError
from wetend.physics.stroke.gap import gap_of_leak
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

BAR = 1e5
KEYS = ("solvent", "stall-up", "stall-down", "outside", "hold", "gauge", "rating", "bucket",
        "rhythm", "wet-cup", "guards", "whip-checks", "hose-age", "hose-cover", "bonding", "limit",
        "trigger-lock", "dump-valve", "gauge-zero")  # fmt: skip
LOOKS = ("guards", "whip_checks", "hose_age", "hose_cover", "trigger_lock", "dump_valve",
         "gauge_zero")  # fmt: skip


def coating(**change: Any) -> Coating:
    """A thick newtonian liquid, so that leaks are laminar and every sum can be done by hand."""
    given: dict[str, Any] = {"key": "thick", "name": "Thick", "density": 1200.0, "viscosity": 2.0}
    return Coating(**{**given, **change})


def good(pump: Pump) -> ProofReadings:
    """Readings of a pump with nothing wrong."""
    return ProofReadings(
        solvent_lost=0.0, solvent_head=0.05, solvent_time=900.0, stall_pressure=270 * BAR,
        stall_time=60.0, stall_creep_up=0.0005, stall_creep_down=0.0, hold_start=260 * BAR,
        hold_end=259 * BAR, hold_time=180.0, bucket_volume=pump.displacement * 59.4,
        bucket_cycles=60.0, up_time=1.45, down_time=1.45, wet_cup="clean", stall_settled=60.0,
        rod_held="drive fluid trapped", limit_setting=pump.drive.supply_rated, bonding=1.0,
        **dict.fromkeys(LOOKS, "yes"),
    )  # fmt: skip


def proof_of(test: str, **change: Any) -> ProofTest:
    """One test of the air-driven demo pump with the tank lining, some readings changed."""
    pump = demo_pump("quay-air")
    readings = good(pump).model_copy(update=change)
    return found(prove(pump, demo_coatings()[0], readings), test)


def found(proof: Proof, key: str) -> ProofTest:
    return next(t for t in proof.tests if t.key == key)


class TestLimits:
    def test_creep_by_hand(self) -> None:
        # One path may take half a per cent of the delivery; going down it leaks A_r / A_b of the
        # time; laminar, so it grows with pressure; the rod follows at q / A_r.
        pump = demo_pump("quay-air")
        allow = allowed(pump, coating())
        leak = 0.005 * allow.point.flow * pump.bore_area / pump.rod_area
        stall = 1.3 * allow.point.pump_pressure
        by_hand = 1.3 * leak / pump.rod_area
        assert creep_limit(allow, stall, up=False) == pytest.approx(by_hand, rel=0.002)

    @pytest.mark.parametrize("key", DEMO_PUMPS)
    @pytest.mark.parametrize("liquid", demo_coatings(), ids=lambda c: c.key)
    def test_creep_by_the_stroke_model(self, key: str, liquid: Coating) -> None:
        """The allowed foot-valve gap put into the steady model creeps at just the limit."""
        pump = demo_pump(key)
        allow = allowed(pump, liquid)
        gap = gap_of_leak(
            allow.foot_leak, foot_path(pump), filling_of(allow.liquid),
            pressure=allow.point.pump_pressure,
        )  # fmt: skip
        state = steady(stroke_parameters(pump, liquid, Condition(foot_gap=gap)))
        limit = creep_limit(allow, float(state.down.stall_pressure[0]), up=False)
        # The stroke model blends viscous and inertial loss from one reference pressure.
        assert float(state.down.creep[0]) == pytest.approx(limit, rel=0.02)

    def test_allowed_leak_costs_the_allowed_share(self) -> None:
        """The stroke model loses that share of what it pumps on the down-stroke."""
        pump = demo_pump("quay-air")
        allow = allowed(pump, coating())
        state = steady(stroke_parameters(pump, coating()))
        pressure = float(state.down.pressure[0])
        leak = allow.foot_leak * pressure / allow.point.pump_pressure
        gap = gap_of_leak(leak, foot_path(pump), filling_of(allow.liquid), pressure=pressure)
        faulty = steady(stroke_parameters(pump, coating(), Condition(foot_gap=gap)))
        lost = float(faulty.down.leak[0])
        assert lost == pytest.approx(leak, rel=0.02)
        down_share = pump.rod_area / pump.bore_area
        assert allow.foot_leak * down_share == pytest.approx(PATH_LOSS * allow.point.flow)

    def test_hold_by_integration(self) -> None:
        """Closed form against the differential equation C dp/dt = -q p / p_work."""
        allow = allowed(demo_pump("quay-air"), coating())
        start, time = 250 * BAR, 300.0

        def rate(_: float, p: np.ndarray) -> np.ndarray:
            return -allow.outside_leak * p / allow.point.pump_pressure / allow.compliance

        run = solve_ivp(rate, (0, time), [start], rtol=1e-10, atol=1.0)
        assert decay_limit(allow, start, time) == pytest.approx(start - run.y[0, -1], rel=1e-6)

    def test_compliance_by_hand(self) -> None:
        # 0.6 + 0.04 mL/bar of hose growth; 30 m of 9.5 mm and 3 m of 6.4 mm hold 2.2230 L, the
        # cylinder 0.0907 L, at 6e-10 /Pa: 0.1388 mL/bar.
        allow = allowed(demo_pump("quay-air"), coating())
        assert allow.compliance * 1e11 == pytest.approx(0.64 + 0.1388, abs=1e-4)
        assert COMPRESSIBILITY == 6e-10

    def test_solvent_by_ratio(self) -> None:
        """Laminar in one gap: flow goes as pressure over viscosity."""
        pump, thick = demo_pump("quay-air"), coating(viscosity=5.0, solvent="xylene")
        allow = allowed(pump, thick)
        head = 865.0 * 9.80665 * 0.05  # mixed xylene, about 0.865 kg/L
        ratio = head / allow.point.pump_pressure * 5.0 / 0.664e-3
        assert solvent_limit(allow, 0.05) == pytest.approx(ratio * allow.foot_leak, rel=0.03)

    def test_unknown_solvent_is_taken_as_white_spirit(self) -> None:
        pump = demo_pump("quay-air")
        one = allowed(pump, coating(solvent="white-spirit"))
        other = allowed(pump, coating(solvent="nobody-knows"))
        assert solvent_limit(one, 0.05) == solvent_limit(other, 0.05)

    def test_same_gap_same_liquid_same_leak(self) -> None:
        allow = allowed(demo_pump("quay-air"), demo_coatings()[0])
        liquid, path = filling_of(allow.liquid), foot_path(allow.pump)
        leak = same_gap(3e-7, path, liquid, pressure=2e7, other=liquid, at=2e7)
        assert leak == pytest.approx(3e-7, rel=1e-6)

    def test_even_rhythm_when_the_bore_is_twice_the_rod(self) -> None:
        # Common practice, no source: with A_b = 2 A_r both strokes take the same time. The
        # down-stroke is a few per cent shorter: the liquid is squeezed at its start, and the hose
        # is pressed up again on the way up. The model in time gives 1.03 to 1.06.
        pump = demo_pump("quay-air")
        rod = pump.rod.model_copy(update={"diameter": pump.cylinder.bore / math.sqrt(2)})
        allow = allowed(pump.model_copy(update={"rod": rod}), coating())
        assert 1.0 <= allow.even_ratio < 1.06

    def test_limits_grow_with_the_nozzle(self) -> None:
        """A pump that delivers more may lose more."""
        pump = demo_pump("quay-air")
        wide = pump.nozzle.model_copy(update={"orifice": 2 * pump.nozzle.orifice})
        small, large = (allowed(p, coating()) for p in (pump, pump.model_copy(
            update={"nozzle": wide})))  # fmt: skip
        assert large.foot_leak == pytest.approx(4 * small.foot_leak)


class TestVerdicts:
    @pytest.mark.parametrize("key", DEMO_PUMPS)
    def test_good_readings_pass_whole(self, key: str) -> None:
        pump, lining = demo_pump(key), demo_coatings()[0]
        even = allowed(pump, lining).even_ratio
        turn = pump.drive.reversal
        readings = good(pump).model_copy(update={"down_time": (1.45 - turn) / even + turn})
        proof = prove(pump, lining, readings)
        assert {t.key: t.verdict for t in proof.tests} == dict.fromkeys(KEYS, Verdict.PASS)
        assert proof.verdict is Verdict.PASS
        assert proof.on_fail == ""

    def test_nothing_read_nothing_proven(self) -> None:
        proof = prove(demo_pump("quay-air"), demo_coatings()[0], ProofReadings())
        assert tuple(t.key for t in proof.tests) == KEYS
        hold = found(proof, "hold")
        assert hold.verdict is Verdict.NOT_APPLICABLE
        others = [t for t in proof.tests if t is not hold]
        assert all(t.verdict is Verdict.NOT_PROVEN and t.value is None for t in others)
        assert all(t.probability is None and t.why for t in proof.tests)
        assert proof.verdict is Verdict.NOT_PROVEN

    @pytest.mark.parametrize(
        ("test", "change"),
        [
            ("solvent", {"solvent_lost": 2e-6}),
            ("stall-up", {"stall_creep_up": 0.07}),
            ("stall-down", {"stall_creep_down": 0.07}),
            ("hold", {"hold_end": 150 * BAR}),
            ("gauge", {"stall_pressure": 200 * BAR}),
            ("rating", {"stall_pressure": 340 * BAR}),
            ("rhythm", {"down_time": 1.1}),
            ("rhythm", {"up_time": 1.1}),
            ("wet-cup", {"wet_cup": "coating in it"}),
            ("bonding", {"bonding": 40.0}),
            ("limit", {"limit_setting": 9.5 * BAR}),
            *((look.replace("_", "-"), {look: "no"}) for look in LOOKS),
        ],
    )
    def test_each_fault_fails_its_own_test(self, test: str, change: dict[str, Any]) -> None:
        assert proof_of(test, **change).verdict is Verdict.FAIL
        pump = demo_pump("quay-air")
        proof = prove(pump, demo_coatings()[0], good(pump).model_copy(update=change))
        failed = [t.key for t in proof.tests if t.verdict is Verdict.FAIL]
        assert failed == [test]
        assert proof.verdict is Verdict.FAIL
        inside = {"solvent", "stall-up", "stall-down", "hold", "gauge", "rhythm", "wet-cup"}
        assert proof.inside == (test in inside)
        assert ("running checks" in proof.on_fail) == proof.inside
        assert "Make the pump safe" in proof.on_fail or "no work under pressure" in proof.on_fail

    @pytest.mark.parametrize(
        "field",
        ["solvent_lost", "solvent_time", "solvent_head", "stall_time", "stall_pressure",
         "stall_creep_up", "hold_start", "hold_end", "hold_time", "bucket_volume",
         "bucket_cycles", "up_time", "bonding", "limit_setting"],
    )  # fmt: skip
    def test_a_missing_reading_leaves_it_not_proven(self, field: str) -> None:
        pump = demo_pump("quay-air")
        proof = prove(pump, demo_coatings()[0], good(pump).model_copy(update={field: None}))
        assert proof.verdict is Verdict.NOT_PROVEN
        assert "Still to prove" in proof.why

    def test_quick_stroke_is_named(self) -> None:
        assert "foot valve" in proof_of("rhythm", down_time=1.1).why
        assert "moving packings" in proof_of("rhythm", up_time=1.1).why

    def test_short_wait_proves_nothing_and_says_how_long(self) -> None:
        test = proof_of("solvent", solvent_time=10.0)
        assert test.verdict is Verdict.NOT_PROVEN
        assert "minutes or more" in test.why

    def test_longer_solvent_wait_proves_more(self) -> None:
        chances = [proof_of("solvent", solvent_time=t).probability for t in (30.0, 60.0, 240.0)]
        assert None not in chances
        assert chances == sorted(chances)

    def test_rising_gauge_is_doubted(self) -> None:
        test = proof_of("hold", hold_end=300 * BAR)
        assert test.verdict is Verdict.NOT_PROVEN
        assert "rose" in test.why

    def test_low_hold_and_low_stall_prove_nothing(self) -> None:
        assert "proves nothing" in proof_of("hold", hold_start=50 * BAR, hold_end=50 * BAR).why
        assert "proves nothing" in proof_of("stall-up", stall_pressure=50 * BAR).why

    def test_coarse_gauge_proves_less(self) -> None:
        assert proof_of("hold").verdict is Verdict.PASS
        assert proof_of("hold", gauge_spread=30 * BAR).verdict is Verdict.NOT_PROVEN

    def test_every_act_that_can_hurt_has_its_caution_from_the_catalogue(self) -> None:
        proof = prove(demo_pump("quay-air"), demo_coatings()[0], ProofReadings())
        hazards = {t.key: t.cautions[0].hazard if t.cautions else "" for t in proof.tests}
        assert hazards["stall-up"] == hazards["stall-down"] == hazards["wet-cup"] == "rod-moves"
        assert hazards["solvent"] == hazards["bonding"] == "fire"
        assert (hazards["hold"], hazards["bucket"], hazards["rhythm"]) == (
            "injection", "catching", "spraying",
        )  # fmt: skip
        assert hazards["limit"] == "weakest-part"
        assert {key for key, hazard in hazards.items() if not hazard} == {"gauge-zero"}
        assert set(hazards.values()) - {""} <= set(HAZARDS)

    def test_every_limit_shows_its_working(self) -> None:
        proof = prove(demo_pump("quay-air"), demo_coatings()[0], good(demo_pump("quay-air")))
        assert all(t.how and t.working.source and t.working.validity for t in proof.tests)
        assert all(t.working.formula for t in proof.tests)
        assert all(t.by_looking or t.working.result for t in proof.tests)
        assert found(proof, "wet-cup").seen == "clean"

    def test_coating_known_by_a_cup_alone(self) -> None:
        liquid = Coating(key="cup", name="Cup", density=1300, cup="iso-6mm", cup_time=60.0)
        assert prove(demo_pump("quay-air"), liquid, ProofReadings()).tests

    def test_rating_names_the_weakest_part(self) -> None:
        pump = demo_pump("quay-air")
        hose = pump.hose[1].model_copy(update={"rated_pressure": 210 * BAR})
        weak = pump.model_copy(update={"hose": (pump.hose[0], hose)})
        assert weakest(weak) == (210 * BAR, "hose 2")
        test = found(prove(weak, demo_coatings()[0], good(pump)), "rating")
        assert "hose 2" in test.title
        assert test.verdict is Verdict.FAIL


class TestBucket:
    def test_volumetric_efficiency_of_a_worked_example(self) -> None:
        # Sarkar, Fluid Mechanics and Hydraulic Machines, 1999, ex. 9.4, p. 193, as transcribed in
        # the FOSSEE Python Textbook Companions: bore 0.15 m, stroke 0.3 m, 50 cycles a minute,
        # 0.0042 m3/s: slip 4.93 %.
        pump = demo_pump("quay-air")
        cylinder = pump.cylinder.model_copy(update={"bore": 0.15})
        large = pump.model_copy(update={"cylinder": cylinder, "stroke": 0.3})
        readings = ProofReadings(bucket_volume=0.0042 * 60, bucket_cycles=50.0)
        test = found(prove(large, demo_coatings()[0], readings), "bucket")
        assert test.value == pytest.approx(1 - 0.0493, abs=5e-5)

    def test_uncertainty_by_hand(self) -> None:
        # 50 mL in 1.8144 L and 0.25/sqrt(3) cycles in 20: 2.756 % and 0.722 %, root of squares
        # 2.849 %.
        pump = demo_pump("quay-air")
        readings = ProofReadings(bucket_volume=pump.displacement * 20, bucket_cycles=20.0)
        test = found(prove(pump, demo_coatings()[0], readings), "bucket")
        assert test.uncertainty == pytest.approx(0.02849, abs=2e-5)
        assert test.limit == 1 - DELIVERY_LOSS

    @pytest.mark.parametrize(
        ("share", "cycles", "says"),
        [  # what fits is the volume over the displacement; the bore goes by its root: 38 mm
            (1.047, 60.0, ("104.7 %", "counting error", "2.8 cycles missed of 60", "38.88 mm")),
            (1.09, 100.0, ("109.0 %", "9 cycles missed of 100", "39.67 mm instead of 38.00 mm")),
            (2.0, 40.0, ("200.0 %", "every second cycle missed")),
        ],
    )
    def test_more_than_the_pump_displaces_is_a_slip_or_a_wrong_bore(
        self, share: float, cycles: float, says: tuple[str, ...]
    ) -> None:
        whole = demo_pump("quay-air").displacement * cycles
        test = proof_of("bucket", bucket_volume=share * whole, bucket_cycles=cycles)
        assert test.verdict is Verdict.NOT_PROVEN
        assert [s for s in says if s not in test.why] == []

    def test_a_little_more_within_the_reading_passes(self) -> None:
        # 50 mL and a quarter of a cycle in 60 cycles of 90.73 mL: 0.95 %, twice that is 1.9 %
        whole = demo_pump("quay-air").displacement * 60
        assert proof_of("bucket", bucket_volume=1.018 * whole).verdict is Verdict.PASS
        assert proof_of("bucket", bucket_volume=1.021 * whole).verdict is Verdict.NOT_PROVEN


def some(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.none() | st.floats(low, high, exclude_min=low == 0)


READINGS = st.builds(
    ProofReadings,
    solvent_lost=some(0, 0.01), solvent_head=some(0.001, 1), solvent_time=some(0.1, 7200),
    stall_pressure=some(0, 2e8), stall_time=some(0.1, 3600), stall_creep_up=some(0, 1),
    stall_creep_down=some(0, 1), hold_start=some(0, 2e8), hold_end=some(0, 2e8),
    hold_time=some(0.1, 3600), bucket_volume=some(1e-6, 1), bucket_cycles=some(0.1, 5000),
    bucket_spread=st.floats(1e-9, 0.1), up_time=some(0.01, 120), down_time=some(0.01, 120),
    wet_cup=st.sampled_from(["not looked", "clean", "coating in it"]),
    gauge_spread=st.floats(10.0, 1e7), stall_settled=some(0, 3600),
    rod_held=st.sampled_from(["not asked", "not known", "drive fluid trapped", "drive vented"]),
    limit_setting=some(1e3, 2e8), bonding=st.none() | st.floats(0, 1e12),
    limit_where=st.sampled_from(["drive's supply", "pump's outlet"]),
    guards=st.sampled_from(["not done", "yes", "no"]),
)  # fmt: skip


@st.composite
def coatings(draw: st.DrawFn) -> Coating:
    """Any coating the description accepts, by its flow law."""
    low = draw(st.floats(1e5, 5e7))
    return Coating(
        key="any", name="Any", density=draw(st.floats(500.1, 6000)),
        law=draw(st.sampled_from(["newtonian", "power-law", "bingham", "herschel-bulkley"])),
        viscosity=draw(st.floats(1e-4, 1000)), consistency=draw(st.floats(1e-4, 10000)),
        index=draw(st.floats(0.06, 2)), yield_stress=draw(st.floats(0, 5000)),
        plastic_viscosity=draw(st.floats(1e-4, 1000)), spread=draw(st.floats(0.001, 1)),
        vapour_pressure=draw(st.floats(0, 1e5)), spray_pressure_low=low,
        spray_pressure_high=low * draw(st.floats(1.01, 2.0)),
    )  # fmt: skip


@st.composite
def pumps(draw: st.DrawFn) -> Pump:
    """Demo pumps with bore, rod, stroke, drive and nozzle of almost any size."""
    pump = demo_pump(draw(st.sampled_from(DEMO_PUMPS)))
    bore = draw(st.floats(0.016, 0.5))
    return pump.model_copy(update={
        "stroke": draw(st.floats(0.006, 1.0)),
        "cylinder": pump.cylinder.model_copy(update={"bore": bore}),
        "rod": pump.rod.model_copy(update={"diameter": bore * draw(st.floats(0.1, 0.99))}),
        "drive": pump.drive.model_copy(update={
            "supply_rated": draw(st.floats(1e4, 1e8)), "ratio": draw(st.floats(0.1, 500)),
            "free_speed": draw(st.floats(0.01, 60)), "reversal": draw(st.floats(0, 5)),
            "friction": draw(st.floats(0, 1e5))}),
        "nozzle": pump.nozzle.model_copy(update={"orifice": draw(st.floats(6e-5, 0.01))}),
    })  # fmt: skip


@costly(15)
@given(pump=pumps(), liquid=coatings(), readings=READINGS)
def test_any_reading_is_judged_or_refused(
    pump: Pump, liquid: Coating, readings: ProofReadings
) -> None:
    try:
        proof = prove(pump, liquid, readings)
    except WetendError:  # refused in words: that is an answer; any other exception fails the test
        return
    assert np.isfinite(figures(proof)).all()
    assert all(t.why and 0 <= (t.probability or 0.0) <= 1 for t in proof.tests)
