"""The pot-life clock: what starts it, what ends it, what happens twice, late or warm."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from wetend.advice.safety.pot_life import clock_of, shortened
from wetend.pump.site import Flushed, Mixed

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
TWO_HOURS = 7200.0


def _mixed(minutes: float, pot_life: float | None = TWO_HOURS) -> Mixed:
    return Mixed(at=NOON + timedelta(minutes=minutes), pot_life=pot_life, coating="Epoxy")


def _flushed(minutes: float) -> Flushed:
    return Flushed(at=NOON + timedelta(minutes=minutes))


def _after(minutes: float) -> datetime:
    return NOON + timedelta(minutes=minutes)


@pytest.mark.parametrize(
    ("minutes", "state"), [(0, "runs"), (90, "runs"), (97, "soon"), (119, "soon"), (121, "out")]
)
def test_the_clock_runs_is_soon_up_and_runs_out(minutes: float, state: str) -> None:
    clock = clock_of([_mixed(0)], _after(minutes))
    assert clock is not None
    assert clock.state == state
    assert clock.flush_by == _after(120)
    assert ("flush first" in clock.caution.text) == (state != "runs")
    assert clock.caution.hazard == "pot-life"


def test_flushing_ends_it_and_a_batch_after_begins_it_anew() -> None:
    assert clock_of([], NOON) is None
    assert clock_of([_mixed(0), _flushed(30)], _after(40)) is None
    again = clock_of([_flushed(30), _mixed(0), _mixed(60)], _after(70))  # in any order
    assert again is not None
    assert again.flush_by == _after(180)
    assert again.batches == 1


def test_fresh_coating_poured_after_old_carries_the_old_clock_on() -> None:
    """Some of the old stays behind in pump and hose (common practice, no source)."""
    clock = clock_of([_mixed(0), _mixed(60)], _after(90))
    assert clock is not None
    assert clock.flush_by == _after(120)
    assert clock.batches == 2
    short = clock_of([_mixed(0), _mixed(10, pot_life=1200.0)], _after(15))
    assert short is not None
    assert short.flush_by == _after(30)  # the one that has to be out first


def test_a_pot_life_nobody_knows_is_said_and_never_taken_for_none() -> None:
    clock = clock_of([_mixed(0, pot_life=None)], _after(600))
    assert clock is not None
    assert clock.state == "not known"
    assert "data sheet" in clock.caution.text


def test_a_warm_coating_has_less_and_a_cold_one_no_more() -> None:
    """Half for every 10 °C over the data sheet's 23 °C: common practice, no source."""
    assert shortened(TWO_HOURS, 306.15) == pytest.approx(3600.0)
    assert shortened(TWO_HOURS, 283.15) == TWO_HOURS
    warm = clock_of([_mixed(0)], _after(61), temperature=306.15)
    assert warm is not None
    assert warm.state == "out"
