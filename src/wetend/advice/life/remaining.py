"""Remaining life of each part of a pump, from its depot's repairs, with its interval.

Lives are counted in exposure (:mod:`wetend.advice.life.exposure`) and shown in litres, strokes and
days of this pump's own use. Where wear was measured, the path to its limit counts too, whichever is
first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.endings import how_it_ends
from wetend.advice.life.exposure import Exposure
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.prior import MEDIAN_LIFE
from wetend.advice.life.records import PLAIN, Life
from wetend.advice.life.use_to_come import use_to_come
from wetend.advice.life.wear_factors import PACKING_LIFE
from wetend.advice.reasons import Interval, Verdict
from wetend.pump.usage import LIFE_PARTS, PART_WORDS, LifePart
from wetend.stats.life.belief import LifeBelief, remaining_lives, stratified
from wetend.stats.life.unlike_pumps import OwnWay
from wetend.stats.wear_path import WearPoint, left_to_limit, wear_rates
from wetend.units.message import Message, joined, plural
from wetend.units.quantity import M3, Ratio, SAsDays
from wetend.units.show import chance_text

Floats = NDArray[np.float64]
MONTH: SAsDays = 30 * 86400.0
DAY = 86400.0
_LOTS = 77
MOSTLY: Ratio = 0.5
"""Share of the prior's variance left from which the forecast is said to be mostly prior."""
DUE, SOON = 0.5, 0.15
"""Chance of failing within a month from which a part is due, and from which it is to be watched."""


@dataclass(frozen=True)
class RemainingLife:
    """What is left of one part."""

    part: LifePart
    title: str
    used: M3 | None
    """Pumped since it was fitted; ``None`` where nobody entered when that was."""
    volume: Interval
    strokes: Interval
    time: Interval
    """In seconds, as all times are."""
    month: Ratio
    """Chance that it fails within thirty days."""
    verdict: Verdict
    word: str
    because: str
    failures: int
    """How many failures of this part the depot has seen."""
    measured: bool = False
    assumed: bool = False
    """Whether its age is only known to be at least that of the record."""
    prior_share: Ratio = 1.0
    """Share of the plain prior's variance that is left in the log of the median life."""
    draws: Floats | None = field(default=None, repr=False)
    """Life left, m Pa, one draw each; not for showing."""
    times: Floats | None = field(default=None, repr=False)
    """The same as time, s, of use to come that all parts of a pump share, draw by draw."""
    pumped: Floats | None = field(default=None, repr=False)
    """And as m3."""


@dataclass(frozen=True)
class PartNow:
    """What is known of one part in a pump today."""

    life: Life | None
    looks: tuple[WearPoint, ...] = ()
    limit: float = 0.0
    """Wear allowed, in the unit of the looks."""
    assumed: bool = False
    """Whether the day it was fitted is not known and taken as the record's first."""
    said: bool = False
    """Whether what was pumped since it was fitted is as said at a hand-over."""


def interval_of(draws: Floats, factor: float = 1.0) -> Interval:
    """Median and the middle nine tenths of draws."""
    low, middle, high = np.quantile(draws, (0.05, 0.5, 0.95)) * factor
    return Interval(float(low), float(middle), float(high))


def age_now(belief: LifeBelief, fleet: FleetLives, life: Life, x: Floats, scores: Floats) -> Floats:
    """Age of a part in the wear of its use to come, one a draw.

    Exposure under other coatings, pressure or pace counts as so much of today's; what is not known
    of the days past spreads it.
    """
    shift = belief.coefficients @ (x - fleet.past(life))
    return np.asarray(life.high * np.exp(shift + life.spread * scores), dtype=float)


def wear_left(
    fleet: FleetLives, part: LifePart, x: Floats, now: PartNow, rng: np.random.Generator,
    own: OwnWay | None = None,
) -> Floats:  # fmt: skip
    """Draws of the wear a part still bears; ``own``: in a pump of its own way."""
    belief, before = fleet.beliefs[part], now.life.row[-1] if now.life else 0.0
    if own is not None:
        belief = own.of(belief, before)
    x = x.copy()
    x[1 + PLAIN.index("repairs before")] = before
    count = len(belief.scales)
    uniform = stratified(rng, count)
    scores = rng.standard_normal(count)
    age: Floats | float = 0.0
    if now.life is not None:
        age = age_now(belief, fleet, now.life, x, scores)
    left = remaining_lives(belief, x, age=age, uniform=uniform)
    if now.looks and now.limit > 0:
        middle = now.limit / (PACKING_LIFE * MEDIAN_LIFE[part])
        rates = wear_rates(now.looks, middle=middle, spread=0.9, uniform=stratified(rng, count))
        lived = now.life.high if now.life else max(look.exposure for look in now.looks)
        left = np.minimum(left, left_to_limit(rates, limit=now.limit, exposure=lived))
    return left


