"""Pressure logs made even: gaps, clocks, frozen channels, marks for no reading."""

from __future__ import annotations

import numpy as np
import pump_logs
import pytest
from pump_sounds import Pumping

from wetend.errors import BadInput
from wetend.stats.signal import alternation, follow
from wetend.stats.signal import log as log_module
from wetend.stats.signal.alternation import Marks
from wetend.stats.signal.hearing import read_from_log
from wetend.stats.signal.log import LONGEST_LOG, Log, even_log
from wetend.stats.signal.table import Table, read_table

RUN = Pumping(seconds=30.0)


def _made(**more: object) -> pump_logs.MadeLog:
    return pump_logs.log_of(1, run=RUN, dropouts=0, **more)  # type: ignore[arg-type]


def _log(times: np.ndarray, pressure: np.ndarray, names: tuple[str, str] = ("t", "p")) -> Log:
    return even_log(Table(names, np.stack([times, pressure]), 0))


def test_the_columns_are_found_among_others() -> None:
    made = _made()
    rows = "\n".join(
        f"{i};21,5;{p:.1f};{t:.3f}".replace(".", ",")
        for i, (t, p) in enumerate(zip(made.times, made.pressure, strict=True))
    )
    log = even_log(read_table(b"no;Temp;Druck [bar];Zeit [s]\n" + rows.encode()))
    assert (log.time_name, log.value_name) == ("Zeit [s]", "Druck [bar]")
    assert log.usual_step == pytest.approx(0.02, rel=0.1)


def test_a_column_named_is_the_column_read() -> None:
    made = _made()
    columns = np.stack([made.times, made.pressure, made.pressure * 14.5])
    log = even_log(Table(("t", "bar", "psi"), columns, 0), value="psi")
    assert log.value_name == "psi"
    assert np.median(log.values) == pytest.approx(14.5 * np.median(made.pressure), rel=0.01)
    with pytest.raises(BadInput, match="no column"):
        even_log(Table(("t", "bar", "psi"), columns, 0), value="mbar")


def test_milliseconds_are_told_from_the_name_or_the_size() -> None:
    made = _made()
    for name in ("time [ms]", "x"):
        log = _log(made.times * 1000, made.pressure, (name, "p"))
        assert log.usual_step == pytest.approx(0.02, rel=0.1)


@pytest.mark.parametrize("step", [1.6, 5.0, 100.0])
def test_a_clock_that_counts_thousands_counts_milliseconds(step: float) -> None:
    """A stroke takes some seconds: readings 1.6 s apart or more would show none."""
    times = np.arange(0.0, 9000.0 if step < 10 else 60_000.0, step)
    pressure = 200.0 + 20.0 * np.sin(times / 400.0)
    assert _log(times, pressure, ("x", "p")).usual_step == pytest.approx(step / 1000, rel=0.1)


def test_a_gap_is_marked_and_not_filled() -> None:
    made = _made()
    kept = (made.times < 10) | (made.times > 13)
    log = _log(made.times[kept], made.pressure[kept])
    at = log.start + log.step * np.arange(log.values.size)
    assert not log.known[(at > 10.1) & (at < 12.9)].any()
    assert log.known[(at < 9.9) | (at > 13.1)].all()
    assert log.lost == pytest.approx(0.1, abs=0.01)


@pytest.mark.parametrize("spoil", ["frozen", "sentinel", "not a number"])
def test_dropouts_in_disguise_are_gaps(spoil: str) -> None:
    made = _made()
    values = made.pressure.copy()
    hole = (made.times > 10) & (made.times < 12)
    values[hole] = {"frozen": values[hole][0], "sentinel": -9999.0}.get(spoil, np.nan)
    log = _log(made.times, values)
    assert log.lost == pytest.approx(2 / 30, abs=0.01)
    assert log.values.min() > 100


def test_times_that_run_backwards_are_dropped() -> None:
    made = _made()
    times = made.times.copy()
    times[100:110] = times[50]
    assert _log(times, made.pressure).out_of_order == 10


def test_a_time_of_day_runs_past_midnight() -> None:
    made = _made()
    clock = (86_390 + made.times) % 86_400
    table = Table(("clock", "p"), np.stack([clock, made.pressure]), 0, frozenset({0}))
    assert even_log(table, time="clock").values.size > 1000


def test_without_times_the_rate_is_asked_for() -> None:
    made = _made()
    table = Table(("p",), made.pressure[None], 0)
    with pytest.raises(BadInput, match="how many readings a second"):
        even_log(table)
    assert even_log(table, rate=50).usual_step == pytest.approx(0.02)


def test_too_few_readings_are_refused() -> None:
    with pytest.raises(BadInput):
        _log(np.arange(20.0), np.arange(20.0) % 3)
    with pytest.raises(BadInput):
        _log(np.arange(200.0), np.full(200, 5.0))


def _long(minutes: float, busy: tuple[float, float], rate: float = 50.0) -> Table:
    """A pump that strokes between two minutes of a log and stands before and after, with noise."""
    rng = np.random.default_rng(7)
    times = np.arange(0, minutes * 60, 1 / rate)
    bar = 180 + rng.standard_normal(times.size)
    turns = np.arange(busy[0] * 60, busy[1] * 60, 1.2)
    for at in turns:
        near = slice(int((at - 0.3) * rate), int((at + 0.3) * rate))
        bar[near] -= 30 * np.exp(-0.5 * ((times[near] - at) / 0.05) ** 2)
    bar[int(50 * 60 * rate) :] -= 60  # the supply let down once
    return Table(("t", "bar"), np.stack([times, bar]), 0)


def test_of_a_log_of_an_hour_the_two_minutes_are_used_in_which_the_pump_strokes() -> None:
    log = even_log(_long(66, (30, 34)))
    assert 30 * 60 - 1 <= log.start <= 32 * 60
    assert log.values.size <= LONGEST_LOG / log.step + 1
    assert log.cut == pytest.approx(64 * 60, abs=1)


def test_a_log_of_two_minutes_is_used_whole() -> None:
    log = even_log(_long(2, (0, 2)))
    assert (log.start, log.cut) == (0.0, 0.0)


@pytest.mark.parametrize("last", [1e6, 1e12])
def test_a_time_far_off_costs_nothing(last: float) -> None:
    """One reading years after the others, as a logger's clock that was set may write it."""
    times, bar = _long(2, (0, 2)).columns
    log = even_log(Table(("t", "bar"), np.stack([np.r_[times, last], np.r_[bar, 180.0]]), 0))
    assert log.values.size <= LONGEST_LOG / log.step + 1
    assert log.start == 0.0


def test_readings_too_rare_for_strokes_are_refused() -> None:
    times = np.arange(0, 200) * 10.0
    with pytest.raises(BadInput, match=r"1[23] readings in two minutes"):
        _log(times, 100.0 + 10 * np.sin(times))


def test_a_log_ten_times_as_long_costs_no_more_to_follow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Noise, which suggests most turns: marks weighed, all chains together."""
    monkeypatch.setattr(log_module, "LONGEST_LOG", 20.0)
    weighed = []
    real = alternation.chain

    def counted(marks: Marks, *given: object) -> object:
        weighed[-1] += marks.times.size
        return real(marks, *given)

    monkeypatch.setattr(alternation, "chain", counted)
    monkeypatch.setattr(follow, "chain", counted)
    rng = np.random.default_rng(3)
    for seconds in (20, 200):
        weighed.append(0)
        times = np.arange(0, seconds, 0.02)
        read_from_log(_log(times, 180 + rng.standard_normal(times.size)))
    assert 0 < weighed[1] < 2 * weighed[0]
