"""A pump from a few sizes: like itself when the sizes are, similar when they grow together."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.proportion import GUESSED, KnownSizes, in_proportion, like_it, same_sizes
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
        **ratings_of(like),
    )


def ratings_of(like: Pump) -> dict[str, float]:
    """What a pump's plates say."""
    return {
        "supply_rated": like.drive.supply_rated,
        "outlet_pressure": like.limits.outlet_pressure,
        "hose_rated": min(hose.rated_pressure for hose in like.hose),
        "filter_rated": like.filter.rated_pressure,
        "nozzle_rated": like.nozzle.rated_pressure,
    }


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
    other = {name for name in ours if ours[name] != pytest.approx(theirs.get(name))}
    assert ".build" in other
    # weight and metals are no matter of proportion: they are left open, never taken over
    open_again = {".mass", ".aluminium"}
    guesses = {name for name in other if name.startswith(".guessed")}
    assert len(guesses) == 13  # hose and nozzle too: nothing was said of them
    hoses = {f".hose.{n}.rated_pressure" for n in range(len(like.hose))}
    left = other - guesses - hoses
    assert left <= {".build", ".cylinder.limits_from", ".rod.limits_from"} | open_again


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


RATINGS = tuple(ratings_of(demo_pump("quay-air")))


@pytest.mark.parametrize("rating", RATINGS)
def test_what_can_hurt_is_asked_and_never_guessed(rating: str) -> None:
    told = own_sizes("quay-air").model_dump()
    with pytest.raises(ValidationError, match=rating):
        KnownSizes.model_validate({name: v for name, v in told.items() if name != rating})


@pytest.mark.parametrize("make", [in_proportion, like_it])
def test_ratings_are_those_given_whatever_the_pump_like_it_bears(make: Callable) -> None:
    like = demo_pump("quay-air")
    given = {"supply_rated": 5e5, "outlet_pressure": 2.1e7, "hose_rated": 2.2e7,
             "filter_rated": 2.3e7, "nozzle_rated": 2.4e7}  # fmt: skip
    made = make(like, own_sizes("quay-air").model_copy(update=given))
    assert ratings_of(made) == given
    assert {hose.rated_pressure for hose in made.hose} == {2.2e7}
    assert not set(made.guessed) & {"limits"}


def test_a_pump_of_the_same_build_has_the_guesses_of_the_one_it_is_like() -> None:
    like = demo_pump("quay-air").model_copy(update={"guessed": ("stack", "hose")})
    known = own_sizes("quay-air")
    assert like_it(like, known).guessed == ("stack", "hose")
    answered = known.model_copy(update={"hose_bore": 6e-3, "hose_length": 15.0})
    assert like_it(like, answered).guessed == ("stack",)
    assert like_it(like, known).mass == like.mass
    assert same_sizes(like, known)
    assert not same_sizes(like, known.model_copy(update={"bore": 0.039}))


def test_a_rod_as_thick_as_the_bore_is_refused_in_a_sentence() -> None:
    known = own_sizes("quay-air").model_copy(update={"bore": 0.03, "rod": 0.03, "stroke": 0.1})
    with pytest.raises(BadInput, match="rod must be thinner than the bore"):
        in_proportion(demo_pump("quay-air"), known)


@given(
    key=st.sampled_from(DEMO_PUMPS),
    bore=st.floats(0.006, 0.5),
    rod=st.floats(0.0045, 0.4),
    stroke=st.floats(0.006, 1.0),
)
def test_any_sizes_make_a_pump_that_can_be_kept_or_a_sentence(
    key: str, bore: float, rod: float, stroke: float
) -> None:
    known = own_sizes(key).model_copy(update={"bore": bore, "rod": rod, "stroke": stroke})
    try:
        made = in_proportion(demo_pump(key), known)
    except BadInput:
        return
    assert pump_from_toml(to_toml(made)) == made
    assert made.cylinder.length > made.stroke
