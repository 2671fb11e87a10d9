"""Pumps, prices and policies as arrays for the simulation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import SeedSequence
from numpy.typing import NDArray

from wetend.units.quantity import Days

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Policy:
    """When parts are replaced, for pumps by parts, in wear of each part's own age.

    ``plan`` brings a visit; ``along`` lets a part be replaced when the pump is open anyway. With
    ``service`` a visit comes after so much wear since the last, and replaces ``kit``.
    """

    name: str
    plan: Floats
    along: Floats
    service: Floats
    """Of each pump; infinite for none."""
    kit: Bools
    alone: Bools | None = None
    """Parts that no visit for another ever takes along, and that are in no kit; for the whole
    fleet alike. Only spares work: ``None`` plays all together."""


@dataclass(frozen=True)
class Prices:
    """What parts and visits cost, by part."""

    part: Floats
    labour: Floats
    """Cost of the work, the pump shut down for it."""
    failure: Floats
    """Cost of the crew standing and of the way, when it fails at work."""
    standing: Floats
    """Hours the crew stands when it fails, s."""
    visit: float
    """Way of a planned visit."""
    opens: Bools
    """Whether replacing it opens the pump (the crew changes the others itself)."""


@dataclass(frozen=True)
class Chunk:
    """Some pumps, ready to be simulated."""

    seeds: tuple[SeedSequence, ...]
    pace: Floats
    """Wear a day of each pump."""
    pace_spread: Floats
    ages: Floats
    """Pumps by parts: wear so far."""
    age_spread: Floats
    location: Floats
    """Pumps by parts by replicas: log of the median life."""
    scale: Floats
    """Parts by replicas."""
    weibull: Bools
    policies: tuple[Policy, ...]
    prices: Prices
    days: Days
