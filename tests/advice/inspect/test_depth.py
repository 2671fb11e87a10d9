"""Bores and rods place by place, roundness by dial, limits worked out from what damage does."""

from __future__ import annotations

import math

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.inspect.cylinder import dial_circles, groups, ovality, taper
from wetend.advice.inspect.damage import limits_of
from wetend.advice.inspect.judge import judge
from wetend.advice.reasons import Verdict
from wetend.errors import BadInput
from wetend.pump.measurements import CylinderMeasured, RodMeasured, SeatMeasured
from wetend.pump.toml import demo_coatings, demo_pump

QUAY = demo_pump("quay-air")
BORE = QUAY.cylinder.bore
COATINGS = {c.key: c for c in demo_coatings()}


def figures(judged) -> dict[str, float]:
    return {f.label: f.value for f in judged.figures}


def lobed(lobes: int, height: float, count: int = 24, off: float = 0.0) -> tuple[float, ...]:
    """Dial readings round a bore with lobes, the dial off its centre by ``off``."""
    turns = [math.tau * k / count for k in range(count)]
    return tuple(height / 2 * math.cos(lobes * a) + off * math.cos(a) for a in turns)


def test_a_bore_of_three_lobes_hides_from_diameters_and_shows_on_the_dial() -> None:
    """ISO 12181-2 warns of it: an odd-lobed section measures the same across everywhere."""
    across = [
        BORE + reading + lobed(3, 100e-6)[(i + 12) % 24]
        for i, reading in enumerate(lobed(3, 100e-6))
    ]
    by_diameter = judge(QUAY, None, CylinderMeasured(diameters=tuple(across[:6]), per_height=6))
    assert by_diameter.verdict is Verdict.KEEP
    by_dial = judge(QUAY, None, CylinderMeasured(dial=lobed(3, 100e-6)))
    assert by_dial.verdict is Verdict.REPLACE
    assert figures(by_dial)["Roundness, minimum zone"] == pytest.approx(100e-6, rel=0.02)


@given(st.floats(-80e-6, 80e-6), st.sampled_from([2, 3, 5]), st.floats(5e-6, 80e-6))
@costly(8)
def test_a_dial_off_the_centre_does_not_make_a_bore_out_of_round(
    off: float, lobes: int, height: float
) -> None:
    fit, ring = dial_circles(BORE, lobed(lobes, height, 60, off=off))
    # off its centre a circle reads as a limacon: two lobes of off^2 / (2 R) are added
    limacon = 1.2 * off**2 / BORE
    assert ring.roundness == pytest.approx(height, abs=0.03 * height + limacon)
    assert ring.roundness <= fit.roundness * (1 + 1e-9)
    assert math.hypot(fit.x, fit.y) == pytest.approx(abs(off), abs=1e-6)


def test_diameters_are_grouped_height_by_height() -> None:
    sizes = (1.0, 1.2, 1.1, 2.0, 2.1, 2.3, 9.0)
    assert groups(sizes, 3) == ((1.0, 1.2, 1.1), (2.0, 2.1, 2.3))
    assert ovality(sizes, 3) == pytest.approx(0.3)
    assert taper(sizes, 3) == pytest.approx(6.4 / 3 - 3.3 / 3)


def test_each_height_is_told_with_its_mean_and_its_ovality() -> None:
    measured = CylinderMeasured(
        diameters=(0.03802, 0.03804, 0.03806, 0.03803, 0.03801, 0.03801), heights=(0.12, 0.07, 0.02)
    )
    told = figures(judge(QUAY, None, measured))
    assert told["Mean diameter 120 mm up"] == pytest.approx(0.03803)
    assert told["Out of round 70 mm up"] == pytest.approx(30e-6)
    assert told["Out of round 20 mm up"] == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    "measured",
    [
        CylinderMeasured(diameters=(0.038, 0.038), heights=(0.1, 0.2)),
        CylinderMeasured(dial=(1e-6, 2e-6, 3e-6)),
        RodMeasured(diameters=(0.027, 0.027), stations=(0.2,)),
    ],
)
def test_places_that_do_not_fit_the_sizes_are_refused(measured) -> None:
    with pytest.raises(BadInput, match=r"for each|at least"):
        judge(QUAY, None, measured)


