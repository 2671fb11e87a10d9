"""Text of tables that other programs wrote: one reading for logs and for records."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.stats.signal.table import read_table
from wetend.units.decoding import table_text
from wetend.workflows.history_table import read_history

ROWS = "Zeit;Öl\n1;2\n3;4\n"
ENCODED = [
    (ROWS.encode("utf-8"), "UTF-8"), (ROWS.encode("utf-8-sig"), "UTF-8"),
    (ROWS.encode("utf-16"), "UTF-16"), (ROWS.encode("cp1252"), "Windows-1252"),
]  # fmt: skip


@pytest.mark.parametrize(("data", "name"), ENCODED)
def test_logs_and_records_read_the_same_letters(data: bytes, name: str) -> None:
    assert table_text(data) == (ROWS, name)
    assert read_table(data).names == ("Zeit", "Öl")
    assert read_history(data).columns == ("Zeit", "Öl")
    assert name in read_history(data).read_as


@given(st.text())
def test_what_was_written_in_unicode_comes_back(text: str) -> None:
    for encoding in ("utf-8-sig", "utf-16"):
        if "\x00" not in text:
            assert table_text(text.encode(encoding))[0] == text


def test_a_log_loses_only_the_cell_that_cannot_be_read() -> None:
    data = b"t;p\n1;5\n2;\x815\n3;7\n" + b"4;8\n" * 5  # no such letter in Windows-1252
    assert read_table(data).spoilt == 1
    with pytest.raises(BadInput, match="letters can't be read"):
        table_text(data)
    with pytest.raises(BadInput, match="bytes that no table has"):
        table_text(b"a\x00b")
