from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from wetend.advice.safety.checklist import boxes_of
from wetend.advice.safety.hazards import said_once
from wetend.advice.safety.injection import ON_PAPER
from wetend.advice.safety.zero import Proven, Zero, when
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.reports.blocks import Step
from wetend.reports.strip_card import (
    MANUAL_FIRST,
    NOT_PROVEN,
    STANDS,
    strip_card,
    strip_document,
)
from wetend.telling.reader import METRIC

Pages = Callable[[bytes], list[str]]
WHEN = datetime(2031, 5, 4, tzinfo=UTC)
ALL_TOOLS = tuple(tool_titles())


SITE_TOOLS = (
    "timber-block", "soft-drift", "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable",
    "hammer", "tube", "hexagon-keys", "circlip-pliers", "packing-hook",
)  # fmt: skip


def close(text: str) -> str:
    """Without spaces: a PDF breaks lines where it likes."""
    return "".join(text.split())


@pytest.mark.parametrize("tools", [ALL_TOOLS, SITE_TOOLS], ids=["all tools", "on site"])
@pytest.mark.parametrize("goal", ["foot-valve", "whole"])
@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_card_has_every_step_in_order_with_its_cautions_at_it(
    key: str, goal: str, tools, pages: Pages
) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=tools, goal=goal))
    text = close(" ".join(pages(strip_card(pump, plan, issued=WHEN))))
    assert close(MANUAL_FIRST.upper()) in text
    places = [text.index(close(step.operation.title)) for step in plan.steps]
    assert places == sorted(places)
    told = said_once([step.cautions for step in plan.steps])
    ends = [*places[1:], len(text)]
    for step, cautions, start, end in zip(plan.steps, told, places, ends, strict=True):
        own = text[start:end]
        for tool in step.tools:
            assert close(tool.partition(" in place of ")[0]) in own
        for caution in cautions:
            place = own.find(close(caution.text))
            assert place >= 0, (step.number, caution)
            if step.operation.how:
                assert place < own.find(close(step.operation.how))


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_whole_strip_goes_drawn_six_acts_a_page(key: str, pages: Pages) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=SITE_TOOLS, goal="whole"))
    assert len(plan.steps) >= 18
    proof = Proven("1", "R. Okafor", WHEN, "by the gauge: needle on its stop", by_gauge=True)
    zero = Zero(stands=True, proven=proof, why_not="")
    for made in (
        strip_card(pump, plan, issued=WHEN, zero=zero),
        strip_card(pump, plan, issued=WHEN),
    ):
        texts = [close(text) for text in pages(made)]
        held = [sum(close(s.operation.title) in text for s in plan.steps) for text in texts]
        assert len(texts) == 4
        assert 6 <= max(held) <= 7  # a title may hold another
        assert sum(held) >= len(plan.steps)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_each_step_stands_beside_its_picture(key: str) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=SITE_TOOLS, goal="whole"))
    made = strip_document(pump, plan, issued=WHEN)
    steps = [b for s in made.sections for b in s.blocks if isinstance(b, Step)]
    assert len(steps) == len(plan.steps)
    for step in steps:
        assert step.picture
        assert callable(step.picture.svg)
        drawn = step.picture.svg(METRIC)
        assert "dw-act" in drawn
        assert "href" not in drawn  # paper has nothing to point to


def test_what_is_shielded_is_said_where_it_begins_with_how_long(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=SITE_TOOLS, goal="whole"))
    last = max(step.number for step in plan.steps if "chromed rod" in step.shielded)
    text = close(" ".join(pages(strip_card(pump, plan, issued=WHEN))))
    assert text.count(close("chromed rod.")) >= 1
    assert close(f"Shielded, up to step {last}: chromed rod.") in text


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_where_zero_is_not_proven_the_list_to_tick_stands_before_the_first_step(
    key: str, pages: Pages
) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS))
    text = close(" ".join(pages(strip_card(pump, plan, issued=WHEN, visit_id="ab" * 16))))
    first = text.index(close(plan.steps[0].operation.title))
    for line in (*boxes_of(pump.drive.kind), NOT_PROVEN, ON_PAPER):
        assert text.index(close(line)) < first
    assert "abababababab" in text


def test_the_card_says_who_proved_zero_or_what_ended_it(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS, goal="foot-valve"))
    proof = Proven("1", "R. Okafor", WHEN, "without a gauge: all tried", by_gauge=False)

    def card(zero: Zero) -> str:
        return close(" ".join(pages(strip_card(pump, plan, issued=WHEN, zero=zero))))

    stands = card(Zero(stands=True, proven=proof, why_not=""))
    assert close(f"Zero proven by R. Okafor, {when(WHEN)}, without a gauge: all tried.") in stands
    assert close(STANDS) in stands
    assert close(NOT_PROVEN) not in stands
    lapsed = card(Zero(stands=False, proven=proof, why_not="Since then: strokes timed."))
    assert close("Since then: strokes timed.") in lapsed
    assert close(NOT_PROVEN) in lapsed
    assert close(STANDS) not in lapsed


def test_a_strip_that_cannot_be_done_here_says_what_is_lacking(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=()))
    assert not plan.possible
    text = " ".join(pages(strip_card(pump, plan, issued=WHEN)))
    assert "CANNOT BE DONE WITH THESE TOOLS" in text
    for why in plan.why_not:
        assert why.replace(" ", "") in text.replace(" ", "")


def test_the_same_card_gives_the_same_bytes() -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS, goal="foot-valve"))
    assert strip_card(pump, plan, issued=WHEN) == strip_card(pump, plan, issued=WHEN)
