"""The rebuild card says what the plan says, and prints people's text letter for letter."""

from __future__ import annotations

import io
from datetime import UTC, datetime

import pypdf
import pytest

from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.plan import Found, plan_rebuild
from wetend.advice.safety.checklist import boxes_of
from wetend.advice.safety.zero import Proven, Zero, when
from wetend.advice.strip.tools import TOOLS
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.reports.rebuild_card import RebuildCard, rebuild_card
from wetend.reports.strip_card import NOT_PROVEN
from wetend.telling.reader import Reader

ISSUED = datetime(2031, 5, 4, 14, 32, tzinfo=UTC)
ALL = ToolBag(tools=tuple(t for t in TOOLS if t != "vice"), vice=True)


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(p.extract_text() for p in pages).split())


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_card_holds_every_step_with_its_sizes_torques_and_cautions(key: str) -> None:
    pump = demo_pump(key)
    fit = fit_stack(pump, StackMeasured(tin=(0.5e-3, 0.25e-3), lever=0.5), draws=2000)
    plan = plan_rebuild(pump, ALL, found=Found(fit, 0.5))
    told = text_of(rebuild_card(RebuildCard(pump, plan, fit, ISSUED, "v" * 13)))
    for step in plan.steps:
        assert step.title in told
    assert "Shims on top of the cage" in told
    assert "V-rings,lipsupwards" in "".join(told.split())  # wherever the line breaks
    assert "on the 500.0 mm lever" in told
    assert "Injection, however small" in told
    assert "first hour" in told


def test_the_card_says_who_proved_zero_or_has_the_list_to_tick() -> None:
    pump = demo_pump("yard-hydraulic")
    plan = plan_rebuild(pump, ALL)
    proof = Proven("1", "R. Okafor", ISSUED, "without a gauge: all tried", by_gauge=False)

    def card(zero: Zero | None) -> str:
        made = RebuildCard(pump, plan, None, ISSUED, zero=zero)
        return "".join(text_of(rebuild_card(made)).split())

    def close(text: str) -> str:
        return "".join(text.split())

    stands = card(Zero(stands=True, proven=proof, why_not=""))
    assert close(f"Zero proven by R. Okafor, {when(ISSUED)}, without a gauge: all tried.") in stands
    assert close(NOT_PROVEN) not in stands
    for zero in (None, Zero(stands=False, proven=proof, why_not="That was on another day.")):
        told = card(zero)
        assert close(NOT_PROVEN) in told
        for box in boxes_of("hydraulic"):
            assert told.index(close(box)) < told.index(close(plan.steps[0].title))
    assert close("That was on another day.") in told


def test_peoples_words_print_letter_for_letter() -> None:
    pump = demo_pump("quay-air")
    odd = "#let x = $1$ *bold* <b> \\ [it]"
    operations = tuple(
        o.model_copy(update={"back_title": odd}) if o.key == "wet-end-off" else o
        for o in pump.strip.operations
    )
    pump = pump.model_copy(
        update={"strip": pump.strip.model_copy(update={"operations": operations})}
    )
    card = RebuildCard(pump, plan_rebuild(pump, ALL), None, ISSUED)
    assert odd in text_of(rebuild_card(card, Reader("imperial")))


def test_without_a_tool_the_card_says_what_is_lacking() -> None:
    pump = demo_pump("quay-air")
    card = RebuildCard(pump, plan_rebuild(pump, ToolBag()), None, ISSUED)
    assert "cannot be reassembled with these tools" in text_of(rebuild_card(card)).lower()
