"""Pumps drawn from the prior, run, and weighed by the readings; then drawn again where it counts.

Rounds of importance sampling: the first from the prior, the next from a normal law fitted, for each
set of causes that still has weight, to what the round before found. All rounds are kept, each pump
weighed against the mixture of all laws it could have been drawn from (the balance heuristic), so
nothing is lost and one poor fit does no harm.

Source: Cornuet, Marin, Mira and Robert, "Adaptive multiple importance sampling", Scandinavian
Journal of Statistics 39 (2012), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import chances, combinations_of_causes
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.laws import Drawn, Normal, Weighed, columns_of_rows, fitted
from wetend.advice.diagnosis.lumps import carried_away
from wetend.advice.diagnosis.observables import SimulatedStrokes, play
from wetend.advice.diagnosis.prior import SIZES, Setting
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULTS
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.quantity import K

Array = NDArray[np.float64]

_ROUND_SHARES = (0.4, 0.25, 0.35)
_BY_COUNT = (0.08, 0.42, 0.37, 0.13)
"""Shares of the first round given to no fault, one, two, three."""
_LEAST_WEIGHT = 0.003
_SURE = 0.997
"""Chance beyond which a reading is not said to speak any more."""
_MORE_ROUNDS, _MOST_ROUNDS = 3, 12
"""Rounds added where too few pumps count, and where hardly any do: an answer that hangs on a
handful of pumps may be another by the next seed."""
_MOST_KEPT = 10_000
"""Pumps of a first round that is kept: a page's, some 4 MB."""


@dataclass(frozen=True, eq=False)
class WeightedSample:
    """Weighed pumps."""

    causes: NDArray[np.intp]
    """Row of the sets of causes."""
    present: NDArray[np.bool_]
    """Which causes are there still, after the checks done: pumps by causes."""
    played: SimulatedStrokes
    log_likelihoods: Array
    """Pumps by readings."""
    misfits: Array
    weight: Array
    """Adds up to 1."""
    prior_weight: Array
    """The same without the readings."""

    def after(self, keys: Collection[str]) -> WeightedSample:
        """The same pumps once these checks have been done, what they carry away gone."""
        gone = carried_away(self.played.lump, self.present, keys)
        return replace(self, present=self.present & ~gone)

    @cached_property
    def fault_sets(self) -> NDArray[np.intp]:
        """Which faults each pump has, as a number: a bit a fault, the last one's lowest."""
        found = np.zeros(len(self.present), dtype=np.intp)
        for fault in FAULTS:
            found = 2 * found + self.present[:, list(fault.causes)].any(axis=1)
        return found

    @cached_property
    def says(self) -> Mapping[Fault, Array]:
        """What each reading adds to the rest: natural logarithm of each fault's odds with it over
        its odds without it, all the others kept.

        So what is said of a reading is what it does to the answer: what raises a fault is never
        said to be against it. Chances beyond :data:`_SURE` count as that: what is drawn there is
        chance.
        """
        total, prior = self.log_likelihoods.sum(axis=1), np.log(self.prior_weight + 1e-300)
        rest = [prior + total - own for own in self.log_likelihoods.T]
        weights = np.array([self.weight, *(_normal_weights(each) for each in rest)])
        odds = self._odds(weights)
        return {fault: own[0] - own[1:] for fault, own in odds.items()}

    @cached_property
    def alone(self) -> Mapping[Fault, Array]:
        """What each reading alone would do to each fault's odds before any reading."""
        prior = np.log(self.prior_weight + 1e-300)
        weights = np.array(
            [self.prior_weight, *(_normal_weights(prior + own) for own in self.log_likelihoods.T)]
        )
        odds = self._odds(weights)
        return {fault: own[1:] - own[0] for fault, own in odds.items()}

    def _odds(self, weights: Array) -> dict[Fault, Array]:
        """Logarithms of each fault's odds by each row of weights."""
        found = {}
        for fault in FAULTS:
            mine = self.present[:, list(fault.causes)].any(axis=1)
            chance = np.clip(weights @ mine, 1.0 - _SURE, _SURE)
            found[fault] = np.log(chance / (1.0 - chance))
        return found

    @property
    def effective(self) -> float:
        """Number of equally weighed pumps that would say as much."""
        return float(1.0 / np.sum(self.weight**2))

    def some(self, rows: NDArray[np.intp]) -> WeightedSample:
        """These pumps alone, all of one weight."""
        even = np.full(len(rows), 1.0 / len(rows))
        return WeightedSample(
            self.causes[rows], self.present[rows], self.played.some(rows),
            self.log_likelihoods[rows], self.misfits[rows], even, even,
        )  # fmt: skip