def _verdict(month: Ratio, time: Interval) -> tuple[Verdict, str]:
    if month >= DUE:
        return Verdict.REPLACE, Message("due now")
    if month >= SOON:
        return Verdict.WATCH, Message("soon")
    if time.low < 3 * MONTH:
        return Verdict.KEEP, Message("some months")
    return Verdict.KEEP, Message("long")


def _seen(failures: int, prior_share: Ratio) -> str:
    """How many failures of a part a depot has recorded, and what else the answer rests on."""
    seen = plural(
        "This depot has recorded {n} failure of this part.",
        "This depot has recorded {n} failures of this part.",
        failures,
    ) if failures else Message("This depot has recorded no failure of this part.")  # fmt: skip
    if prior_share > MOSTLY:
        return joined(" ", (seen, Message("The forecast is mostly the rough prior.")))
    if not failures:
        rest = Message(
            "The forecast rests on what its other parts and this one have lasted so far."
        )
        return joined(" ", (seen, rest))
    return seen


def _because(now: PartNow, failures: int, spread: float, suspect: Ratio, prior_share: Ratio) -> str:
    said = [_seen(failures, prior_share)]
    if now.life is None:
        said.append(Message("Its use is unknown: assumed new."))
    elif now.said:
        said.append(Message("Pumped since it was fitted: as entered at the hand-over."))
    elif now.assumed:
        said.append(
            Message("The day it was fitted is not recorded: assumed new when the record began.")
        )
    elif spread > 0.3:
        said.append(Message("Much of its use was not entered and is estimated."))
    if now.looks:
        said.append(Message("Measured wear counts towards it."))
    if suspect:
        chance = chance_text(suspect)
        said.append(
            Message(
                "The running checks of the open visit make it {chance} likely to have failed.",
                chance=chance,
            )
        )
    return joined(" ", said)


def remaining(
    site: str, day: Exposure, fleet: FleetLives, parts: Mapping[LifePart, PartNow],
    *, suspicion: Mapping[LifePart, Ratio] | None = None, seed: int = 1,
) -> tuple[RemainingLife, ...]:  # fmt: skip
    """What is left of every part of a pump, in the order shown.

    Args:
        site: where it works.
        day: its recent mean day.
        fleet: what is believed of lives: of these parts.
        parts: what is known of each part; those left out count as new.
        suspicion: chance that a part has failed already, by what was seen of the pump.
        seed: of the random draws.
    """
    x = fleet.at(day, site)
    count = len(next(iter(fleet.beliefs.values())).scales)
    use = use_to_come(day, count, seed=seed)
    pump = next((now.life.pump for now in parts.values() if now.life), None)
    own = fleet.own_way(pump, count) if pump is not None else None
    found = []
    for part in fleet.beliefs:
        now = parts.get(part, PartNow(None))
        rng = np.random.default_rng((seed, LIFE_PARTS.index(part)))
        left = wear_left(fleet, part, x, now, rng, own)
        suspect = (suspicion or {}).get(part, 0.0)
        if suspect:
            lots = stratified(
                np.random.default_rng((seed, _LOTS, LIFE_PARTS.index(part))), len(left)
            )
            left = np.where(lots < suspect, 0.0, left)
        ahead = use.until(left, x, fleet.beliefs[part].coefficients)
        times = ahead.days * DAY
        month, days = float((times < MONTH).mean()), interval_of(times)
        verdict, word = _verdict(month, days)
        failures, share = fleet.beliefs[part].failures, fleet.prior_share(part, x)
        found.append(
            RemainingLife(
                part=part, title=PART_WORDS[part], used=now.life.pumped if now.life else None,
                volume=interval_of(ahead.pumped), strokes=interval_of(ahead.cycles, 2.0),
                time=days, month=month, verdict=verdict, word=word, failures=failures,
                measured=bool(now.looks),
                assumed=now.assumed or now.life is None,
                because=joined(" ", (
                    _because(now, failures, now.life.spread if now.life else 0.0, suspect, share),
                    *how_it_ends(fleet.beliefs[part], own),
                )),
                prior_share=share, draws=left, times=times, pumped=ahead.pumped,
            )
        )  # fmt: skip
    return tuple(found)
