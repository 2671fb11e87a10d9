from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.reasons import Interval, Verdict
from wetend.advice.rebuild.fit import StackFit, StackLayer, fit_stack
from wetend.drawings import stack
from wetend.drawings.stack_rings import Frame, ball_of, rings_of, scale_of
from wetend.pump.measurements import StackMeasured
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.telling.reader import Reader

ReadBack = Callable[[str], Any]
TIN = (0.0001, 0.00025, 0.0005, 0.0005, 0.001)
FITS = {key: fit_stack(demo_pump(key), StackMeasured(tin=TIN), draws=500) for key in DEMO_PUMPS}


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("described", [True, False])
def test_the_fitted_stack_is_drawn_with_every_ring_named(
    key: str, described: bool, read_back: ReadBack
) -> None:
    fit = FITS[key]
    drawn = read_back(stack.section(fit, demo_pump(key) if described else None))
    assert drawn.stays_inside()
    assert sum(text.startswith("shim ") for text in drawn.texts) == len(fit.shims)
    assert f"{fit.lift * 1e3:.2f} mm" in drawn.texts
    for layer in fit.layers:
        assert f"{layer.height * 1e3:.2f} mm" in " ".join(drawn.texts)


def test_heights_are_said_in_inches_to_those_who_read_inches(read_back: ReadBack) -> None:
    drawn = read_back(stack.section(FITS["quay-air"], reader=Reader("imperial")))
    assert any(text.endswith(" in") for text in drawn.texts)
    assert not any(text.endswith(" mm") for text in drawn.texts)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_each_wrong_way_is_drawn_with_its_shims_where_it_has_them(
    key: str, read_back: ReadBack
) -> None:
    fit = FITS[key]
    assert fit.variants
    for each in fit.variants:
        svg = stack.variant(each, fit, demo_pump(key))
        drawn = read_back(svg)
        assert drawn.stays_inside()
        shims = svg.count('class="dw-ink-fill"')
        assert shims == len(each.on_top) + len(each.under)
        assert drawn.root[0].text == each.title


def test_the_drawn_lift_is_the_lift_at_the_drawing_s_scale() -> None:
    pump, fit = demo_pump("quay-air"), FITS["quay-air"]
    frame = Frame(axis=98, side=68, top=40, tall=300)
    scale = scale_of(fit.layers, frame)
    ball = ball_of(rings_of(fit.layers, frame, scale), fit.lift, scale, pump)
    assert ball is not None
    assert ball.lift == pytest.approx(fit.lift * scale, rel=0.01)
    assert ball.radius == pytest.approx(pump.foot_valve.ball_diameter / 2 * scale)


@st.composite
def fits(draw: st.DrawFn) -> StackFit:
    kinds = draw(st.lists(st.sampled_from(["seat", "soft-ring", "cage", "shim", "spacer"]),
                          max_size=14))  # fmt: skip
    layers = tuple(
        StackLayer(f"r{i}", kind, draw(st.text(max_size=40)), draw(st.floats(0, 0.2)), 0.01,
                   draw(st.floats(0, 0.4)), draw(st.floats(0, 0.4)), True)
        for i, kind in enumerate(kinds)
    )  # fmt: skip
    lift = draw(st.floats(-0.05, 0.2))
    return StackFit(
        layers, (), 0.0, Interval(0, 0, 0), "12:00", "12:00", "12:00", 0.0, 0.5, Verdict.WATCH,
        False, lift, Interval(lift, lift, lift), Verdict.FAIL, (), 0.0, 0.0, None, None, "", (),
        0, (), (),
    )  # fmt: skip


@costly(75)
@given(fit=fits())
def test_any_stack_is_drawn_inside_its_sheet(read_back: ReadBack, fit: StackFit) -> None:
    drawn = read_back(stack.section(fit))
    assert drawn.stays_inside()
