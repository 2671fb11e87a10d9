"""Guesses are said where a result hangs on them, and end when they are measured."""

from __future__ import annotations

from typing import get_args

import pytest

from wetend.pump.guesses import GUESS_WORDS, guess_line, guessed_at, still_guessed
from wetend.pump.parts import Guessable
from wetend.pump.toml import demo_pump, pump_from_toml, to_toml
from wetend.records.fold import STAGES

PUMP = demo_pump("quay-air")


def test_every_group_has_words_and_weighs_on_some_stage() -> None:
    assert set(GUESS_WORDS) == set(get_args(Guessable))
    all_guessed = PUMP.model_copy(update={"guessed": get_args(Guessable)})
    assert {part for stage in STAGES for part in guessed_at(all_guessed, stage)} == set(GUESS_WORDS)


@pytest.mark.parametrize(
    ("stage", "said"), [("rebuild", True), ("", True), ("checks", False), ("handover", False)]
)
def test_a_guess_is_said_at_the_stages_it_weighs_on(stage: str, said: bool) -> None:
    guessed = PUMP.model_copy(update={"guessed": ("stack",)})
    assert ("heights of the stack" in guess_line(guessed, stage)) is said
    assert guess_line(PUMP, stage) == ""


def test_what_is_put_right_is_a_guess_no_more() -> None:
    guessed = PUMP.model_copy(update={"guessed": ("stack", "rod")})
    rod = PUMP.rod.model_copy(update={"length": PUMP.rod.length + 0.01})
    assert still_guessed(guessed, guessed.model_copy(update={"rod": rod})) == ("stack",)


def test_a_description_carries_its_guesses_and_one_made_earlier_has_none() -> None:
    guessed = PUMP.model_copy(update={"guessed": ("stack", "rod")})
    assert pump_from_toml(to_toml(guessed)) == guessed
    earlier = {name: v for name, v in PUMP.model_dump().items() if name != "guessed"}
    assert type(PUMP).model_validate(earlier).guessed == ()
