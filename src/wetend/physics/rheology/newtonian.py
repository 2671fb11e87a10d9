"""The newtonian law: one viscosity at every rate of shear."""

from __future__ import annotations

from dataclasses import replace

from wetend.physics.rheology.herschel_bulkley import LAW as FAMILY
from wetend.physics.rheology.law import Parameter
from wetend.physics.rheology.liquid import Liquid
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaS


def newtonian(viscosity: PaS, density: KgPerM3 = 1000.0) -> Liquid:
    """A newtonian liquid.

    Source: Newton's law of viscosity.

    Raises:
        BadInput: the viscosity or the density is not positive.

    >>> newtonian(0.28, 1180.0).consistency
    0.28
    """
    return Liquid("newtonian", density, 0.0, viscosity, 1.0)


LAW = replace(
    FAMILY, name="newtonian", title=Message("Newtonian"),
    parameters=(Parameter("viscosity", PaS, 1e-7, 1e6, (1e-5, 1000.0)),), make=newtonian,
    fitted=("consistency",), plastic_reynolds=True, limits={},
)  # fmt: skip
