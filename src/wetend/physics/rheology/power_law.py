"""The power law (Ostwald and de Waele): thins, or thickens, with the rate of shear."""

from __future__ import annotations

from dataclasses import replace

from wetend.physics.rheology.herschel_bulkley import LAW as FAMILY
from wetend.physics.rheology.law import CONSISTENCY, INDEX
from wetend.physics.rheology.liquid import Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaSN, Ratio


def power_law(consistency: PaSN, index: Ratio, density: KgPerM3 = 1000.0) -> Liquid:
    """A power-law liquid.

    Source: Ostwald, Kolloid-Zeitschrift 36 (1925) 99, from memory.

    Raises:
        BadInput: the consistency, the index or the density is not positive.

    >>> power_law(3.2, 0.72, 1420.0).law
    'power-law'
    """
    return Liquid("power-law", density, 0.0, consistency, index)


LAW = replace(
    FAMILY, name="power-law", title=Message("Power law"), parameters=(CONSISTENCY, INDEX),
    make=power_law,
    fitted=("consistency", "index"), limits={},
)  # fmt: skip
