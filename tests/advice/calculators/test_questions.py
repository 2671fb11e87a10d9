"""Every calculator answers one question, and is found by what goes in and comes out."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.catalogue import all_calculators
from wetend.advice.calculators.questions import QUESTIONS, grouped


def test_every_calculator_stands_under_one_question() -> None:
    named = [name for names in QUESTIONS.values() for name in names]
    assert sorted(named) == sorted(c.name for c in all_calculators())
    assert len(named) == len(set(named))
    assert max(len(names) for names in QUESTIONS.values()) <= 7  # as many as one takes in at a look


@pytest.mark.parametrize(
    ("words", "first"),
    [("hose longest", "longest-hose"), ("creep", "stall-creep"), ("elbow", "stack-clock"),
     ("HOW WARM", "warmth-needed"), ("bucket", "bucket-test"), ("stock demand", "spares-stock")],
)  # fmt: skip
def test_it_is_found_by_words(words: str, first: str) -> None:
    assert first in {c.name for _, found in grouped(words) for c in found}


def test_words_that_fit_nothing_find_nothing_and_none_find_all() -> None:
    assert grouped("zebra") == ()
    assert sum(len(found) for _, found in grouped("")) == len(all_calculators())
