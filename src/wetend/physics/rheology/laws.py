"""Every flow law there is. A new one is a file like :mod:`.casson`, and its entry here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from wetend.physics.rheology import bingham, casson, herschel_bulkley, newtonian, power_law
from wetend.physics.rheology.law import Law, Parameter
from wetend.physics.rheology.liquid import Liquid

LAWS: dict[str, Law] = {
    law.name: law
    for law in (newtonian.LAW, power_law.LAW, bingham.LAW, herschel_bulkley.LAW, casson.LAW)
}
"""By name, in the order in which people are shown them."""

if TYPE_CHECKING:
    LawName = str
else:
    LawName = Literal[tuple(LAWS)]
    """As a field's type: one of their names."""


def law_of(liquid: Liquid) -> Law:
    """The law of a liquid.

    Source: definition.

    >>> law_of(Liquid("casson", 1300.0, 4.0, 0.25, 1.0)).title
    'Casson'
    """
    return LAWS[liquid.law]


def parameters() -> tuple[tuple[Parameter, tuple[str, ...]], ...]:
    """Every parameter of any law, each with the names of the laws that have it.

    Source: definition.

    >>> [p.name for p, _ in parameters()][:3]
    ['viscosity', 'consistency', 'index']
    """
    every = {p.name: p for law in LAWS.values() for p in law.parameters}
    return tuple(
        (p, tuple(law.name for law in LAWS.values() if p in law.parameters)) for p in every.values()
    )
