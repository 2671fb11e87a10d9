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
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.causes import chances, combinations_of_causes
from wetend.advice.fault_finding.evidence import Reading
from wetend.advice.fault_finding.observables import Played, play
from wetend.advice.fault_finding.prior import NUISANCES, SIZES, Setting

Array = NDArray[np.float64]

_ROUND_SHARES = (0.4, 0.25, 0.35)
_BY_COUNT = (0.08, 0.42, 0.37, 0.13)
"""Shares of the first round given to no fault, one, two, three."""
_LEAST_WEIGHT = 0.003
_MORE_ROUNDS, _MOST_ROUNDS = 3, 12
"""Rounds added where too few pumps count, and where hardly any do: an answer that hangs on a
handful of pumps may be another by the next seed."""
_WIDER = 1.25
_CAUTION = 3.0
"""Pumps a column before a fit is trusted as much as the prior: a law fitted to few lies too close
about them, and takes their weight away."""


@dataclass(frozen=True, eq=False)
class Normal:
    """A normal law of the rows, for one set of causes.

    Only the columns that matter to it are fitted (mean, root of the covariance); the rest stay as
    the prior has them, so that few pumps are enough for a fit.
    """

    columns: NDArray[np.intp]
    mean: Array
    root: Array

    def draw(self, rng: np.random.Generator, count: int) -> Array:
        """So many rows."""
        rows = rng.standard_normal((count, SIZES))
        rows[:, self.columns] = self.mean + rows[:, self.columns] @ self.root.T
        return rows

    def log_ratio(self, z: Array) -> Array:
        """Logarithm of the density over the prior's: a square form, multiplied out."""
        own = z[:, self.columns]
        back = np.linalg.inv(self.root)
        precise, pull = back.T @ back, back.T @ (back @ self.mean)
        scale = float(np.log(np.diag(self.root)).sum()) + 0.5 * float(self.mean @ pull)
        shape = own @ (0.5 * (np.eye(len(pull)) - precise))
        shape += pull
        return np.asarray(np.einsum("ij,ij->i", shape, own) - scale)


@dataclass(frozen=True, eq=False)
class _Round:
    """What one round drew for every set of causes: how many, and from which law."""

    counts: NDArray[np.intp]
    laws: dict[int, Normal]
    """Empty: the prior's own."""


