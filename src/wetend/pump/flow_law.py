"""The fields by which a noun takes a flow law: one for each parameter of any law there is."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel, Field, create_model

from wetend.physics.rheology.law import Place
from wetend.physics.rheology.laws import LAWS, parameters
from wetend.units.message import Message, joined

NounT = TypeVar("NounT", bound=BaseModel)


def with_law_fields(base: type[NounT], *, sprayed: bool) -> type[NounT]:
    """A noun with a field for each parameter of any flow law; all may be left open.

    Args:
        base: has a field ``law`` already.
        sprayed: whether figures are held to what a sprayed coating can have, or to any liquid's.

    >>> class Given(BaseModel):
    ...     law: str
    >>> with_law_fields(Given, sprayed=True)(law="casson", casson_viscosity=0.3).law
    'casson'
    """
    fields: dict[str, Any] = {}
    for parameter, laws in parameters():
        least, most = parameter.sprayed if sprayed else (parameter.least, parameter.most)
        titles = [LAWS[law].title for law in laws]
        of = joined(Message(" and "), filter(None, (joined(", ", titles[:-1]), titles[-1])))
        said = Message("{of}; {hint}", of=of, hint=parameter.hint) if parameter.hint else of
        fields[parameter.name] = (
            parameter.quantity | None, Field(default=None, ge=least, le=most, description=said)
        )  # fmt: skip
    return create_model(base.__name__, __base__=base, __module__=base.__module__, **fields)


def law_values(noun: BaseModel, law: str) -> dict[str, float]:
    """The parameters of a law that a noun gives, by name."""
    names = [parameter.name for parameter in LAWS[law].parameters]
    return {name: getattr(noun, name) for name in names if getattr(noun, name) is not None}


def law_lacks(noun: BaseModel, law: str) -> tuple[str, ...]:
    """Names of the law's parameters that a noun does not give."""
    given = law_values(noun, law)
    return tuple(p.name for p in LAWS[law].parameters if p.name not in given)


def law_spares(noun: BaseModel, law: str) -> tuple[str, ...]:
    """Names of the parameters that a noun gives and the law has not."""
    own = {parameter.name for parameter in LAWS[law].parameters}
    names = (parameter.name for parameter, _ in parameters())
    return tuple(n for n in names if n not in own and getattr(noun, n) is not None)


def law_limits(law: str, *places: Place) -> tuple[str, ...]:
    """What a law does less well in these places, in a sentence each.

    >>> law_limits("newtonian", "leak", "turbulence")
    ()
    """
    limits = LAWS[law].limits
    return tuple(limits[place] for place in places if place in limits)
