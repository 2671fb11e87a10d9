"""Cups, hoses, nozzles and films as people type them."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput, NoAnswer
from wetend.materials.cups import cups

HOSE = {"flow": "2 L/min", "bore": "9.5 mm", "length": "30 m", "density": "1.42 kg/L"}
LAWS = {
    "newtonian": {"viscosity": "500 mPa*s"},
    "power-law": {"consistency": "3.2 Pa*s^n", "index": "0.72"},
    "bingham": {"yield_stress": "6 Pa", "plastic_viscosity": "180 mPa*s"},
    "herschel-bulkley": {"yield_stress": "12 Pa", "consistency": "6.5 Pa*s^n", "index": "0.6"},
}
SOLVENT = {**HOSE, "law": "newtonian", "viscosity": "0.7 mPa*s", "density": "0.88 kg/L"}


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


@pytest.mark.parametrize("law", LAWS)
def test_hose_loss_of_each_law(law: str) -> None:
    out = run("hose-loss", law=law, **HOSE, **LAWS[law]).outcome
    assert out.values["pressure_loss"] > 0
    assert out.values["reynolds"] > 0
    assert out.values["regime"] == "laminar"
    assert not out.cautions


@pytest.mark.parametrize("law", LAWS)
def test_hose_loss_says_what_a_law_lacks(law: str) -> None:
    for missing in LAWS[law]:
        rest = {k: v for k, v in LAWS[law].items() if k != missing}
        with pytest.raises(BadInput, match=missing.replace("_", " ")):
            run("hose-loss", law=law, **HOSE, **rest)


def test_hose_loss_names_what_it_did_not_use() -> None:
    plain = run("hose-loss", **SOLVENT)
    told = run("hose-loss", **SOLVENT, index="0.5", yield_stress="3 Pa")
    assert told.outcome.values == plain.outcome.values
    assert sum("ignored" in c for c in told.cautions) == 2


def test_hose_loss_at_rest_is_what_starts_the_liquid() -> None:
    still = {**HOSE, "flow": "0"}
    out = run("hose-loss", law="bingham", **still, **LAWS["bingham"])
    assert out.outcome.values["pressure_loss"] == pytest.approx(4 * 6 * 30 / 0.0095)
    assert any("starts" in c for c in out.cautions)
    soft = run(
        "hose-loss", law="bingham", **still, **(LAWS["bingham"] | {"yield_stress": "0.5 Pa"})
    )
    assert len(soft.outcome.cautions) == len(out.outcome.cautions) == 1
    none = run("hose-loss", law="newtonian", **still, **LAWS["newtonian"])
    assert none.outcome.values["pressure_loss"] == 0


@pytest.mark.parametrize(
    ("flow", "regime"),
    [("0.1 L/min", "laminar"), ("1 L/min", "between laminar and turbulent"),
     ("10 L/min", "turbulent")],
)  # fmt: skip
def test_hose_loss_says_the_kind_of_flow(flow: str, regime: str) -> None:
    out = run("hose-loss", **{**SOLVENT, "flow": flow})
    assert out.outcome.values["regime"] == regime
    assert any("flickers" in c for c in out.cautions) == regime.startswith("between")


def test_turbulent_bingham_flow_tells_the_other_published_law_and_can_take_it() -> None:
    slurry = {"law": "bingham", "yield_stress": "3.8 Pa", "plastic_viscosity": "6.86 mPa*s",
              "density": "1530 kg/m3", "bore": "20.6 mm", "length": "1 m",
              "flow": "0.0011565 m3/s"}  # fmt: skip
    usual = run("hose-loss", **slurry)
    assert any("darby-melson gives" in c for c in usual.cautions)
    other = run("hose-loss", **slurry, turbulent="darby-melson")
    assert other.outcome.values["pressure_loss"] < usual.outcome.values["pressure_loss"]
    with pytest.raises(BadInput, match="bingham"):
        run("hose-loss", **SOLVENT, turbulent="darby-melson")


@pytest.mark.parametrize("cup", list(cups().rows))
def test_every_zahn_result_and_no_other_carries_its_warning(cup: str) -> None:
    out = run("cup-viscosity", cup=cup, time="70 s")
    warned = any("disagree" in c and "33 %" in c for c in out.cautions)
    assert warned == cup.startswith("zahn")


@pytest.mark.parametrize("cup", list(cups().rows))
def test_every_cup_outside_its_seconds_carries_a_caution(cup: str) -> None:
    row = cups().find(cup)
    for time, inside in ((row.longest, True), (row.longest + 1, False), (row.shortest, True)):
        out = run("cup-viscosity", cup=cup, time=f"{time} s")
        assert any("outside" in c for c in out.cautions) != inside
    assert f"{row.shortest:g} to {row.longest:g} s" in out.validity


def test_a_cup_that_ran_out_at_once_has_no_answer() -> None:
    with pytest.raises(NoAnswer, match="smaller hole"):
        run("cup-viscosity", cup="zahn-1", time="20 s")


def test_density_gives_the_dynamic_viscosity() -> None:
    values = run("cup-viscosity", cup="ford-4", time="80 s", density="1.2 kg/L").outcome.values
    assert values["viscosity"] == pytest.approx(290.7135e-6 * 1200)


def test_nozzle_flow_with_viscosity_is_less_and_warns_of_skin_only_where_it_must() -> None:
    thin = run("nozzle-flow", orifice="21 thou", pressure="200 bar", density="1.2 kg/L")
    thick = run("nozzle-flow", orifice="21 thou", pressure="200 bar", density="1.2 kg/L",
                viscosity="200 mPa*s", land="0.3 mm")  # fmt: skip
    assert 0 < thick.outcome.values["flow"] < thin.outcome.values["flow"]
    assert [c.hazard for c in thin.warns] == ["injection"]
    low = run("nozzle-flow", orifice="21 thou", pressure="6 bar", density="1.2 kg/L")
    assert not low.warns


def test_coverage_with_loss_and_thinner() -> None:
    values = run("coverage", dry_film="100 um", volume_solids="65 %", loss="30 %",
                 thinner="10 %").outcome.values  # fmt: skip
    assert values["theoretical_coverage"] == pytest.approx(6500)
    assert values["practical_coverage"] == pytest.approx(4550)
    assert values["wet_film"] == pytest.approx(169.23e-6, rel=1e-4)


def test_coverage_without_loss_says_so() -> None:
    out = run("coverage", dry_film="4 mils", volume_solids="65 %")
    assert any("No loss" in c for c in out.cautions)
    with pytest.raises(BadInput, match="volume solids"):
        run("coverage", dry_film="4 mils", volume_solids="65")


def test_the_coating_for_an_area_is_its_film_over_solids_and_loss() -> None:
    found = run("coverage", dry_film="125 um", volume_solids="65 %", loss="30 %", area="100 m2")
    assert found.outcome.values["volume"] == pytest.approx(100 * 125e-6 / 0.65 / 0.7)
    assert "volume" not in run("coverage", dry_film="125 um", volume_solids="65 %").outcome.values


def test_another_cup_comes_with_its_own_cautions_once() -> None:
    found = run("cup-viscosity", cup="ford-4", time="36 s", other_cup="zahn-2")
    assert sum("ASTM D4212" in c for c in found.cautions) == 1
    same = run("cup-viscosity", cup="zahn-2", time="30 s", other_cup="zahn-2")
    assert same.outcome.values["other_time"] == pytest.approx(30.0)
    assert sum("ASTM D4212" in c for c in same.cautions) == 1
    thick = run("cup-viscosity", cup="ford-4", time="90 s", other_cup="zahn-1")
    assert any("outside" in c and "Zahn" in c for c in thick.cautions)