@dataclass(frozen=True, eq=False)
class Cloud:
    """Weighed pumps."""

    causes: NDArray[np.intp]
    """Row of the sets of causes."""
    present: NDArray[np.bool_]
    played: Played
    log_likelihoods: Array
    """Pumps by readings."""
    misfits: Array
    weight: Array
    """Adds up to 1."""
    prior_weight: Array
    """The same without the readings."""

    @property
    def effective(self) -> float:
        """Number of equally weighed pumps that would say as much."""
        return float(1.0 / np.sum(self.weight**2))

    def some(self, rows: NDArray[np.intp]) -> Cloud:
        """These pumps alone, all of one weight."""
        even = np.full(len(rows), 1.0 / len(rows))
        return Cloud(
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


def _fit(z: Array, weight: Array, present: NDArray[np.bool_]) -> Normal:
    """A normal law fitted to weighed rows, drawn towards the prior where there are few."""
    columns = np.concatenate([np.arange(NUISANCES), NUISANCES + np.flatnonzero(present)])
    weight = weight / weight.sum()
    effective = 1.0 / float(np.sum(weight**2))
    size = len(columns)
    trust = effective / (effective + _CAUTION * size)
    own = z[:, columns]
    mean = weight @ own
    off = own - mean
    spread = (off * weight[:, None]).T @ off
    mixed = trust * _WIDER * spread + (1.0 - trust) * np.eye(size)
    root = np.linalg.cholesky(mixed + 1e-9 * np.eye(size)).astype(np.float64)
    return Normal(columns, np.asarray(trust * mean), root)


def _span(causes: NDArray[np.intp], h: int) -> slice:
    """Where a round's pumps of one set of causes lie: a round keeps them in order."""
    return slice(*(int(k) for k in np.searchsorted(causes, (h, h + 1))))


@dataclass
class _Search:
    """The rounds so far."""

    setting: Setting
    readings: Sequence[Reading]
    rng: np.random.Generator
    chance: Array

    def __post_init__(self) -> None:
        self.z: list[Array] = []
        self.causes: list[NDArray[np.intp]] = []
        self.played: list[Played] = []
        self.rounds: list[_Round] = []
        self._likelihoods: list[Array] = []
        """Of each round, pumps by readings."""
        self._mixtures: list[Array] = []
        """Of each round, logarithm of the density of all laws so far over the prior's."""

    def first(self, count: int) -> None:
        """Draw from the prior."""
        self._run(_Round(_first_counts(count), {}))

    def again(self, count: int, wanted: float) -> None:
        """Draw where the weight is."""
        causes = np.concatenate(self.causes)
        weight = _cooled(self.log_likelihoods().sum(axis=1), self.log_prior(), wanted)
        total = np.bincount(causes, weight, minlength=len(self.chance))
        worth = total > _LEAST_WEIGHT
        counts = _whole(np.sqrt(np.where(worth, total, 0.0)), count)
        laws = {}
        for h in np.flatnonzero(counts):
            rounds = zip(self.z, self.causes, strict=True)
            mine = np.concatenate([z[_span(held, int(h))] for z, held in rounds])
            laws[int(h)] = _fit(mine, weight[causes == h], combinations_of_causes()[h])
        self._run(_Round(counts, laws))

    def _run(self, drawn: _Round) -> None:
        count = int(drawn.counts.sum())
        causes = np.repeat(np.arange(len(drawn.counts)), drawn.counts)
        if drawn.laws:
            z = np.concatenate([law.draw(self.rng, int(drawn.counts[h]))
                                for h, law in drawn.laws.items()])  # fmt: skip
        else:
            z = self.rng.standard_normal((count, SIZES))
        np.clip(z, -6.0, 6.0, out=z)
        played = play(self.setting, z, combinations_of_causes()[causes])
        self.z.append(z)
        self.causes.append(causes)
        self.played.append(played)
        self._likelihoods.append(self._log_likelihood(played, count))
        self._mix(drawn)

    def _log_likelihood(self, played: Played, count: int) -> Array:
        found = np.empty((count, len(self.readings)))
        for column, reading in zip(found.T, self.readings, strict=True):
            column[:] = reading.log_likelihood(played)
        return found

    def _mix(self, drawn: _Round) -> None:
        """The new round's laws over all pumps, and the laws before over the new ones."""
        for z, causes, mixture in zip(self.z, self.causes, self._mixtures, strict=False):
            self._add(mixture, z, causes, drawn)
        z, causes = self.z[-1], self.causes[-1]
        self.rounds.append(drawn)
        with np.errstate(divide="ignore"):
            mixture = np.log(self.rounds[0].counts[causes])
        for earlier in self.rounds[1:]:
            self._add(mixture, z, causes, earlier)
        self._mixtures.append(mixture)

    @staticmethod
    def _add(mixture: Array, z: Array, causes: NDArray[np.intp], drawn: _Round) -> None:
        for h, law in drawn.laws.items():
            mine = _span(causes, h)
            density = math.log(drawn.counts[h]) + law.log_ratio(z[mine])
            mixture[mine] = np.logaddexp(mixture[mine], density)

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
        return np.asarray(np.log(self.chance)[np.concatenate(self.causes)]
                          - np.concatenate(self._mixtures))  # fmt: skip


def _join(parts: Sequence[Played]) -> Played:
    def joined(name: str) -> dict[object, Array]:
        first = getattr(parts[0], name)
        return {key: np.concatenate([getattr(p, name)[key] for p in parts]) for key in first}

    return Played(joined("reads"), joined("leak"), joined("share"))  # type: ignore[arg-type]


def _misfits(readings: Sequence[Reading], played: Played) -> Array:
    if not readings:
        return np.zeros((len(played.reads["flow"]), 0))
    return np.stack([r.misfit(played) for r in readings], axis=1)


def weigh(setting: Setting, readings: Sequence[Reading], *, particles: int, seed: int) -> Cloud:
    """The posterior as weighed pumps.

    Args:
        setting: pump, coating and conditions.
        readings: from :func:`wetend.advice.fault_finding.evidence.evidence`; none gives the
            prior.
        particles: pumps run, a quarter more for each round added where too few count.
        seed: the same seed gives the same answer.
    """
    search = _Search(
        setting, readings, np.random.default_rng(seed), chances(setting.coating, setting.around)
    )
    counts = [max(int(share * particles), 200) for share in _ROUND_SHARES]
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
    return Cloud(
        causes=causes,
        present=combinations_of_causes()[causes],
        played=played,
        log_likelihoods=logs,
        misfits=_misfits(readings, played),
        weight=_normal_weights(log_prior + logs.sum(axis=1)),
        prior_weight=_normal_weights(log_prior),
    )