def _whole(share: Array, count: int) -> NDArray[np.intp]:
    """Shares of a count as whole numbers that add up to it."""
    exact = share / share.sum() * count
    floor = np.floor(exact).astype(np.intp)
    order = np.argsort(floor - exact, kind="stable")
    floor[order[: count - int(floor.sum())]] += 1
    return np.asarray(floor)


def _first_counts(count: int) -> NDArray[np.intp]:
    rows = combinations_of_causes().sum(axis=1)
    groups = np.bincount(rows)
    return _whole(np.array([_BY_COUNT[r] / groups[r] for r in rows]), count)


def _cooled(log_likelihood: Array, log_prior: Array, wanted: float) -> Array:
    """Weights with the likelihood softened until at least ``wanted`` pumps count."""
    power = 1.0
    for _ in range(12):
        weight = _normal_weights(log_prior + power * log_likelihood)
        if 1.0 / np.sum(weight**2) >= wanted:
            break
        power *= 0.6
    return weight


def _normal_weights(log_weight: Array) -> Array:
    weight = np.exp(log_weight - np.max(log_weight))
    return np.asarray(weight / weight.sum())


def _span(causes: NDArray[np.intp], h: int) -> slice:
    """Where a round's pumps of one set of causes lie: a round keeps them in order."""
    return slice(*(int(k) for k in np.searchsorted(causes, (h, h + 1))))


@dataclass
class _Search:
    """The rounds so far."""

    setting: Setting
    readings: Sequence[Reading]
    seed: int
    chance: Array

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(self.seed)
        self.causes: list[NDArray[np.intp]] = []
        self.played: list[SimulatedStrokes] = []
        self._first: Array = np.empty((0, SIZES))
        self._drawn: dict[int, Drawn] = {}
        self._likelihoods: list[Array] = []
        """Of each round, pumps by readings."""
        self._prior_density: Array = np.empty(0)
        self._mixture: Array = np.empty(0)
        """Logarithms of densities, weighed by what came from each law, over the prior's: of the
        first round's for every set of causes, and of all laws so far for every pump."""

    def first(self, count: int) -> None:
        """Draw from the prior."""
        setting = self.setting
        usual = _usual if count <= _MOST_KEPT else _from_the_prior
        drawn = usual(setting.pump, setting.coating, setting.temperature, count, self.seed)
        self.rng.bit_generator.state = drawn.random
        self._first = drawn.z
        with np.errstate(divide="ignore"):
            self._prior_density = np.log(_first_counts(count))
        self._mixture = self._prior_density[drawn.causes]
        self._take(drawn.causes, drawn.played)

    def again(self, count: int, wanted: float) -> None:
        """Draw where the weight is."""
        weight = _cooled(self.log_likelihoods().sum(axis=1), self.log_prior(), wanted)
        total = np.bincount(np.concatenate(self.causes), weight, minlength=len(self.chance))
        counts = _whole(np.sqrt(np.where(total > _LEAST_WEIGHT, total, 0.0)), count)
        chosen = [int(h) for h in np.flatnonzero(counts)]
        each = [self._drawn_of(h) for h in chosen]
        fits = fitted([Weighed(d.own, weight[d.place], d.columns) for d in each])
        laws = dict(zip(chosen, fits, strict=True))
        z = np.concatenate([law.draw(self.rng, int(counts[h])) for h, law in laws.items()])
        np.clip(z, -6.0, 6.0, out=z)
        causes = np.repeat(chosen, counts[chosen])
        self._mix(laws, z, causes)
        self._take(causes, play(self.setting, z, combinations_of_causes()[causes]))

    def _drawn_of(self, h: int) -> Drawn:
        """The pumps of one set of causes: until there is a law of its own, the first round's."""
        if h not in self._drawn:
            mine, columns = _span(self.causes[0], h), columns_of_rows()[h]
            place = np.arange(mine.start, mine.stop)
            self._drawn[h] = Drawn(columns, self._first[mine][:, columns], place)
        return self._drawn[h]

    def _take(self, causes: NDArray[np.intp], played: SimulatedStrokes) -> None:
        self.causes.append(causes)
        self.played.append(played)
        found = np.empty((len(causes), len(self.readings)))
        for column, reading in zip(found.T, self.readings, strict=True):
            column[:] = reading.log_likelihood(played)
        self._likelihoods.append(found)

    def _mix(self, laws: Mapping[int, Normal], z: Array, causes: NDArray[np.intp]) -> None:
        """The new laws over all pumps, and the laws before over the new ones."""
        before, fresh = self._mixture, np.empty(len(causes))
        for h, law in laws.items():
            drawn, mine = self._drawn[h], _span(causes, h)
            drawn.laws.append(law)
            drawn.log_counts.append(math.log(mine.stop - mine.start))
            density = drawn.log_densities(drawn.own, since=-1)[0]
            before[drawn.place] = np.logaddexp(before[drawn.place], density)
            own = z[mine][:, drawn.columns]
            prior = np.full((1, len(own)), self._prior_density[h])
            densities = np.concatenate([prior, drawn.log_densities(own)])
            fresh[mine] = np.logaddexp.reduce(densities)
            drawn.take(own, len(before) + mine.start)
        self._mixture = np.concatenate([before, fresh])

    def log_likelihoods(self) -> Array:
        """Pumps by readings, all rounds."""
        return np.concatenate(self._likelihoods)

    def effective(self) -> float:
        """Pumps that count so far."""
        logs = self.log_likelihoods().sum(axis=1)
        weight = _normal_weights(self.log_prior() + logs)
        return float(1.0 / np.sum(weight**2))

    def log_prior(self) -> Array:
        """Prior over the mixture of all laws each pump could have come from."""
        return np.asarray(np.log(self.chance)[np.concatenate(self.causes)] - self._mixture)