def test_a_rod_is_judged_where_packings_run() -> None:
    worn = RodMeasured(diameters=(0.02699, 0.02680, 0.027), stations=(0.16, 0.05, 0.3))
    judged = judge(QUAY, None, worn)
    assert judged.verdict is Verdict.KEEP  # the thin place lies outside the packed travel
    told = figures(judged)
    assert told["Diameter at 50 mm, outside it"] == 0.0268
    assert told["Wear against the part no packing touches"] == pytest.approx(10e-6)
    thin = RodMeasured(diameters=(0.02680, 0.027), stations=(0.2, 0.3))
    assert judge(QUAY, None, thin).verdict is Verdict.REPLACE


@pytest.mark.parametrize("key", sorted(COATINGS))
@pytest.mark.parametrize(
    ("measured", "leak"),
    [
        (CylinderMeasured(score_depth=1e-3, score_direction="lengthwise"), "piston_leak"),
        (RodMeasured(scratch_depth=1e-3, scratch_at=0.2), "outside_leak"),
        (SeatMeasured(chip_depth=1e-3, band_width=1e-3), "foot_leak"),
    ],
)
def test_a_computed_limit_is_the_depth_that_leaks_what_is_allowed(key, measured, leak) -> None:
    """Put the computed limit back in as a mark: it passes just the leak allowed."""
    coating = COATINGS[key]
    check = next(c for c in judge(QUAY, coating, measured).checks if "epth" in c.title
                 or "Scratch" in c.title)  # fmt: skip
    field = next(n for n in ("score_depth", "scratch_depth", "chip_depth")
                 if getattr(measured, n, None))  # fmt: skip
    limits = limits_of(QUAY, coating)
    at_limit = judge(QUAY, coating, measured.model_copy(update={field: check.upper}))
    if "computed" in check.limit_from:
        assert at_limit.leak == pytest.approx(getattr(limits, leak), rel=1e-3)
    else:  # the trade's own figure is the stricter one
        assert at_limit.leak <= getattr(limits, leak) * 1.001
        assert "would allow" in check.limit_from or check.limit_from == "common practice"


@pytest.mark.parametrize("key", sorted(COATINGS))
def test_a_chip_wider_than_the_seat_has_a_limit_too(key: str) -> None:
    """Any depth of it leaks too much: the limit is the least the search knows, not an error."""
    measured = SeatMeasured(band_width=0.156e-3, chip_width=50e-3)
    judged = judge(QUAY, COATINGS[key], measured)
    assert judged.why
    deep = judge(QUAY, COATINGS[key], measured.model_copy(update={"chip_depth": 9e-5}))
    check = next(c for c in deep.checks if "epth" in c.title)
    assert 1e-7 <= check.upper < 9e-5
    assert deep.verdict is not Verdict.KEEP


def test_the_makers_limit_stands_whatever_the_leak() -> None:
    rod = QUAY.rod.model_copy(update={"limits_from": "maker", "scratch_limit": 30e-6})
    pump = QUAY.model_copy(update={"rod": rod})
    for coating in COATINGS.values():
        check = judge(pump, coating, RodMeasured(scratch_depth=5e-6, scratch_at=0.2)).checks[0]
        assert (check.upper, check.limit_from) == (30e-6, "from the maker")


def test_the_guard_band_is_where_the_verdict_turns() -> None:
    limit = QUAY.cylinder.wear_limit
    guard = judge(QUAY, None, CylinderMeasured(diameters=(BORE,))).checks[0].guard
    for over, verdict in (
        (-1.02 * guard, Verdict.KEEP), (-0.98 * guard, Verdict.MEASURE_AGAIN),
        (0.98 * guard, Verdict.MEASURE_AGAIN), (1.02 * guard, Verdict.REPLACE),
    ):  # fmt: skip
        bore = CylinderMeasured(diameters=(BORE + limit + over,))
        assert judge(QUAY, None, bore).checks[0].verdict is verdict
