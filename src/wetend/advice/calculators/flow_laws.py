"""A liquid as people type it into a calculator: its flow law and the parameters that law has."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from pydantic import Field, model_validator

from wetend.physics.rheology.law import Place
from wetend.physics.rheology.laws import LAWS, LawName
from wetend.physics.rheology.liquid import Liquid
from wetend.pump.flow_law import law_lacks, law_limits, law_spares, law_values, with_law_fields
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.quantity import KgPerM3


class _ByLaw(Noun):
    law: LawName
    density: KgPerM3 = Field(ge=100, le=10000)


class _Leaking(Noun):
    law: LawName | None = Field(
        default=None,
        description=Message("Left open: a power law, or Herschel-Bulkley with a yield stress"),
    )


if TYPE_CHECKING:

    class _AnyLaw(_ByLaw): ...

    class _AnyLeaking(_Leaking): ...

else:
    _AnyLaw = with_law_fields(_ByLaw, sprayed=False)
    _AnyLeaking = with_law_fields(_Leaking, sprayed=False)


def _needs(noun: Noun, law: str) -> None:
    lacking = [name.replace("_", " ") for name in law_lacks(noun, law)]
    if lacking:
        raise ValueError(
            Message(
                "a {law} liquid needs its {lacking}",
                law=law,
                lacking=joined(Message(" and its "), lacking),
            )
        )


def _unused(noun: Noun, law: str) -> tuple[str, ...]:
    return tuple(
        Message(
            "The {replace} given is not a parameter of the {law} law; it was ignored.",
            replace=n.replace("_", " "),
            law=law,
        )
        for n in sorted(law_spares(noun, law))
    )


class FlowLaw(_AnyLaw):
    """A liquid by its flow law."""

    @model_validator(mode="after")
    def _enough(self) -> Self:
        _needs(self, self.law)
        return self

    def liquid(self) -> Liquid:
        """The liquid as the physics sees it."""
        return LAWS[self.law].make(**law_values(self, self.law), density=self.density)

    def unused_cautions(self) -> tuple[str, ...]:
        """A sentence for each parameter given that is no part of the law."""
        return _unused(self, self.law)

    def limits(self, *places: Place) -> tuple[str, ...]:
        """What the law does less well there, in a sentence each."""
        return law_limits(self.law, *places)


class Flowing(_AnyLeaking):
    """The liquid in a leak: a viscosity, or a flow law."""

    @model_validator(mode="after")
    def _one_law(self) -> Self:
        if self.law is not None:
            _needs(self, self.law)
            for name in law_spares(self, self.law):
                extra = name.replace("_", " ")
                raise ValueError(
                    Message(
                        "the {extra} is not a parameter of the {law} law; leave it blank",
                        extra=extra,
                        law=self.law,
                    )
                )
            return self
        given = law_values(self, "newtonian") | law_values(self, "power-law")
        if ("viscosity" in given) == ("consistency" in given):
            raise ValueError(Message("give the viscosity, or the consistency and the index"))
        if ("consistency" in given) != ("index" in given):
            raise ValueError(Message("give the consistency together with the index"))
        spare = [n for n in law_spares(self, "herschel-bulkley") if n != "viscosity"]
        if spare:
            raise ValueError(
                Message(
                    "name the law that the {replace} belongs to", replace=spare[0].replace("_", " ")
                )
            )
        return self

    def liquid(self, density: KgPerM3 = 1000.0) -> Liquid:
        """The liquid as the physics sees it."""
        if self.law is not None:
            return LAWS[self.law].make(**law_values(self, self.law), density=density)
        given = law_values(self, "newtonian") | law_values(self, "herschel-bulkley")
        thick = given.get("viscosity") or given["consistency"]
        yields = given.get("yield_stress", 0.0)
        law = "herschel-bulkley" if yields else "power-law"
        return Liquid(law, density, yields, thick, given.get("index", 1.0))
