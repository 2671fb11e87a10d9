"""Whatever the tool tells to do carries the cautions of its hazards, one a hazard.

Which hazards those are follows from the instruction's own words and from what the coating is, by
the table in rules.py, and not from the program's table.
"""

from __future__ import annotations

import re

import pytest

from wetend.advice.diagnosis.acts import WARNS
from wetend.advice.handover.set_up import set_up
from wetend.advice.safety.hazards import HAZARDS
from wetend.advice.safety.site_hazards import at_the_bench, cleaning
from wetend.pump.readings import SetUpRequest
from wetend.pump.toml import DEMO_PUMPS, demo_pump

from .instructions import Instruction, bench, every, touchy
from .rules import COATED, RULES, SAID_ONCE, lacking

_TOUCHY = (COATED["isocyanate"], COATED["holds_lead"])


def test_no_hazard_that_an_instruction_brings_goes_without_its_caution() -> None:
    wanting = {
        f"{i.where}: {', '.join(lost)}"
        for i in every()
        if (lost := lacking(i.text, i.kind, tuple(c.text for c in i.cautions)))
    }
    assert not wanting
    assert len(every()) > 500


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.hazard)
def test_every_rule_of_the_table_is_brought_by_something(rule) -> None:
    """A rule that nothing brings guards nothing, and one whose words nobody says never holds."""
    brought = [i for i in every() if rule.holds(i.text, i.kind)]
    assert brought
    assert any(rule.warned(c.text) for i in brought for c in i.cautions)


def test_no_instruction_says_one_hazard_twice() -> None:
    for i in every():
        if i.kind == "care":  # a list's cautions are told step by step
            continue
        hazards = [c.hazard or c.text for c in i.cautions]
        assert len(hazards) == len(set(hazards)), i.where
        for name, words in SAID_ONCE.items():
            said = [c.text for c in i.cautions if re.search(words, c.text)]
            assert len(said) <= 1, (i.where, name, said)
        grades = [list(type(c.grade)).index(c.grade) for c in i.cautions]
        assert grades == sorted(grades), i.where


def test_nobody_is_told_to_spray_into_a_pail() -> None:
    for i in every():
        assert not re.search(r"(spray|trigger|shoot)\w* [\w ]*into (a|the|an) [\w ]*pail", i.text)


def _plans() -> dict[str, list[Instruction]]:
    """Steps of each strip and rebuild with a coating that needs all there is of protection."""
    plans: dict[str, list[Instruction]] = {}
    for i in bench(touchy()):
        plans.setdefault(i.where.rpartition(":")[0], []).append(i)
    return plans


def test_what_a_coating_does_is_told_before_the_first_step_that_lets_it_out() -> None:
    """Hose, suction, foot valve and cylinder hold coating (common practice, no source)."""
    wet = r"\b(hose|suction|foot-valve housing|clamp ring|cylinder)\b"
    told = 0
    for plan, steps in _plans().items():
        said = ""
        for step in steps:
            said += " ".join(c.text for c in step.cautions)
            if plan.startswith("strip") and re.search(wet, step.text.partition(".")[0]):
                assert all(re.search(words, said) for words in _TOUCHY), step.where
                told += 1
                break
    assert told > 12


def test_what_a_coating_does_is_told_before_parts_are_cleaned_and_before_it_is_sprayed() -> None:
    cleaned = [s[0].cautions for p, s in _plans().items() if p.startswith("rebuild")]
    sprayed = [set_up(demo_pump(key), touchy(), SetUpRequest()).cautions for key in DEMO_PUMPS]
    for cautions in (*cleaned, *sprayed, cleaning(touchy()), at_the_bench(touchy())):
        said = " ".join(c.text for c in cautions)
        assert all(re.search(words, said) for words in _TOUCHY)


def test_every_hazard_of_the_catalogue_is_short_and_the_checks_name_known_ones() -> None:
    assert all(len(text) < 230 for _, text in HAZARDS.values())
    assert {c.hazard for cautions in WARNS.values() for c in cautions} <= set(HAZARDS)