@dataclass(frozen=True, eq=False)
class _Usual:
    """Pumps from the prior alone."""

    z: Array
    causes: NDArray[np.intp]
    played: SimulatedStrokes
    random: dict[str, Any]
    """State of the random draws after them."""


def _from_the_prior(
    pump: Pump, coating: Coating, temperature: K | None, count: int, seed: int
) -> _Usual:
    """The first round: it hangs on nothing that is read but the temperature."""
    rng, counts = np.random.default_rng(seed), _first_counts(count)
    causes = np.repeat(np.arange(len(counts)), counts)
    z = np.clip(rng.standard_normal((count, SIZES)), -6.0, 6.0)
    played = play(Setting(pump, coating, None, temperature), z, combinations_of_causes()[causes])
    return _Usual(z, causes, played, dict(rng.bit_generator.state))


_usual = kept("pumps drawn from the prior", most=64 * MB)(_from_the_prior)


def _join(parts: Sequence[SimulatedStrokes]) -> SimulatedStrokes:
    def joined(name: str) -> dict[object, Array]:
        first = getattr(parts[0], name)
        return {key: np.concatenate([getattr(p, name)[key] for p in parts]) for key in first}

    named = {n: joined(n) for n in ("reads", "leak", "share", "extent")}
    return SimulatedStrokes(
        **named,  # type: ignore[arg-type]
        stall=tuple(np.concatenate(way) for way in zip(*(p.stall for p in parts), strict=True)),
        lump=np.concatenate([p.lump for p in parts]),
    )


def _misfits(readings: Sequence[Reading], played: SimulatedStrokes) -> Array:
    if not readings:
        return np.zeros((len(played.reads["flow"]), 0))
    return np.stack([r.misfit(played) for r in readings], axis=1)


def _counts(particles: int) -> list[int]:
    """Pumps of each round."""
    return [max(int(share * particles), 200) for share in _ROUND_SHARES]


def run_usual(setting: Setting, *, particles: int, seed: int) -> None:
    """Run and keep the pumps of the first round, which wait for no reading but the temperature."""
    _Search(setting, (), seed, chances(setting.coating, setting.around)).first(
        _counts(particles)[0]
    )


def weigh(
    setting: Setting, readings: Sequence[Reading], *, particles: int, seed: int
) -> WeightedSample:
    """The posterior as weighed pumps.

    Args:
        setting: pump, coating and conditions.
        readings: from :func:`wetend.advice.diagnosis.evidence.evidence`; none gives the
            prior.
        particles: pumps run, a quarter more for each round added where too few count.
        seed: the same seed gives the same answer.
    """
    search = _Search(setting, readings, seed, chances(setting.coating, setting.around))
    counts = _counts(particles)
    search.first(counts[0])
    wanted = min(300.0, 0.05 * particles)
    for count in counts[1:]:
        search.again(count, wanted)
    for added in range(_MOST_ROUNDS):
        if search.effective() >= (0.5 if added < _MORE_ROUNDS else 0.1) * wanted:
            break
        search.again(counts[1], wanted)
    causes = np.concatenate(search.causes)
    log_prior = search.log_prior()
    played, logs = _join(search.played), search.log_likelihoods()
    cloud = WeightedSample(
        causes=causes,
        present=combinations_of_causes()[causes],
        played=played,
        log_likelihoods=logs,
        misfits=_misfits(readings, played),
        weight=_normal_weights(log_prior + logs.sum(axis=1)),
        prior_weight=_normal_weights(log_prior),
    )
    return cloud.after([reading.what.key for reading in readings])
