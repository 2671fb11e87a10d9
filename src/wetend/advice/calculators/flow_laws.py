"""A liquid as people type it into a calculator: its flow law and the parameters that law has."""

from __future__ import annotations

from collections.abc import Callable
from typing import Self

from pydantic import Field, model_validator

from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Law, Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law
from wetend.units.noun import Noun
from wetend.units.quantity import KgPerM3, PaLow, PaS, PaSN, Ratio

_NEEDS: dict[Law, tuple[str, ...]] = {
    "newtonian": ("viscosity",),
    "power-law": ("consistency", "index"),
    "bingham": ("yield_stress", "plastic_viscosity"),
    "herschel-bulkley": ("yield_stress", "consistency", "index"),
}


_MADE_BY: dict[Law, Callable[..., Liquid]] = {
    "newtonian": newtonian,
    "power-law": power_law,
    "bingham": bingham,
    "herschel-bulkley": herschel_bulkley,
}


class FlowLaw(Noun):
    """A liquid by its flow law."""

    law: Law
    density: KgPerM3 = Field(ge=100, le=10000)
    viscosity: PaS | None = Field(default=None, ge=1e-7, le=1e6, description="newtonian")
    consistency: PaSN | None = Field(
        default=None, ge=1e-7, le=1e6, description="power-law and herschel-bulkley"
    )
    index: Ratio | None = Field(
        default=None, ge=0.05, le=2, description="power-law and herschel-bulkley; below 1 thins"
    )
    yield_stress: PaLow | None = Field(
        default=None, ge=0, le=1e6, description="bingham and herschel-bulkley"
    )
    plastic_viscosity: PaS | None = Field(default=None, ge=1e-7, le=1e6, description="bingham")

    @model_validator(mode="after")
    def _enough(self) -> Self:
        lacking = [n.replace("_", " ") for n in _NEEDS[self.law] if getattr(self, n) is None]
        if lacking:
            raise ValueError(f"a {self.law} liquid needs its {' and its '.join(lacking)}")
        return self

    def liquid(self) -> Liquid:
        """The liquid as the physics sees it."""
        parts = {name: getattr(self, name) for name in _NEEDS[self.law]}
        return _MADE_BY[self.law](**parts, density=self.density)

    def unused_cautions(self) -> tuple[str, ...]:
        """A sentence for each parameter given that is no part of the law."""
        known = {name for names in _NEEDS.values() for name in names}
        spare = sorted(n for n in known - set(_NEEDS[self.law]) if getattr(self, n) is not None)
        return tuple(
            f"The {n.replace('_', ' ')} given is not a parameter of the {self.law} law; it was "
            "ignored."
            for n in spare
        )


class Flowing(Noun):
    """The liquid in a leak: a viscosity, or a flow law."""

    viscosity: PaS | None = Field(
        default=None, ge=1e-6, le=1e5, description="Dynamic, at the leak's shear rate"
    )
    consistency: PaSN | None = Field(
        default=None, ge=1e-6, le=1e5, description="Instead of the viscosity, with the index"
    )
    index: Ratio | None = Field(default=None, ge=0.05, le=2, description="Below 1 thins")
    yield_stress: PaLow = Field(default=0.0, ge=0, le=1e6)

    @model_validator(mode="after")
    def _one_law(self) -> Self:
        if (self.viscosity is None) == (self.consistency is None):
            raise ValueError("give the viscosity, or the consistency and the index")
        if (self.consistency is None) != (self.index is None):
            raise ValueError("give the consistency together with the index")
        return self

    def liquid(self, density: KgPerM3 = 1000.0) -> Liquid:
        """The liquid as the physics sees it."""
        thick = self.viscosity if self.viscosity is not None else self.consistency
        index = 1.0 if self.index is None else self.index
        law: Law = "herschel-bulkley" if self.yield_stress else "power-law"
        return Liquid(law, density, self.yield_stress, thick or 1.0, index)
