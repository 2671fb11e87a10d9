"""Worn nozzles and heated hoses as people type them."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

HOSE = {"law": "newtonian", "viscosity": "1.2 Pa*s", "density": "1.4 kg/L",
        "measured_at": "20 degC", "inlet": "20 degC", "flow": "1.8 L/min", "bore": "9.5 mm",
        "length": "30 m"}  # fmt: skip


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_a_fifth_more_hole_leaves_half_the_pressure() -> None:
    out = run("nozzle-wear", flow_new="2 L/min", flow_now="2.88 L/min", volume="900 L")
    assert out.outcome.values["growth"] == pytest.approx(0.2)
    assert out.outcome.values["pressure_left"] == pytest.approx(1 / 1.2**4)
    assert out.outcome.values["volume_left"] == 0.0
    assert any("Past its limit" in c for c in out.cautions)


def test_what_is_left_to_spray_and_a_blocked_nozzle() -> None:
    out = run("nozzle-wear", flow_new="2 L/min", flow_now="2.0808 L/min", volume="100 L",
              growth_limit="10 %").outcome.values  # fmt: skip
    assert out["growth"] == pytest.approx(0.02)
    assert out["volume_left"] == pytest.approx(0.4)
    blocked = run("nozzle-wear", flow_new="2 L/min", flow_now="1.5 L/min", volume="100 L")
    assert any("blocked" in c for c in blocked.cautions)
    with pytest.raises(BadInput, match="one nozzle"):
        run("nozzle-wear", flow_new="2 L/min", flow_now="0.5 L/min")


def test_a_nozzle_that_passes_as_much_as_when_new_is_neither_worn_nor_blocked() -> None:
    out = run("nozzle-wear", flow_new="2 L/min", flow_now="2 L/min", volume="100 L")
    assert out.outcome.values["growth"] == 0.0
    assert not out.outcome.cautions


@pytest.mark.parametrize(("inlet", "doubted"), [("320 K", False), ("321 K", True)])
def test_a_law_is_doubted_more_than_30_kelvin_from_where_it_was_measured(
    inlet: str, doubted: bool
) -> None:
    # The bound is our own, from common practice, no source.
    out = run(
        "heated-hose", **(HOSE | {"measured_at": "290 K", "inlet": inlet}), surroundings=inlet
    )
    assert bool(out.outcome.cautions) is doubted


def test_a_jacket_saves_pressure_and_none_is_hose_loss() -> None:
    warm = run("heated-hose", **HOSE, surroundings="45 degC").outcome.values
    assert 293.15 < warm["outlet"] < 318.15
    assert warm["pressure_loss"] < warm["without_change"]
    plain = run("hose-loss", law="newtonian", viscosity="1.2", density="1400", flow="1.8 L/min",
                bore="9.5 mm", length="30 m").outcome.values  # fmt: skip
    assert warm["without_change"] == pytest.approx(plain["pressure_loss"], rel=1e-9)
    cold = run("heated-hose", **HOSE, surroundings="-5 degC").outcome.values
    assert cold["pressure_loss"] > cold["without_change"]
