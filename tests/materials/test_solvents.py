"""Solvents against reference equations and handbook correlations."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from chemicals import vapor_pressure, viscosity, volume
from chemicals.dippr import EQ101, EQ105
from chemicals.identifiers import CAS_from_any, search_chemical

from wetend.materials.solvents import Solvent, find_solvent, solvents
from wetend.pump.toml import demo_coatings

TEMPERATURES = (283.15, 293.15, 298.15, 303.15, 313.15)
FIVE = ["C1", "C2", "C3", "C4", "C5"]


@cache
def perry() -> tuple[Any, Any, Any]:
    """Perry's tables of viscosity, vapour pressure and density, which load on first use."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the library's own, about how it reads its files
        return (
            viscosity.mu_data_Perrys_8E_2_313,
            vapor_pressure.Psat_data_Perrys2_8,
            volume.rho_data_Perry_8E_105_l,
        )


@pytest.mark.parametrize("temperature", TEMPERATURES)
@pytest.mark.parametrize(("key", "fluid"), [("water", "Water"), ("toluene", "Toluene")])
def test_against_reference_equations(
    coolprop: Callable[..., float], key: str, fluid: str, temperature: float
) -> None:
    # CoolProp's reference equations; between the table's 20 and 40 C Andrade and Clausius-Clapeyron
    # lines are good to 2 %, outside to 4 %
    ours = find_solvent(key)
    near = 0.02 if 293 < temperature < 314 else 0.04
    for got, what, quality in (
        (ours.viscosity(temperature), "V", ("P", 101325)),
        (ours.vapour_pressure(temperature), "P", ("Q", 0)),
    ):
        reference = coolprop(what, "T", temperature, *quality, fluid)
        assert got == pytest.approx(reference, rel=near)
    density = coolprop("D", "T", temperature, "P", 101325, fluid)
    assert ours.density(temperature) == pytest.approx(density, rel=2e-3)


@pytest.mark.parametrize("temperature", TEMPERATURES)
@pytest.mark.parametrize(
    ("key", "name"),
    [("butyl-acetate", "butyl acetate"), ("mek", "2-butanone"), ("acetone", "acetone"),
     ("isopropanol", "isopropanol"), ("mibk", "4-methyl-2-pentanone")],
)  # fmt: skip
def test_against_perrys_correlations(key: str, name: str, temperature: float) -> None:
    cas = CAS_from_any(name)
    ours = find_solvent(key)
    near = 0.02 if 293 < temperature < 314 else 0.04
    viscosities, vapours, densities = perry()
    thick = EQ101(temperature, *viscosities.loc[cas, FIVE])
    vapour = EQ101(temperature, *vapours.loc[cas, FIVE])
    molar = EQ105(temperature, *densities.loc[cas, FIVE[:4]])
    assert ours.viscosity(temperature) == pytest.approx(thick, rel=near)
    assert ours.vapour_pressure(temperature) == pytest.approx(vapour, rel=near)
    density = molar * search_chemical(cas).MW / 1000
    assert ours.density(temperature) == pytest.approx(density, rel=2e-3)


def test_mixed_xylene_lies_among_its_parts(coolprop: Callable[..., float]) -> None:
    parts = ("o-Xylene", "m-Xylene", "p-Xylene", "EthylBenzene")
    xylene = find_solvent("xylene")
    for got, what, quality in (
        (xylene.density(), "D", ("P", 101325)),
        (xylene.viscosity(), "V", ("P", 101325)),
        (xylene.vapour_pressure(), "P", ("Q", 0)),
    ):
        values = [coolprop(what, "T", 293.15, *quality, part) for part in parts]
        assert min(values) < got < max(values)
    # a commercial sheet seen at nemiindustries.com: 0.8724 kg/L at 15 C
    assert xylene.density(288.15) == pytest.approx(872.4, rel=2e-3)


def test_white_spirit_agrees_with_the_table_of_its_type() -> None:
    # regular type: relative density 0.780 at 15 C, 0.6 kPa at 20 C (encyclopaedia table)
    spirit = find_solvent("white-spirit")
    assert spirit.density(288.15) == pytest.approx(780, rel=2e-3)
    assert spirit.vapour_pressure() == pytest.approx(600, rel=1e-6)


@pytest.mark.parametrize("solvent", list(solvents()), ids=lambda solvent: solvent.key)
def test_every_solvent_thins_and_boils_more_readily_as_it_warms(solvent: Solvent) -> None:
    assert solvent.viscosity(313.15) < solvent.viscosity(293.15)
    assert solvent.vapour_pressure(313.15) > solvent.vapour_pressure(293.15)
    assert solvent.density(313.15) < solvent.density(293.15)


def test_only_water_and_the_chlorinated_one_have_no_flash_point() -> None:
    assert [s.key for s in solvents() if s.flash_point is None] == ["water", "dichloromethane"]
    assert [s.key for s in solvents() if s.chlorinated] == ["dichloromethane"]


def test_the_demo_coatings_name_solvents_that_are_here() -> None:
    for coating in demo_coatings():
        assert coating.solvent is not None
        assert find_solvent(coating.solvent)
