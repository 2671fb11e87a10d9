"""Recorded lives: from parts fitted, reasons, and use in between."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from wetend.advice.life.exposure import Ledger, row_of
from wetend.pump.usage import LIFE_PARTS, LifePart, Why
from wetend.stats.lifetimes import Lifetimes
from wetend.units.quantity import M3

Ending = Literal["failed", "between", "going"]
KNOWN_AGE = 0.12
"""Spread of an exposure up to which a failure's age counts as known."""
PLAIN = (
    "moderate", "abrasive", "very abrasive", "pressure", "strokes a minute", "repairs before",
)  # fmt: skip
"""Covariates every life has, after the constant: shares of the wear by class, then logarithms; the
last of the number of this part's lives on record in this pump, its own counted."""


@dataclass(frozen=True)
class Fitted:
    """A part fitted on a day."""

    part: LifePart
    on: date
    why: Why
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Life:
    """One life of one part, ended or censored; wear in m Pa as of a mild coating."""

    part: LifePart
    pump: str
    site: str
    fitted: date
    ended: date | None
    ending: Ending
    low: float
    high: float
    spread: float
    """Standard deviation of the logarithm of the wear."""
    row: tuple[float, ...]
    """Covariates as in :data:`PLAIN`."""
    pumped: M3 = 0.0
    turned: bool = False
    """Whether it began with the other face of the part that was in."""


def _ended(why: Why, wear: float, sound: float, spread: float) -> tuple[Ending, float, float]:
    """How a life ended, and the wear between which it did."""
    if why == "worn out" and spread <= KNOWN_AGE:
        return "failed", wear, wear
    if why == "worn out":
        return "between", wear * math.exp(-1.5 * spread), wear * math.exp(1.5 * spread)
    if why == "found worn":
        return "between", min(sound, 0.98 * wear), wear
    return "going", wear, wear


def lives_of(
    pump: str, site: str, ledger: Ledger, fitted: Sequence[Fitted], sound: Sequence[date]
) -> tuple[Life, ...]:
    """Every life of a pump's parts that is known from its beginning.

    What was in the pump before the first fitting on record is left out: its age is not known.

    Args:
        pump: the pump's key.
        site: where it works.
        ledger: what it did.
        fitted: what was fitted, in any order.
        sound: days on which the whole pump was proven sound.
    """
    found: list[Life] = []
    for part in LIFE_PARTS:
        own = sorted((f for f in fitted if f.part == part), key=lambda f: f.on)
        for before, (here, after) in enumerate(itertools.pairwise([*own, None])):
            life = _life(pump, site, ledger, here, after, sound, before) if here else None
            if life is not None:
                found.append(life)
    return tuple(found)


def _life(
    pump: str, site: str, ledger: Ledger, here: Fitted, after: Fitted | None,
    sound: Sequence[date], before: int = 0,
) -> Life | None:  # fmt: skip
    end = after.on if after else ledger.last
    lived = ledger.between(here.on, end)
    if after is None:
        wear = max(lived.wear, 1e-9)  # fitted today: new
        ending: tuple[Ending, float, float] = ("going", wear, wear)
    elif lived.wear <= 0:
        return None
    else:
        ending = _ended(after.why, lived.wear, _seen(ledger, here, after, sound), lived.spread)
    return Life(
        part=here.part, pump=pump, site=site, fitted=here.on, ended=after.on if after else None,
        ending=ending[0], low=ending[1], high=ending[2], spread=lived.spread,
        row=(*row_of(lived), math.log1p(before)), pumped=lived.pumped, turned=here.turned,
    )  # fmt: skip


def _seen(ledger: Ledger, here: Fitted, after: Fitted, sound: Sequence[date]) -> float:
    """Wear at which a part found worn was last seen sound; zero where it was never looked at."""
    if after.why != "found worn":
        return 0.0
    looks = [day for day in sound if here.on < day < after.on]
    return ledger.between(here.on, max(looks)).wear if looks else 0.0


def since_first(pump: str, site: str, ledger: Ledger, part: LifePart) -> Life | None:
    """A part that nobody entered the fitting of, as if new when the record began."""
    return _life(pump, site, ledger, Fitted(part, ledger.first, "first fitted"), None, ())


def gathered(lives: Sequence[Life], sites: Sequence[str]) -> Lifetimes:
    """Lives of one part as the fits take them, with a column for every site named."""
    count, plain = len(lives), len(PLAIN)
    x = np.zeros((count, 1 + plain + len(sites)))
    x[:, 0] = 1.0
    if count:
        x[:, 1 : 1 + plain] = [life.row for life in lives]
    for column, site in enumerate(sites, start=1 + plain):
        x[:, column] = [life.site == site for life in lives]
    span = np.array([(life.low, life.high) for life in lives]).reshape(count, 2)
    endings = np.array([life.ending for life in lives], dtype="U8")
    failed, going, between = (endings == ending for ending in ("failed", "going", "between"))
    return Lifetimes(
        span[failed, 1], span[going, 1], span[between], x[failed], x[going], x[between]
    )


def covariates(row: Sequence[float], site: str, sites: Sequence[str]) -> list[float]:
    """A life's own covariates and the column of its site, without the constant."""
    return [*row, *(float(site == each) for each in sites)]
