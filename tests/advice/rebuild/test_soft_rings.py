"""Soft rings are judged by their free height, and pictures of them as they are captioned."""

from __future__ import annotations

import pytest
from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.soft_rings import judge_ring, judge_rings, least_height, ring_looks
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.toml import DEMO_PUMPS, demo_pump

PUMPS = {key: demo_pump(key) for key in DEMO_PUMPS}


def _wrong(pump: Pump, spread: float) -> list[str]:
    parts = {p.name: p for p in pump.stack.parts}
    return [
        look.key for look in ring_looks(pump, spread)
        if judge_ring(parts[look.name], look.height, spread).verdict is not look.verdict
    ]  # fmt: skip


@pytest.mark.parametrize("key", PUMPS)
def test_each_pictures_own_height_is_judged_as_captioned(key: str) -> None:
    assert _wrong(PUMPS[key], 20e-6) == []
    looks = ring_looks(PUMPS[key], 20e-6)
    assert [look.key.rpartition("-")[2] for look in looks][:4] == ["new", "worn", "limit", "flat"]


@costly(40)
@given(pump=accepted_pumps(), spread=st.floats(1e-8, 2e-3))
def test_on_any_pump_too(pump: Pump, spread: float) -> None:
    assert _wrong(pump, spread) == []


def test_the_least_height_leaves_out_the_largest_squeeze() -> None:
    """Of the invented pump's lower ring: 2.00 mm, squeezed 12 % at most: 1.76 mm."""
    ring = next(p for p in PUMPS["quay-air"].stack.parts if p.kind == "soft-ring")
    assert least_height(ring) == pytest.approx(1.76e-3)


def test_only_measured_rings_are_judged() -> None:
    pump = PUMPS["quay-air"]
    assert judge_rings(pump, StackMeasured()) == ()
    said = judge_rings(pump, StackMeasured(heights={"soft-ring-lower": 1.5e-3}))
    assert [(r.name, r.verdict) for r in said] == [("soft-ring-lower", Verdict.REPLACE)]
