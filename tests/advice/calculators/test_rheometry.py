"""Flow laws, warming and thinning as people type them."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_two_readings_give_the_bingham_law_of_the_book() -> None:
    # Coulson and Richardson vol. 1, 6th ed., ex. 3.10, as transcribed in the FOSSEE Python Textbook
    # Companions: 14.345 Pa and 0.1505 Pa s
    out = run("rheology-fit", rates="10, 50", stresses="15.85 Pa, 21.87 Pa", law="bingham")
    assert out.outcome.values["yield_stress"] == pytest.approx(14.345, rel=1e-4)
    assert out.outcome.values["consistency"] == pytest.approx(0.1505, rel=1e-4)
    assert any("ten to one" in c for c in out.cautions)


def test_a_law_that_does_not_fit_says_so_and_lists_must_match() -> None:
    bent = run("rheology-fit", rates="1, 10, 100", stresses="10, 11, 60", law="power-law")
    assert any("another" in c for c in bent.cautions)
    with pytest.raises(BadInput, match="each rate"):
        run("rheology-fit", rates="1, 10", stresses="5", law="bingham")


def test_the_readings_choose_the_law_and_tell_its_intervals() -> None:
    # made from 12 Pa, 6.5 Pa s^0.6, 0.6 with a per cent or two of scatter
    rates = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000]
    scatter = [1.01, 0.99, 1.02, 0.98, 1.0, 1.01, 0.99, 1.0, 1.01, 0.99]
    stresses = [(12 + 6.5 * r**0.6) * s for r, s in zip(rates, scatter, strict=True)]
    out = run("rheology-fit", rates=", ".join(map(str, rates)),
              stresses=", ".join(f"{s:.4f}" for s in stresses)).outcome.values  # fmt: skip
    assert out["law"] == "herschel-bulkley"
    for name, truth in (("yield_stress", 12.0), ("consistency", 6.5), ("index", 0.6)):
        assert out[f"{name}_low"] < truth < out[f"{name}_high"]
    assert str(out["evidence"]).startswith("herschel-bulkley")
    with pytest.raises(BadInput, match="five readings"):
        run("rheology-fit", rates="1, 10", stresses="5, 9")


def test_a_second_reading_replaces_the_assumption() -> None:
    given = {"viscosity": "800 mPa*s", "measured_at": "10 degC", "wanted_at": "20 degC"}
    guess = run("warm-viscosity", **given)
    assert any("assumed" in c for c in guess.cautions)
    known = run("warm-viscosity", **given, second_viscosity="500 mPa*s", second_at="20 degC")
    assert known.outcome.values["viscosity"] == pytest.approx(0.5)
    assert not any("assumed" in c for c in known.cautions)
    with pytest.raises(BadInput, match="two different"):
        run("warm-viscosity", **given, second_viscosity="500 mPa*s", second_at="10 degC")


def test_far_from_the_reading_is_a_guess() -> None:
    out = run("warm-viscosity", viscosity="1 Pa*s", measured_at="5 degC", wanted_at="45 degC")
    assert any("30 K" in c for c in out.cautions)


def test_thinner_needed_gives_the_viscosity_wanted() -> None:
    need = run("thinning", viscosity="800 mPa*s", wanted="400 mPa*s").outcome.values
    got = run("thinning", viscosity="800 mPa*s", thinner=repr(need["thinner_needed"]))
    assert got.outcome.values["viscosity"] == pytest.approx(0.4)
    beyond = run("thinning", viscosity="800 mPa*s", wanted="0.5 mPa*s")
    assert "thinner_needed" not in beyond.outcome.values
    assert any("No amount" in c for c in beyond.cautions)
