"""A pump from a few sizes: like itself when the sizes are, similar when they grow together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.pump.proportion import GUESSED, KnownSizes, in_proportion
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_from_toml, to_toml

FIGURES = 1e-3
"""Guessed sizes are told to four figures."""


def own_sizes(key: str, scale: float = 1.0) -> KnownSizes:
    like = demo_pump(key)
    return KnownSizes(
        like=key,
        bore=like.cylinder.bore * scale,
        rod=like.rod.diameter * scale,
        stroke=like.stroke * scale,
    )


def flat(value: object, path: str = "") -> dict[str, object]:
    """Every figure and word of a description by its path."""
    if isinstance(value, dict):
        return {k: v for n, w in value.items() for k, v in flat(w, f"{path}.{n}").items()}
    if isinstance(value, tuple | list):
        return {k: v for n, w in enumerate(value) for k, v in flat(w, f"{path}.{n}").items()}
    return {path: value}


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_its_own_sizes_give_the_pump_back(key: str) -> None:
    like = demo_pump(key)
    made = in_proportion(like, own_sizes(key))
    assert made.build == f"{like.build}, {GUESSED}"
    assert in_proportion(made, own_sizes(key)).build == made.build
    ours, theirs = flat(made.model_dump()), flat(like.model_dump())
    other = {name for name in ours if ours[name] != pytest.approx(theirs[name])}
    assert ".build" in other
    # weight and metals are no matter of proportion: they are left open, never taken over
    open_again = {".mass", ".aluminium"}
    assert other <= {".build", ".cylinder.limits_from", ".rod.limits_from"} | open_again


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_grown_by_half_it_displaces_as_the_cube_and_gives_the_same_pressures(key: str) -> None:
    """Geometric similarity: volumes go with the cube, forces at equal pressure with the square."""
    like, made = demo_pump(key), in_proportion(demo_pump(key), own_sizes(key, 1.5))
    assert made.displacement == pytest.approx(like.displacement * 1.5**3)
    assert made.drive.friction / made.upper_area == pytest.approx(
        like.drive.friction / like.upper_area, rel=FIGURES
    )
    assert made.stack.clamp_low / made.foot_valve.ball_diameter**2 == pytest.approx(
        like.stack.clamp_low / like.foot_valve.ball_diameter**2, rel=FIGURES
    )
    sprung = like.foot_valve.model_copy(update={"spring_force": 12.0})
    larger = in_proportion(like.model_copy(update={"foot_valve": sprung}), own_sizes(key, 1.5))
    assert larger.foot_valve.spring_force == pytest.approx(12.0 * 1.5**2, rel=FIGURES)
    squeeze = [p.stiffness * p.height / made.stack.clamp_low
               for p in made.stack.parts if p.kind == "soft-ring"]  # fmt: skip
    assert squeeze == pytest.approx(
        [p.stiffness * p.height / like.stack.clamp_low
         for p in like.stack.parts if p.kind == "soft-ring"], rel=FIGURES
    )  # fmt: skip


def test_the_gap_the_shims_fill_and_the_pitch_stay() -> None:
    like, made = (
        demo_pump("quay-air"),
        in_proportion(demo_pump("quay-air"), own_sizes("quay-air", 2)),
    )
    assert made.stack.pitch == like.stack.pitch
    assert made.stack.depth - sum(p.height for p in made.stack.parts) == pytest.approx(
        like.stack.depth - sum(p.height for p in like.stack.parts)
    )


def test_what_is_known_is_taken_as_said() -> None:
    known = own_sizes("quay-air").model_copy(
        update={"ratio": 55.0, "outlet_pressure": 4e7, "hose_bore": 6e-3, "hose_length": 20.0,
                "orifice": 4e-4}
    )  # fmt: skip
    made = in_proportion(demo_pump("quay-air"), known)
    assert (made.drive.ratio, made.limits.outlet_pressure, made.nozzle.orifice) == (55.0, 4e7, 4e-4)
    assert [(h.bore, h.length) for h in made.hose] == [(6e-3, 20.0)]


@pytest.mark.parametrize("weak", [0, 1])
def test_one_hose_for_several_bears_no_more_than_the_weakest_of_them(weak: int) -> None:
    # The weakest part governs: common practice, no source.
    like = demo_pump("quay-air")
    hoses = tuple(
        hose.model_copy(update={"rated_pressure": 2e7 if number == weak else 5e7})
        for number, hose in enumerate(like.hose)
    )
    known = own_sizes("quay-air").model_copy(update={"hose_length": 20.0})
    made = in_proportion(like.model_copy(update={"hose": hoses}), known)
    assert [hose.rated_pressure for hose in made.hose] == [2e7]


def test_a_rod_as_thick_as_the_bore_is_refused_in_a_sentence() -> None:
    known = KnownSizes(bore=0.03, rod=0.03, stroke=0.1)
    with pytest.raises(BadInput, match="rod must be thinner than the bore"):
        in_proportion(demo_pump("quay-air"), known)


@given(
    key=st.sampled_from(DEMO_PUMPS),
    bore=st.floats(0.006, 0.5),
    rod=st.floats(0.0045, 0.4),
    stroke=st.floats(0.006, 1.0),
)
def test_any_sizes_make_a_pump_that_can_be_kept_or_a_sentence(key, bore, rod, stroke) -> None:
    known = KnownSizes(like=key, bore=bore, rod=rod, stroke=stroke)
    try:
        made = in_proportion(demo_pump(key), known)
    except BadInput:
        return
    assert pump_from_toml(to_toml(made)) == made
    assert made.cylinder.length > made.stroke
