"""Logs of any delimiter, decimal sign, heading and clock; hostile ones answered in a sentence."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput, TooLarge, WetendError
from wetend.stats.signal import table
from wetend.stats.signal.table import read_table

TIMES = np.arange(60) / 20
BAR = 180 + 5 * np.sin(TIMES)


def _csv(delimiter: str, decimal: str, head: str = "t{0}p\n") -> bytes:
    rows = [
        f"{t:.3f}{delimiter}{p:.2f}".replace(".", decimal) for t, p in zip(TIMES, BAR, strict=True)
    ]
    return (head.format(delimiter) + "\n".join(rows)).encode()


@pytest.mark.parametrize(
    ("delimiter", "decimal"),
    [(",", "."), (";", "."), (";", ","), ("\t", ","), ("\t", "."), ("|", "."), (" ", "."),
     ("   ", ",")],
)  # fmt: skip
def test_any_delimiter_and_decimal_sign(delimiter: str, decimal: str) -> None:
    found = read_table(_csv(delimiter, decimal))
    np.testing.assert_allclose(found.columns[0], np.round(TIMES, 3))
    np.testing.assert_allclose(found.columns[1], np.round(BAR, 2))
    assert found.names == ("t", "p")


def test_lines_before_the_heading_are_passed_over() -> None:
    found = read_table(b"Logger 7\nstarted today\n\n" + _csv(";", ","))
    assert found.names == ("t", "p")
    assert found.columns.shape == (2, 60)


@pytest.mark.parametrize("coding", ["utf-8-sig", "utf-16", "cp1252"])
def test_codings(coding: str) -> None:
    text = "Zeit;Druck für Prüfung\n" + _csv(";", ",", head="").decode()
    assert read_table(text.encode(coding)).names[1] == "Druck für Prüfung"


def test_times_of_day_become_seconds() -> None:
    rows = "\n".join(f"08:59:{58 + t:06.3f},{p:.1f}" for t, p in zip(TIMES[:30], BAR, strict=False)
                     if 58 + t < 60)  # fmt: skip
    found = read_table(b"clock,bar\n" + rows.encode())
    assert found.clock == frozenset({0})
    assert found.columns[0][0] == pytest.approx(9 * 3600 - 2)


def test_iso_dates_become_seconds() -> None:
    rows = "\n".join(f"2026-03-01T10:00:{t:06.3f};{p:.1f}" for t, p in zip(TIMES, BAR, strict=True))
    found = read_table(b"when;bar\n" + rows.encode())
    assert np.diff(found.columns[0]) == pytest.approx(np.full(59, 0.05), abs=1e-6)


def test_spoilt_cells_are_counted_and_left_out() -> None:
    lines = _csv(",", ".").decode().split("\n")
    lines[5], lines[9] = "0.2,ERR", "0.4,"
    found = read_table("\n".join(lines).encode())
    assert found.spoilt == 1
    assert np.isnan(found.columns[1]).sum() == 2


@pytest.mark.parametrize("data", [b"", b"\n\n", b"only words\nand more", b"a\x00b" * 9, b"{}"])
def test_what_is_no_log_is_said_so(data: bytes) -> None:
    with pytest.raises(BadInput):
        read_table(data)


def test_too_large_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "MOST_ROWS", 50)
    with pytest.raises(TooLarge):
        read_table(_csv(",", "."))


@given(st.binary(max_size=400))
def test_no_bytes_crash_it(data: bytes) -> None:
    try:
        found = read_table(data)
    except WetendError:
        return
    assert np.isfinite(found.columns[~np.isnan(found.columns)]).all()


@given(st.text(alphabet='0123456789.,;:-+eE \t\n"=@NaInf', max_size=300))
def test_no_figures_crash_it(text: str) -> None:
    try:
        read_table(text.encode())
    except WetendError:
        return
