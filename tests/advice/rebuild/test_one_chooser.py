"""The stack's page and the stack calculator take the same shims from the same tin."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.stack import StackState, clamp_limits, read_stack
from wetend.pump.measurements import StackMeasured
from wetend.pump.toml import DEMO_PUMPS, demo_pump

THREADED = [key for key in DEMO_PUMPS if demo_pump(key).stack.held_by != "clamp-ring"]


def by_calculator(state: StackState, target: float) -> tuple[float, ...]:
    """What the calculator answers to the same stack, typed in."""
    stack = state.pump.stack
    turn = target - stack.datum if stack.hand == "right" else stack.datum - target
    soft = [1 / c for c in state.compliance if c > 0]
    typed = {
        "pitch": f"{stack.pitch!r} m",
        "starts": str(stack.starts),
        "hand": stack.hand,
        "heights": ", ".join(repr(float(h)) for h in state.heights) + " m",
        "spreads": ", ".join(repr(float(u)) for u in state.spreads) + " m",
        "depth": f"{state.depth!r} m",
        "depth_spread": f"{state.depth_spread!r} m",
        "target": f"{turn!r} rad",
        "within": f"{stack.target_within!r} rad",
    }
    if state.tin:
        typed["shims"] = ", ".join(repr(t) for t in state.tin) + " m"
    if soft:
        typed["stiffness"] = ", ".join(repr(float(k)) for k in soft) + " N/m"
        typed["clamp"] = f"{sum(clamp_limits(state)) / 2!r} N"
    found = calculate(find_calculator("stack-clock"), typed).outcome.values["best_shims"]
    assert isinstance(found, tuple)
    return found


@pytest.mark.parametrize("key", THREADED)
@settings(max_examples=60, deadline=None)
@given(
    tin=st.lists(st.integers(2, 60).map(lambda n: n * 25e-6), max_size=7),
    off=st.floats(-0.9e-3, 0.9e-3), spread=st.floats(1e-6, 200e-6), target=st.floats(0, 6.28),
)  # fmt: skip
def test_calculator_and_page_choose_one_set(
    key: str, tin: list[float], off: float, spread: float, target: float
) -> None:
    """Random tins, depths, spreads and targets; of such stacks 40 in 300 once differed."""
    pump = demo_pump(key)
    measured = StackMeasured(
        tin=tuple(tin), depth=pump.stack.depth + off, height_spread=spread, target=target,
        heights={pump.stack.parts[0].name: pump.stack.parts[0].height},
    )  # fmt: skip
    page = fit_stack(pump, measured, draws=1000).shims
    typed = by_calculator(read_stack(pump, measured), target)
    assert typed == pytest.approx(page)
    assert len(typed) == len(page)
