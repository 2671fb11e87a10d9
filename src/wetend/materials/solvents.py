"""Solvents to flush, thin and test with: density, viscosity and vapour pressure by temperature."""

from __future__ import annotations

import math

from pydantic import Field

from wetend.keeping import constant
from wetend.materials.table import Row, Table, Title, load
from wetend.units.message import Message
from wetend.units.quantity import K, KgPerM3, PaLow, PaS, Ratio

_COOL, _WARM = 293.15, 313.15


def _between(cool: float, warm: float, temperature: K) -> float:
    """Along a straight line of the logarithm over 1/T, through the values at 20 and 40 °C."""
    share = (1 / _COOL - 1 / temperature) / (1 / _COOL - 1 / _WARM)
    return math.exp((1 - share) * math.log(cool) + share * math.log(warm))


class Solvent(Row):
    """A solvent: its properties at 20 and 40 °C and their spread."""

    title: Title
    density_20: KgPerM3 = Field(gt=500, lt=2000)
    density_40: KgPerM3 = Field(gt=500, lt=2000)
    viscosity_20: PaS = Field(gt=0, lt=0.1)
    viscosity_40: PaS = Field(gt=0, lt=0.1)
    vapour_pressure_20: PaLow = Field(gt=0, lt=1e5)
    vapour_pressure_40: PaLow = Field(gt=0, lt=2e5)
    spread: Ratio = Field(
        gt=0,
        lt=1,
        description=Message("Relative standard uncertainty of viscosity and vapour pressure"),
    )
    flash_point: K | None = Field(
        default=None, description=Message("Closed cup; blank: does not burn")
    )

    chlorinated: bool = Field(
        default=False,
        description=Message("Reacts with aluminium under pressure and can burst a pump"),
    )

    def density(self, temperature: K = _COOL) -> KgPerM3:
        """Density along a straight line; good to 0.2 % between 0 and 60 °C."""
        slope = (self.density_40 - self.density_20) / (_WARM - _COOL)
        return self.density_20 + slope * (temperature - _COOL)

    def viscosity(self, temperature: K = _COOL) -> PaS:
        """Viscosity along the line of Andrade, ln(mu) straight over 1/T; 5 to 60 °C."""
        return _between(self.viscosity_20, self.viscosity_40, temperature)

    def vapour_pressure(self, temperature: K = _COOL) -> PaLow:
        """Vapour pressure along the line of Clausius and Clapeyron; 5 to 60 °C."""
        return _between(self.vapour_pressure_20, self.vapour_pressure_40, temperature)


@constant("table of solvents")
def solvents() -> Table[Solvent]:
    """All solvents, by key."""
    return load("solvents", Solvent)


def find_solvent(key: str) -> Solvent:
    """The solvent with this key, such as ``butyl-acetate``.

    Raises:
        UnknownName: there is none; the sentence lists those there are.

    >>> round(find_solvent("xylene").viscosity(298.15) * 1000, 2)
    0.62
    """
    return solvents().find(key)
