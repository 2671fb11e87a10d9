"""What is proposed as fitted, and what the hand-over says of it."""

from __future__ import annotations

import pytest

from wetend.advice.diagnosis.answers import Finding
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULT
from wetend.advice.inspect.judge import judge_all
from wetend.advice.reasons import Verdict
from wetend.advice.stores.fitted_parts import Proposal, found_text, propose, stopped_by, watch_text
from wetend.pump.measurements import CylinderMeasured, Measured, PackingsMeasured, SeatMeasured
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import FITTED_WORDS

PUMP, COATING = demo_pump("quay-air"), demo_coatings()[2]
CHIPPED = SeatMeasured(chip_depth=300e-6, chip_width=2e-3, concentric="yes")
TORN = PackingsMeasured(set="moving", lips="torn")
SHARP = PackingsMeasured(set="static", lips="sharp")
SCORED = CylinderMeasured(
    diameters=(PUMP.cylinder.bore,) * 4, score_depth=900e-6, score_width=1e-3,
    score_direction="lengthwise",
)  # fmt: skip


def proposed(*measured: Measured, stopped: frozenset[str] = frozenset()) -> dict[str, Proposal]:
    judged = judge_all(PUMP, COATING, measured)
    return {p.part: p for p in propose(judged, stopped=stopped)}


def finding(fault: Fault, chance: float) -> Finding:
    return Finding(fault, chance, "likely", None, None, "", "")


def test_verdicts_fill_the_form_and_the_rest_says_nothing() -> None:
    told = proposed(CHIPPED, TORN, SHARP)
    assert list(told) == list(FITTED_WORDS)
    assert (told["foot-seat"].done, told["foot-seat"].verdict) == ("turned", Verdict.TURN)
    assert (told["moving-packings"].done, told["moving-packings"].why) == ("new", "found worn")
    assert told["static-packings"].done == "put back"
    assert told["rod"].done is None


def test_what_goes_with_it_goes_in_new_by_plan() -> None:
    """A new or turned seat wants a new ball, a new cylinder new packings, an open foot valve new
    soft rings: common practice, no source."""
    told = proposed(CHIPPED, SCORED)
    for part in ("foot-ball", "soft-rings", "moving-packings"):
        assert (told[part].done, told[part].why) == ("new", "planned"), part
        assert told[part].because
    assert proposed(TORN)["soft-rings"].done is None


def test_what_stopped_the_pump_was_worn_out() -> None:
    stopped = stopped_by([finding(FAULT["piston-valve"], 0.8), finding(FAULT["foot-valve"], 0.2)])
    told = proposed(TORN, CHIPPED, stopped=stopped)
    assert told["moving-packings"].why == "worn out"
    assert told["foot-seat"].why == "found worn"


def test_another_nozzle_that_made_it_better_stays_in() -> None:
    told = {p.part: p for p in propose((), readings=CheckReadings(nozzle_changed="better"))}
    assert (told["nozzle"].done, told["nozzle"].why) == ("new", "worn out")


def test_what_was_found_is_what_was_past_its_limit_else_what_the_checks_named() -> None:
    named = [finding(FAULT["nozzle"], 0.84), finding(FAULT["filter"], 0.1)]
    assert found_text((), named) == "Nozzle worn, likely, 84 %."
    bench = found_text(judge_all(PUMP, COATING, (CHIPPED, SHARP)), named)
    assert "seat" in bench.lower()
    assert "ozzle" not in bench
    assert "static" not in bench.lower()


@pytest.mark.parametrize("opened", [True, False])
def test_the_first_hour_is_watched_after_a_rebuild_only(opened: bool) -> None:
    assert ("first hour" in watch_text((), None, None, opened=opened)) is opened
