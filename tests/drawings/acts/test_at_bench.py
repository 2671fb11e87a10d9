"""Cleaning and the last look are drawn: what is greased, what stays dry, what is looked at."""

from __future__ import annotations

from html import unescape
from xml.etree import ElementTree

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from svg_points import off_sheet

from wetend.advice.rebuild.plan import plan_rebuild
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.acts.at_bench import AT_BENCH, DRY
from wetend.drawings.acts.picture import pictures_of
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}


@pytest.mark.parametrize("key", PUMPS)
def test_no_step_of_a_rebuild_lacks_its_picture(key: str) -> None:
    pump = PUMPS[key]
    bag = ToolBag(tools=tuple(tool_titles(pump)), vice=True)
    strip = plan_strip(pump, bag).steps
    steps = plan_rebuild(pump, bag, done=[s.operation.key for s in strip]).steps
    asked = [(s.key, s.title, s.used) for s in steps]
    assert {"clean", "look-over"} <= {s.key for s in steps}
    for step, svg in zip(steps, pictures_of(pump).rebuild_steps(asked), strict=True):
        assert svg, step.key
        assert len(svg) < 20_000


@pytest.mark.parametrize("key", PUMPS)
@pytest.mark.parametrize("alone", [True, False])
def test_ball_and_seat_stay_dry_and_all_else_has_its_film(key: str, alone: bool) -> None:
    svg = pictures_of(PUMPS[key]).between("clean", "Clean", alone=alone)
    told = ElementTree.fromstring(svg)[1].text or ""
    greased, dry = told.split("Dry: ")
    assert "foot-valve ball" in dry
    assert "foot-valve seat" in dry
    assert "ball" not in greased.replace("Laid out on a clean cloth", "")
    assert "piston rod" in greased
    assert svg.count("dw-risk") == len(DRY) + 1  # each struck through, and once in the key
    assert ("href" in svg) is not alone


def test_the_last_look_says_what_to_look_at() -> None:
    svg = unescape(pictures_of(PUMPS["quay-air"]).between("look-over", "Look"))
    for said in ("Drive still off", "tools and rags counted", "Trigger locked", "Dump valve open"):
        assert said in svg


@costly(15)
@given(pump=accepted_pumps())
def test_any_pump_is_laid_out_on_its_sheet(pump: Pump) -> None:
    for key in AT_BENCH:
        svg = pictures_of(pump).between(key, "Step", alone=True)
        assert off_sheet(svg, slack=8) == [], key
