"""A liquid's flow law in a few plain numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, PaLow, PaSN, Ratio

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
else:  # a coating is described by its law, and a command that only lists them needs no arrays
    Array = Any


@dataclass(frozen=True, slots=True)
class Liquid:
    r"""A liquid at one temperature: its flow law and its density, SI.

    Yield stress, consistency and index are the law's own where it is one of the family

    .. math:: \tau = \tau_y + K\,\dot\gamma^{\,n}

    (newtonian, power-law, Bingham, Herschel and Bulkley). Of any other law they are the yield
    stress and the power law that it tends to at high rates of shear; ``further`` holds whatever
    else it needs, none of it a stress.

    Raises:
        BadInput: density, consistency or index is not positive, or the yield stress is negative.

    >>> Liquid("power-law", density=1400.0, yield_stress=0.0, consistency=3.2, index=0.72).index
    0.72
    """

    law: str
    density: KgPerM3
    yield_stress: PaLow
    consistency: PaSN
    index: Ratio
    further: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for name in ("density", "consistency", "index"):
            if not 0 < getattr(self, name) < float("inf"):
                raise BadInput(Message("The liquid's {name} must be more than zero.", name=name))
        if not 0 <= self.yield_stress < float("inf"):
            raise BadInput(Message("The liquid's yield stress can't be less than zero."))


def thickened(liquid: Liquid, factor: float) -> Liquid:
    """The same liquid with every stress times ``factor``: thicker or thinner.

    Source: definition.

    >>> thickened(Liquid("bingham", 1500.0, 6.0, 0.18, 1.0), 2.0).yield_stress
    12.0
    """
    return replace(
        liquid,
        yield_stress=liquid.yield_stress * factor,
        consistency=liquid.consistency * factor,
    )
