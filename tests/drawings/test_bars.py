from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.diagnosis.diagnose import Finding
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULT, FAULTS
from wetend.drawings import bars

ReadBack = Callable[[str], Any]


def finding(fault: Fault, probability: float, word: str) -> Finding:
    return Finding(fault, probability, word, None, None, "foot valve", "because")


@given(st.lists(st.tuples(st.sampled_from(list(FAULTS)), st.floats(0, 1)), max_size=9))
def test_every_fault_has_its_bar_word_and_figure(
    read_back: ReadBack, rows: list[tuple[Fault, float]]
) -> None:
    drawn = read_back(bars.faults([finding(f, p, "possible") for f, p in rows]))
    assert drawn.stays_inside()
    assert drawn.texts.count("possible") == len(rows)
    assert sum(text.endswith(" %") for text in drawn.texts) == len(rows)


@pytest.mark.parametrize(("share", "wide"), [(0.25, 73), (0.5, 146), (1.0, 292)])
def test_the_bar_is_as_long_as_the_probability(
    share: float, wide: float, read_back: ReadBack
) -> None:
    drawn = read_back(bars.faults([finding(FAULT["nozzle"], share, "likely")]))
    (bar,) = (e for e in drawn.root.iter() if e.get("class") == "dw-accent" and e.get("width"))
    assert float(bar.get("width")) == pytest.approx(wide)
