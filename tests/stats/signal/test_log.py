"""Pressure logs made even: gaps, clocks, frozen channels, marks for no reading."""

from __future__ import annotations

import numpy as np
import pump_logs
import pytest
from pump_sounds import Pumping

from wetend.errors import BadInput
from wetend.stats.signal.log import Log, even_log
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
